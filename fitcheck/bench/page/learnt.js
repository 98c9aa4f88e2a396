// What the readings say: tried while they are typed, kept when they are told to be.

import { PAGE, post, thingsChanged } from "./ask.js";
import { button, el, fill, linesOf, say, troubles } from "./dom.js";

const REST_MS = 800;

export function learntPart(kind, name, draft, form, { keepDraft, kept, anew }) {
  const shown = el("div");
  const status = el("p", { class: "quiet" });
  const keep = button("Keep it", keepNow, { class: "main", disabled: true });
  const node = el("section", { class: "sheet learnt" }, el("h2", { text: "What the readings say" }), status, shown, el("p", { class: "row" }, keep, button("Start anew", anew)));
  let timer = 0;
  let newest = 0;
  let spoken = "";
  let busy = false;
  let ticked = "";

  function asked() {
    const options = Object.fromEntries(Object.entries(draft.options).filter(([option, value]) => kind === "paper" && ["tools", "joint", "setback", "design"].includes(option) && String(value).trim()));
    const words = draft.confirm.filter((word) => word !== "new");
    if (words.length) options.confirm = words;
    if (draft.confirm.includes("new")) options.new = true;
    if (kind === "hand" && draft.options.tools) options.tools = draft.options.tools;
    return { page: PAGE, what: kind, name, taken: { ...draft.top, lines: form.lines() }, options };
  }
  // Once typing rests; nothing is tried of a form without a reading.
  function soon() {
    clearTimeout(timer);
    newest += 1;
    keep.disabled = true;
    if (!form.lines().some((line) => (line.reading + line.go + line.nogo).trim())) {
      status.textContent = "Nothing is filled in yet.";
      fill(shown);
      form.show([]);
      return;
    }
    timer = setTimeout(rehearse, REST_MS);
  }
  async function rehearse() {
    const mine = newest;
    status.textContent = "Trying these readings ...";
    try {
      const found = await post("/api/rehearse", asked());
      if (mine === newest && !found.superseded && !busy) tell(found, false);
    } catch (error) {
      if (mine !== newest) return;
      status.textContent = "These readings could not be tried.";
      fill(shown, troubles(linesOf(error)));
    }
  }
  function tell(found, tried) {
    const open = found.questions.filter(({ word }) => !draft.confirm.includes(word));
    const [rest, noted] = form.show([...found.problems, ...found.questions.filter(({ key }) => key).map(({ key, text }) => ({ key, text }))], found.aside);
    const wrong = found.problems.length;
    const besideThem = wrong - found.problems.filter((one) => rest.includes(one)).length;
    let words = "";
    if (wrong) words = `${wrong === 1 ? "1 thing looks" : `${wrong} things look`} wrong${besideThem ? ": look beside the fields" : ""}. Nothing is kept of it.`;
    else if (open.length) words = "This can hardly be true. Nothing is kept until you say that it is so.";
    else if (!tried) words = "Nothing is kept yet. This is what these readings would teach:";
    status.textContent = words;
    keep.disabled = wrong > 0 || open.length > 0;
    fill(shown, rest.length ? troubles(rest) : null, questionsOf(found), learntTable(found, "before", tried ? "now" : "after"), moreOf(found, noted));
    if (ticked) shown.querySelector(`[data-word="${ticked}"]`)?.focus();
    ticked = "";
    const said = `${words} ${[...found.problems, ...open].map(({ text }) => text).join("; ")} ${found.learnt.filter((row) => row.new).map((row) => `${row.what} ${row.after}`).join("; ")}`.trim();
    if (said !== spoken) say(said);
    spoken = said;
  }
  // What was asked of these readings, and what was confirmed so far.
  function questionsOf(found) {
    const known = new Map((draft.asked || []).filter(({ word }) => draft.confirm.includes(word)).map((one) => [one.word, one]));
    for (const one of found.questions) known.set(one.word, one);
    draft.asked = [...known.values()];
    if (!draft.asked.length) return null;
    return el("fieldset", { class: "asked" }, el("legend", { text: "Is that so?" }), draft.asked.map(({ word, text, cure }) => el("p", {}, el("label", {}, el("input", { type: "checkbox", "data-word": word, checked: draft.confirm.includes(word), on: { change: (event) => confirmed(word, event.target.checked) } }), ` Yes: ${text.replace(/: is that so\?$/, "")}`), el("br"), el("span", { class: "quiet", text: `If not: ${cure}.` }))));
  }
  function confirmed(word, yes) {
    draft.confirm = draft.confirm.filter((one) => one !== word);
    if (yes) draft.confirm.push(word);
    ticked = word;
    keepDraft();
    soon();
  }
  async function keepNow() {
    clearTimeout(timer);
    busy = true;
    keep.disabled = true;
    status.textContent = "Keeping it ...";
    try {
      const found = await post("/api/keep", asked());
      if (!found.kept) {
        tell(found, true);
        return;
      }
      thingsChanged();
      say(`Kept: ${found.learnt.filter((row) => row.new).map((row) => `${row.what} ${row.after}`).join("; ") || "nothing new"}`);
      await kept(el("section", { class: "sheet learnt" }, el("h2", { text: "Kept" }), el("p", { text: `The readings are kept as ${found.record || "they were"}, and what they teach counts in every box from now on.` }), learntTable(found, "before", "now"), moreOf(found, found.aside)));
    } catch (error) {
      status.textContent = "It was not kept; what you typed stays.";
      fill(shown, troubles(linesOf(error)));
      say(status.textContent);
      keep.disabled = false;
    } finally {
      busy = false;
    }
  }
  return { node, soon, leave: () => { clearTimeout(timer); newest += 1; } };
}

export function learntTable(found, before, after) {
  if (!found.learnt.length) return null;
  return el("div", { class: "scroll", role: "group", tabindex: "0", "aria-label": "what was learnt" }, el("table", {}, el("caption", { text: "In 95 of 100 the truth lies within what is given or taken" }), el("thead", {}, el("tr", {}, ["what", before, after].map((text) => el("th", { scope: "col", text })))), el("tbody", {}, found.learnt.map((row) => el("tr", { class: row.new ? "new" : "" }, el("th", { scope: "row", text: row.what }), el("td", { text: row.before }), el("td", {}, row.new ? el("strong", { text: row.after }) : row.after))))));
}

function moreOf(found, aside) {
  const list = (title, texts) => (texts.length ? [el("h3", { text: title }), el("ul", {}, texts.map((text) => el("li", { text })))] : []);
  return [...list("Read again: set aside, not used", aside.map(({ text }) => text)), ...list("To be known", found.notes.map(({ text }) => text)), ...list("The lid", found.lid), ...list("To know it better", found.better)];
}

