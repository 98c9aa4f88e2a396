// What was worked out for other sizes than those in sight: marked, and what would apply it is off.

import { el, off } from "./dom.js";

export class Before {
  constructor(editing, holder, again) {
    this.editing = editing;
    this.holder = holder;
    this.words = `Of the sizes before; ${again}.`;
    this.line = el("p", { class: "before-line", role: "status" });
    this.text = null;
  }

  // From now on the text that it was worked out for; null for nothing.
  of(text) {
    this.text = text;
    this.look();
  }

  // Whether it still is of what is in sight; asked whenever either changes.
  look() {
    const is = this.text !== null && (this.editing.text !== this.text || this.editing.pending.length > 0);
    const words = is ? this.words : "";
    if (this.line.textContent !== words) this.line.textContent = words;
    this.holder.classList.toggle("worked-before", is);
    for (const one of this.holder.querySelectorAll("button[data-applies]")) off(one, is);
  }
}
