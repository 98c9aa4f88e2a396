// A design: its box, its blanks, the verdict and the odds while one types, and what is made of it.

import { drafts, get, post, things } from "./ask.js";
import { BoxView } from "./boxview.js";
import { beside } from "./conflict.js";
import { askedName, button, drawn, el, fill, linesOf, off, question, say, troubles } from "./dom.js";
import { Editing } from "./editing.js";
import { explained } from "./explained.js";
import { Fields } from "./fields.js";
import { Making } from "./making.js";
import { Odds } from "./odds.js";
import { Papers } from "./papers.js";
import { Plan } from "./plan.js";
import { Sizes } from "./sizes.js";
import { draftKey, leftBehind } from "./tab.js";
import { OtherUnit } from "./otherunit.js";

export async function open(place, name) {
  const [kept, known, draft] = await Promise.all([get(`/api/design/${encodeURIComponent(name)}`), things(), leftBehind(name)]);
  const view = new DesignView(place, kept, known);
  view.begin(draft);
  return () => view.leave();
}

const UNITS = {
  in: "In inches, as fractions or decimals: 3 1/4, 3.25; or with mm behind them: 82 mm. − and + step along the board's grooves, with Shift by the marks of a rule.",
  mm: "In millimetres: 82, 82.5; or with in behind them: 3 1/4 in. − and + step along the board's grooves, with Shift by half millimetres.",
  cm: "In centimetres: 8.2; or with mm or in behind them: 82 mm, 3 1/4 in. − and + step along the board's grooves.",
};

const AGAIN_MS = 2000; // so soon a file that was changed elsewhere is noticed

class DesignView {
  constructor(place, kept, known) {
    this.place = place;
    this.kept = kept;
    this.editing = new Editing(kept, (found, sent) => this.hear(found, sent));
    const worked = () => { for (const one of [this.papers, this.sizes, this.making]) one.look(); };
    this.editing.settled = () => { place.dataset.settled = "true"; worked(); };
    this.editing.unsettled = () => { place.dataset.settled = "false"; worked(); };
    this.otherUnit = new OtherUnit(this.editing);
    const edit = (...changes) => this.otherUnit.back(changes[0]) || this.editing.change(...changes);
    const part = (given = {}) => el("div", given);
    this.title = el("h1", { text: kept.name });
    this.verdict = el("p", { class: "verdict-line", role: "status", "aria-live": "polite", text: "Looking at it." });
    this.strip = el("p", { class: "strip", "aria-hidden": "true" });
    this.wrong = el("ul", { class: "findings wrong" });
    this.short = el("ul", { class: "findings short" });
    this.feel = el("p", { class: "quiet" });
    this.trouble = part();
    this.notice = part({ class: "notice" });
    this.hazards = el("ul", { class: "findings hazards" });
    this.findings = el("ul", { class: "findings" });
    this.tight = el("ul", { class: "findings" });
    this.figures = part();
    this.unit = el("p", { class: "quiet" });
    this.play = part();
    this.file = el("textarea", { "aria-label": "The design file", spellcheck: "false" });
    this.buttons = {
      save: button("Save", () => this.save(), { class: "main" }),
      undo: button("Undo", () => this.editing.undo()),
      redo: button("Redo", () => this.editing.redo()),
      copy: button("Save as a copy", () => this.copy()),
    };
    const places = { box: part(), plan: part(), fields: part(), odds: part({ class: "odds" }), papers: part(), sizes: part(), making: part() };
    this.box = new BoxView(places.box, (more) => this.further(more));
    this.plan = new Plan(places.plan, edit);
    this.fields = new Fields(places.fields, known, edit);
    this.odds = new Odds(places.odds, (text) => { this.editing.put(text); say("The change was made; Undo takes it back"); });
    this.odds.told = (often) => { this.strip.textContent = `${this.strip.textContent.split(" · ")[0]} · ${often}`; };
    this.papers = new Papers(places.papers, this.editing);
    this.sizes = new Sizes(places.sizes, this.editing);
    this.making = new Making(places.making, this.editing, () => this.savedName());
    this.heed = el("span");
    this.details = folded(["To heed, and all figures", this.heed], el("div", {}, this.findings, this.play, this.figures));
    this.details.addEventListener("toggle", () => this.told && this.tell(this.told));
    this.file.addEventListener("input", () => this.editing.put(this.file.value));
    fill(
      place,
      el("link", { rel: "stylesheet", href: "/page/design.css" }),
      el("div", { class: "headline" }, this.title, el("p", { class: "row" }, this.buttons.save, this.buttons.copy, this.buttons.undo, this.buttons.redo)),
      this.notice,
      el(
        "div", { class: "spread" },
        el("div", { class: "answer" }, el("section", { class: "sheet", "aria-label": "Verdict" }, this.verdict, this.wrong, this.short, this.feel, this.hazards, this.trouble, places.odds), el("section", { class: "sheet", "aria-label": "The box" }, places.box, this.tight), el("section", { class: "sheet", "aria-label": "Plan" }, el("h2", { text: "Pull it to size" }), places.plan)),
        el("div", { class: "recipe" }, el("section", { class: "sheet", "aria-label": "Sizes" }, el("h2", { text: "Sizes" }), this.unit, places.fields)),
      ),
      this.details,
      folded("Try other sizes", places.sizes),
      folded("Try other paper", places.papers),
      folded("Sheets and steps", places.making, () => this.making.show()),
      folded("As a file", el("div", {}, el("p", { class: "quiet", text: "What the terminal reads. Comments and order stay as they are." }), this.file)),
      this.strip,
    );
  }

