// Other papers and boards, one row each with how it comes out; a click makes it a copy.

import { PAGE, follow, post } from "./ask.js";
import { Before } from "./before.js";
import { askedName, button, choices, el, fill, labelled, linesOf, say, troubles } from "./dom.js";

export class Papers {
  constructor(place, editing) {
    this.place = place;
    this.editing = editing;
    this.rows = el("tbody");
    this.table = el("table", { class: "papers-table" }, el("thead", {}, el("tr", {}, ["what", "right of 100", "as drawn", "a copy"].map((text) => el("th", { scope: "col", text })))), this.rows);
    this.before = new Before(editing, this.table, "try them again");
    this.state = el("p", { class: "quiet row", role: "status" });
    this.trouble = el("div");
    this.pick = el("span");
  }

  leave() { if (this.going) { this.going.stop(); this.going.leave(); } }

  look() { this.before.look(); }

  show(form) {
    const parts = form.groups.map(({ name }) => name).filter((name) => !name.startsWith("content") && name !== "the whole box");
    if (String(parts) === this.parts) return;
    this.parts = String(parts);
    const part = choices(parts, "base");
    this.part = part;
    fill(
      this.place,
      el("p", {}, "How would it come out in another paper, or scored on another board?"),
      labelled("Another paper for the", part),
      el("p", { class: "row" }, button("Try them all", () => this.begin())),
      this.state, this.trouble, this.before.line,
      el("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": "Papers and boards, scrolls sideways" }, this.table),
    );
  }

  async begin() {
    this.leave();
    fill(this.rows);
    fill(this.trouble);
    const draft = this.editing.draft();
    this.before.of(draft.text);
    const part = this.part.value;
    try {
      const { run } = await post("/api/papers", { page: PAGE, draft, part });
      const going = follow(run, (event) => this.hear(event, part));
      this.going = going;
      this.bar = el("progress", { max: 1, value: 0, "aria-label": "Papers tried" });
      fill(this.state, this.bar, button("Stop", () => going.stop(), { class: "small" }));
      const end = await going.over;
      if (this.going !== going) return;
      fill(this.state, end.kind === "done" ? "All tried." : end.kind === "stopped" ? "Stopped." : "");
      if (end.kind === "failed") fill(this.trouble, troubles(end.lines.map((text) => ({ key: "", text }))));
      else say("All papers were tried");
    } catch (error) {
      fill(this.trouble, troubles(linesOf(error)));
    }
  }

  hear(event, part) {
    if (event.kind === "step") { this.bar.max = event.total; this.bar.value = event.done; return; }
    if (event.kind !== "tried") return;
    const { name, what, own, right, words } = event;
    const at = what === "paper" ? [part, "stock"] : ["tools"];
    const copy = button("Make it a copy", () => this.copy(name, at), { class: "small", "data-applies": "", "aria-label": `Make a copy with ${name}` });
    this.rows.append(el("tr", { class: own ? "own" : "" }, el("th", { scope: "row", text: own ? `${name} (as it is)` : name }), el("td", { text: right || "–" }), el("td", { text: words }), el("td", {}, own ? null : copy)));
    this.before.look();
  }

  async copy(name, at) {
    const draft = this.editing.draft();
    const called = await askedName(`A copy with ${name}`, `${this.editing.name}-${name}`.slice(0, 60), { yes: "Make the copy" });
    if (called === null) return;
    try {
      const { text } = await post("/api/look", { page: `${PAGE} copy`, draft: { ...draft, changes: [{ at, value: name }] } });
      await post("/api/add", { name: called, text });
      location.hash = `#/design/${encodeURIComponent(called)}`;
    } catch (error) {
      fill(this.trouble, troubles(linesOf(error)));
    }
  }
}
