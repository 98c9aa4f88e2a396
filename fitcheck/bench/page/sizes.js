// Sizes near these that come out right more often; a click puts them into the blanks.

import { PAGE, follow, post } from "./ask.js";
import { Before } from "./before.js";
import { button, el, fill, linesOf, say, troubles } from "./dom.js";

export class Sizes {
  constructor(place, editing) {
    this.editing = editing;
    this.state = el("div", { role: "status" });
    this.list = el("ol", { class: "options" });
    this.found = el("div", {}, this.state, this.list);
    this.before = new Before(editing, this.found, "look again");
    fill(place, el("p", { text: "Several sizes at once: which ones in the grooves of the board come out right more often, and what they cost." }), el("p", { class: "row" }, button("Look for them", () => this.begin())), this.before.line, this.found);
  }

  leave() { if (this.going) { this.going.stop(); this.going.leave(); } }

  look() { this.before.look(); }

  async begin() {
    this.leave();
    fill(this.list);
    const draft = this.editing.draft();
    this.before.of(draft.text);
    try {
      const { run } = await post("/api/sizes", { page: PAGE, draft });
      const step = el("span", { text: "at it" });
      const bar = el("progress", { "aria-label": "Sizes tried" });
      const going = follow(run, (event) => { if (event.kind === "step") { step.textContent = event.text; if (event.total) { bar.max = event.total; bar.value = event.done; } } });
      this.going = going;
      fill(this.state, el("p", { class: "row" }, bar, step, button("Stop", () => going.stop(), { class: "small" })));
      const end = await going.over;
      if (this.going !== going) return;
      if (end.kind === "failed") fill(this.state, troubles(end.lines.map((text) => ({ key: "", text }))));
      else if (end.kind === "stopped") fill(this.state, el("p", { text: "Stopped." }));
      else this.show(end.result);
    } catch (error) {
      fill(this.state, troubles(linesOf(error)));
    }
  }

  show({ now, options }) {
    const asItIs = now === "not known" ? "As it is, it is not known how many come out right" : `As it is, ${now} of 100 come out right`;
    const words = options.length ? `${asItIs}.` : `${asItIs}; no sizes near it do so more often.`;
    fill(this.state, el("p", { text: words }));
    say(words);
    fill(this.list, options.map(({ right, lines, better }, k) => el("li", {}, el("p", {}, el("strong", { text: `${right} of 100 come out right` })), el("ul", {}, lines.map((text) => el("li", { text }))), button("Take these sizes", () => { this.editing.put(better); say("The sizes were taken; Undo brings the others back"); }, { class: "small", "data-applies": "", "aria-label": `Take the sizes of suggestion ${k + 1}` }))));
    this.before.look();
  }
}