  begin(draft) {
    if (draft && (draft.text !== this.kept.text || draft.changes)) {
      this.editing.text = draft.text;
      this.editing.pending = draft.changes || [];
      this.editing.kept = { ...this.kept, version: draft.version };
      fill(this.notice, el("p", { class: "row" }, "Here is what you changed before and did not save.", button("Go back to the file", () => { this.editing.take(this.kept); fill(this.notice); }, { class: "small" })));
      this.restored = [...this.editing.pending];
    }
    this.onKey = (event) => this.key(event);
    this.onFocus = () => this.look();
    document.addEventListener("keydown", this.onKey);
    window.addEventListener("focus", this.onFocus);
    this.again = setInterval(() => { if (!document.hidden && !this.editing.away && !this.editing.going && !this.unseen) this.look(); }, AGAIN_MS);
    this.editing.ask();
  }

  leave() {
    document.removeEventListener("keydown", this.onKey);
    window.removeEventListener("focus", this.onFocus);
    clearInterval(this.again);
    for (const one of [this.box, this.odds, this.papers, this.sizes, this.making]) one.leave();
  }

  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target === this.file) return;
    const key = event.key.toLowerCase();
    const done = key === "z" ? (event.shiftKey ? this.editing.redo() : this.editing.undo()) : key === "y" ? this.editing.redo() : key === "s" ? (this.save(), true) : null;
    if (done !== null) event.preventDefault();
  }

  // An answer came: show what it says.
  hear(found, sent) {
    this.enable();
    if (found.refused) {
      fill(this.trouble, troubles(found.refused));
      if (found.gone) this.unlooked(`Not looked at: ${found.refused[0].text.split(":")[0]}.`);
      return;
    }
    if (this.restored && sent.some((one) => !this.restored.includes(one))) { fill(this.notice); this.restored = null; }
    const { form, problems, verdict } = found;
    if (document.activeElement !== this.file) this.file.value = found.text;
    this.unseen = false;
    this.fields.show(form, problems, sent, !sent.length && !this.editing.pending.length);
    this.otherUnit.look(found);
    this.papers.show(form);
    this.unit.textContent = `${UNITS[found.unit] || ""} This board has ${found.grooves}.`;
    this.place.dataset.answers = String(Number(this.place.dataset.answers || 0) + 1);
    fill(this.trouble, this.fields.left.length ? troubles(this.fields.left) : null);
    if (verdict) this.odds.wait(this.editing.draft(), true);
    const line = this.verdict;
    this.strip.textContent = verdict ? (verdict.fits ? "It goes together." : "It does not go together.") : "Not yet a box.";
    line.classList.toggle("no", !verdict || !verdict.fits);
    line.classList.toggle("yes", Boolean(verdict && verdict.fits));
    this.findings.parentElement.classList.toggle("old", !verdict);
    if (!verdict) {
      this.unlooked(problems.length ? "Not yet a box: see what is said beside the sizes." : "Not yet a box.");
      return;
    }
    this.place.classList.remove("before");
    if (line.textContent !== verdict.verdict) line.textContent = verdict.verdict;
    this.title.textContent = verdict.title;
    this.plan.show(verdict.plan);
    this.box.show(this.editing.draft(), verdict.verdict);
    const said = (severity, text) => el("li", { class: severity }, el("strong", { text: `${severity}: ` }), explained(text));
    fill(this.hazards, verdict.hazards.map((text) => said("caution", text)));
    // the verdict names the first of them
    fill(this.wrong, verdict.findings.filter(({ severity }) => severity === "fault").slice(1).map(({ text }) => el("li", {}, explained(text))));
    if (verdict.fits) fill(this.short);
    this.heed.textContent = counted(verdict.findings);
    const told = verdict.findings.map(({ severity, text }) => said(severity, text));
    fill(this.findings, told.length ? told : el("li", { text: "nothing to heed" }));
  }

  // What is shown of the box is of the sizes before.
  unlooked(words) {
    this.place.classList.add("before");
    this.verdict.textContent = words;
    this.verdict.classList.remove("yes");
    this.verdict.classList.add("no");
    this.strip.textContent = words;
    this.feel.textContent = "";
    for (const one of [this.tight, this.wrong, this.short]) fill(one);
    this.odds.wait(null, false);
    say("");
  }

  // What comes a moment later: how the lid feels, what is tight, all figures.
  further(more) {
    this.told = more;
    this.feel.textContent = more.feel || "";
    fill(this.short, more.short.map((text) => el("li", { text })));
    fill(this.tight, more.tight.map((text) => el("li", {}, explained(text))));
    if (this.details.open) this.tell(more);
  }

  tell(verdict) {
    fill(this.play, drawn(verdict.plays, "Play against the bands, scrolls sideways"));
    const table = (caption, rows) => (rows.length ? el("table", {}, el("caption", { text: caption }), el("tbody", {}, rows.map(([label, text]) => el("tr", {}, el("th", { scope: "row", text: label }), el("td", { text }))))) : null);
    const contents = verdict.contents.map((one) => [one.what, `${one.verdict}${one.lies ? `, ${one.lies}` : ""}${one.spare.length ? `; to spare ${one.spare.join(" x ")}` : ""}${one.reason ? `; ${one.reason}` : ""}`]);
    fill(this.figures, table("The lid", verdict.lid), table("Contents", contents), verdict.parts.map(({ name, style, rows }) => table(name.startsWith(style) ? name : `${name} (${style})`, rows)), el("details", {}, el("summary", { text: "As the terminal says it" }), el("pre", { tabindex: "0", text: verdict.text })));
  }

  enable() {
    const { save, undo, redo } = this.buttons;
    off(save, !this.editing.changed || Boolean(this.editing.look && this.editing.look.problems.length));
    save.textContent = this.kept.own ? (this.editing.changed ? "Save" : "Saved") : "Save as my own";
    off(undo, !this.editing.done.length);
    off(redo, !this.editing.undone.length);
  }

  async save(over = null) {
    if (!this.kept.own) return this.copy();
    if (this.buttons.save.getAttribute("aria-disabled") === "true" && !over) return undefined;
    fill(this.trouble);
    this.saving = true;
    try {
      const { there } = await this.editing.save({ over });
      this.saving = false;
      if (there !== undefined) return this.differ(there);
      this.kept = this.editing.kept;
      fill(this.notice);
      say("Saved");
    } catch (error) {
      this.saving = false;
      fill(this.trouble, troubles(linesOf(error)));
    }
    this.enable();
    return undefined;
  }

  // The file was changed elsewhere: both are shown, and nothing is lost whatever is chosen.
  differ(there) {
    const lost = there === null;
    this.differs = lost ? null : there.version;
    const keep = lost ? null : button("Write mine over it", () => { fill(this.notice); this.save(there.version); });
    const take = lost ? null : button("Take the file's", () => { this.kept = there; fill(this.notice); this.editing.take(there); say("The file's text is here; Undo brings yours back"); });
    fill(
      this.notice,
      el("div", { class: "sheet", role: "alert" }, el("h2", { text: lost ? "The file is gone" : "The file was changed elsewhere" }), el("p", { text: lost ? "It was renamed, put away or deleted meanwhile. What you have here can be saved as a copy." : "In another window, or by a command in a terminal. Nothing was written." }), lost ? null : beside(this.editing.text, there.text), el("p", { class: "row" }, keep, take, button("Save mine as a copy", () => this.copy()))),
    );
  }

  // Whether the file was changed elsewhere: it is shown, or told beside what was typed here.
  async look() {
    if (this.editing.away) { this.editing.ask({ anyway: true }); return; }
    if (!this.kept.own) return;
    try {
      const there = await this.editing.elsewhere();
      if (!there || this.saving) return;
      if (this.editing.changed) {
        if (there.version === this.differs) return; // it is told already
        this.differs = there.version;
        fill(this.notice, el("p", { class: "row", role: "status" }, "The file was changed elsewhere; what you typed stays here.", button("Show both", () => this.differ(there), { class: "small" })));
        return;
      }
      this.kept = there;
      this.file.value = there.text;
      this.editing.take(there);
      const words = "The file was changed elsewhere; here is what it says now. Undo brings back what stood here.";
      fill(this.notice, el("p", { text: words }));
      this.restored = [];
      say(words);
    } catch { this.unseen = true; /* it is told when it is saved */ }
  }

  async copy() {
    const name = await askedName("Save as a copy", this.kept.own ? `${this.kept.name}-2` : `my-${this.kept.name}`, { yes: "Save" });
    if (name === null) return;
    try {
      await post("/api/add", { name, text: this.editing.text });
      drafts.drop(draftKey(this.kept.name));
      location.hash = `#/design/${encodeURIComponent(name)}`;
    } catch (error) {
      fill(this.trouble, troubles(linesOf(error)));
    }
  }

  // The name of the design once its file says what is shown; null where it does not.
  async savedName() {
    if (this.editing.changed && this.kept.own) {
      const said = await question("Save it first?", [], { yes: "Save and make", words: "What is made is made of the saved design. What you changed is not saved yet; it would be written over the file." });
      if (!said) return null;
      await this.save();
    }
    return this.editing.changed ? null : this.kept.name;
  }
}

// How many faults and cautions there are, as words behind what they are called; notes are not counted.
function counted(findings) {
  const words = ["fault", "caution"].map((kind) => {
    const many = findings.filter(({ severity }) => severity === kind).length;
    return many ? `${many} ${kind}${many > 1 ? "s" : ""}` : "";
  }).filter(Boolean);
  return words.length ? ` (${words.join(", ")})` : "";
}

function folded(title, body, opened = null) {
  const made = el("details", { class: "sheet more" }, el("summary", {}, el("h2", {}, title)), body);
  if (opened) made.addEventListener("toggle", opened, { once: true });
  return made;
}
