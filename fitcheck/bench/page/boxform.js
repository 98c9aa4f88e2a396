// The form for what came of a box; it is kept in this browser until the box is recorded.

import { command, drafts } from "./ask.js";
import { button, choices, el, fill, labelled, linesOf, say, troubles } from "./dom.js";
import { asThePage } from "./boxwords.js";
import { told } from "./freezing.js";
import { beside, problemsOf, today } from "./loop.js";
import { stopwatch } from "./stopwatch.js";

const DID = { bound: "it did not go on: it bound", tight: "it went on with a press", slid: "it slid on", loose: "it was loose" };
const CORNERS = { "left-top": "left and top", "right-top": "right and top", "left-bottom": "left and bottom", "right-bottom": "right and bottom" };
const CALLED = { outcome: "what the lid did", play: "the play", sink: "the times", before: "the times before", contents: "what was in it", fitted: "whether it went in", split: "corners that split", right: "whether it came out right", against: "the forecast", by: "by", date: "the day", note: "the note" };
const YES_NO = [{ value: "yes", words: "yes" }, { value: "no", words: "no" }];

export function boxForm(name, known, papers, renewed) {
  const key = `box ${name}`;
  const last = drafts.get("box, by whom") || {};
  const draft = { outcome: "", play: "", go: "", nogo: "", contents: "", fitted: "", corners: [], right: "", against: "", by: last.by || "", date: today(), note: "", sink: "", before: "", ...drafts.get(key) };
  const fields = {};
  const lines = {};
  const keep = () => drafts.put(key, draft);
  const add = (option, words, field, help = "") => {
    fields[option] = field;
    field.name = option;
    field.addEventListener(field.tagName === "SELECT" ? "change" : "input", () => { draft[option] = field.value; beside(field, ""); keep(); });
    lines[option] = labelled(words, field, { help });
  };
  const text = (option, given = {}) => el("input", { value: draft[option], autocomplete: "off", spellcheck: "false", ...given });
  const many = (option) => el("textarea", { class: "few", rows: "3", value: draft[option], spellcheck: "false" });
  add("outcome", "What the lid did", choices([{ value: "", words: "choose" }, ...Object.entries(DID).map(([value, words]) => ({ value, words }))], draft.outcome), "Or the drawer, where there is no lid.");
  add("play", "Play, if it was measured", text("play", { placeholder: "0.35" }), "Along the side that has less of it, in millimetres unless you write the unit.");
  add("go", "Or: the largest plug that went in", text("go", { placeholder: "0.3" }), "Plugs between lid and base, as they are marked.");
  add("nogo", "The smallest that did not", text("nogo", { placeholder: "0.4" }));
  add("contents", "What was in it", text("contents"));
  add("fitted", "It went in", choices([{ value: "", words: "nobody tried" }, ...YES_NO], draft.fitted));
  add("right", "It came out right", choices([{ value: "", words: "as the rest says" }, ...YES_NO], draft.right), "Only if that is not plain from the rest.");
  const own = known.forecasts.filter((one) => one.design === name && !one.wrong);
  add("against", "Scored against", choices([{ value: "", words: own.length ? "the newest forecast that goes with it" : "no forecast: none is frozen" }, ...own.map((one) => ({ value: one.name, words: `${one.name}, ${one.frozen}` })), { value: "none", words: "none: keep it apart" }], draft.against));
  add("by", "Made by", text("by"));
  add("date", "On", text("date", { type: "date" }));
  add("note", "Anything else", text("note"));
  add("sink", "How long the lid sank", many("sink"), "A line for each kind: 6.2 5.9 6.4 s, leaning 1.6 s, coin 7.5 g 2.1 s, upper 1.9 s, lower 4.2 s. The stopwatch fills it.");
  add("before", "The same before a change", many("before"), "Of this very box, before something was changed on it.");
  const corners = cornersOf(draft, keep);
  fields.split = corners.first;
  const watch = stopwatch("Take them into the form", (words) => {
    draft.sink = [draft.sink.trim(), words].filter(Boolean).join("\n");
    fields.sink.value = draft.sink;
    keep();
    fields.sink.focus();
  });
  const answer = el("div", { class: "answer" });
  const save = button("Record the box", begin, { class: "main" });
  const { sink, before, ...first } = lines;
  const node = el("section", { class: "sheet recorded" }, el("h2", { text: "When it is made: what came of it" }), Object.values(first).slice(0, 6), corners.node, Object.values(first).slice(6), el("details", { open: Boolean(draft.sink || draft.before) }, el("summary", { text: "The lid sinks by itself: time it" }), watch.node, sink, before), el("p", { class: "row" }, save, button("Empty the form", () => { drafts.drop(key); renewed({ place: "recorded", node: null }); })), answer);
  let going = null;
  let leaving = false;

  function given() {
    const found = { design: name, stock: papers.given() };
    for (const option of ["outcome", "contents", "fitted", "right", "against", "by", "date", "note"]) if (draft[option].trim()) found[option] = draft[option].trim();
    const point = (words) => words.trim().replace(/^(\d*),(\d+)/, "$1.$2");
    const [play, go, nogo] = [draft.play, draft.go, draft.nogo].map(point);
    if (play) found.play = play;
    else if (go || nogo) found.play = `${go}:${nogo}`;
    for (const option of ["sink", "before"]) {
      const times = draft[option].split("\n").map((one) => one.trim()).filter(Boolean);
      if (times.length) found[option] = times;
    }
    if (draft.corners.length) found.split = draft.corners;
    return found;
  }
  async function begin() {
    for (const field of Object.values(fields)) beside(field, "");
    fill(answer, el("p", { class: "quiet", text: "at work ..." }));
    if (draft.play.trim() && (draft.go + draft.nogo).trim()) {
      wrong([{ key: "play", text: "read it and plugs beside it; allowed: one of the two; empty one of them" }]);
      return;
    }
    if (!draft.outcome) {
      wrong([{ key: "outcome", text: "read nothing; say what the lid did" }]);
      return;
    }
    save.disabled = true;
    try {
      going = await command("record", given());
      const ended = await going.over;
      if (leaving) return;
      if (ended.kind === "done") {
        drafts.drop(key);
        drafts.put("box, by whom", { by: draft.by });
        say("The box is recorded");
        await renewed({ place: "recorded", node: told(ended.text) });
        return;
      }
      wrong(ended.kind === "stopped" ? [{ key: "", text: "stopped: nothing was recorded" }] : problemsOf(ended.lines, CALLED));
    } catch (error) {
      wrong(linesOf(error));
    } finally {
      save.disabled = false;
    }
  }
  function wrong(said) {
    const problems = papers.show(said).map((one) => asThePage(one, draft));
    const rest = problems.filter(({ key, text }) => {
      const field = fields[key];
      if (field) beside(field, text);
      return !field;
    });
    fill(answer, rest.length ? troubles(rest) : null);
    node.querySelector("[aria-invalid]")?.focus();
    say(problems.map(({ text }) => text).join("; "));
  }
  return { node, leave: () => { leaving = true; watch.leave(); going?.leave(); } };
}

// The corners that split, or that none did.
function cornersOf(draft, keep) {
  const boxes = Object.entries({ ...CORNERS, none: "none of them" }).map(([corner, words]) => {
    const box = el("input", { type: "checkbox", checked: draft.corners.includes(corner), on: { change: () => {
      draft.corners = draft.corners.filter((one) => one !== corner && (corner !== "none") === (one !== "none"));
      if (box.checked) draft.corners.push(corner);
      for (const other of boxes) other.box.checked = draft.corners.includes(other.corner);
      keep();
    } } });
    return { corner, box, line: el("label", {}, box, ` ${words} `) };
  });
  const node = el("fieldset", { class: "corners" }, el("legend", { text: "Glued corners that split, by the fences of the sheet that meet there" }), boxes.map(({ line }) => line));
  return { node, first: boxes[0].box };
}
