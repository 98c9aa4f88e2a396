// A unit that was chosen: the same box in other numbers, and the marks of a rule for whoever wants them.

import { button, el, fill, say } from "./dom.js";

const NAMES = { in: "inches", mm: "millimetres", cm: "centimetres" };

export class OtherUnit {
  constructor(editing) {
    this.editing = editing;
    this.place = el("div", { class: "other-unit" });
    this.unit = null;
    this.texts = new Map(); // by unit: the text that it was left with, and what became of it
  }

  // Whether a change goes back to a unit that was just left: then its text comes back as it was.
  back({ at, value }) {
    if (String(at) !== "unit") return false;
    const left = this.texts.get(value);
    if (!left || left.became !== this.editing.text || this.editing.pending.length) return false;
    this.editing.put(left.text);
    return true;
  }

  // An answer came; `before` is the text that it was asked with.
  look({ unit, text, marks, before }) {
    const chosen = this.unit !== null && unit !== this.unit && before !== undefined && before !== text;
    if (chosen) this.texts.set(this.unit, { text: before, became: text });
    if (chosen && unit in NAMES) this.tell(NAMES[unit], marks);
    else if (this.told && text !== this.told) this.forget();
    if (chosen) this.told = text;
    this.unit = unit;
  }

  tell(name, { between, most_mm: most }) {
    const words = `The same box in ${name}: no size has moved.`;
    const off = between === 1 ? "One size lies between the marks of a rule," : `${between} sizes lie between the marks of a rule,`;
    const come = between ? [`${off} by ${most.toFixed(2)} mm at the most. `, button("Bring them to the marks", () => { this.editing.change({ at: [], to_marks: true }); say("The sizes are at the marks; Undo takes them back"); }, { class: "small" })] : null;
    fill(this.place, el("p", { class: "row" }, el("span", { text: words }), come));
    document.getElementById("in-unit")?.closest(".line").after(this.place);
    say(words);
  }

  forget() {
    this.told = null;
    this.place.remove();
  }
}
