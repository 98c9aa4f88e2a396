// Choose what to measure; then its coupon or gauge, its readings and what they teach.

import { drafts, get, things } from "./ask.js";
import { button, el, fill, labelled, question, say, troubles } from "./dom.js";
import { couponPart } from "./coupon.js";
import { learntPart } from "./learnt.js";
import { KINDS, styled, today } from "./loop.js";
import { readingsForm } from "./readings.js";
import { recordsPart } from "./records.js";
import { timedLid } from "./timed.js";

const BEGUN = "measure ";

export async function open(place, kind = "", name = "") {
  styled();
  if (!(kind in KINDS) || !name) return choose(place);
  return measure(place, kind, name);
}

// Which paper, hand or printer.
async function choose(place) {
  const known = await things();
  const names = el("datalist", { id: "known-names" });
  const name = el("input", { name: "name", list: "known-names", autocomplete: "off", spellcheck: "false", required: true, maxlength: "60" });
  const radios = Object.entries(KINDS).map(([kind, { words, how }], place) => el("p", {}, el("label", {}, el("input", { type: "radio", name: "kind", value: kind, checked: place === 0, on: { change: offer } }), ` ${words} `, el("span", { class: "quiet", text: how }))));
  const form = el("form", { class: "sheet", on: { submit: go } }, el("h2", { text: "What is measured" }), el("fieldset", {}, el("legend", { text: "This is" }), radios), labelled("Its name, known or new", name, { help: "Names have letters, digits, dots and hyphens, as cover-65. A new name begins a new one; a known one is measured once more, and all its readings count together." }), names, el("p", {}, el("button", { class: "main", text: "Go on" })));
  function kind() {
    return form.querySelector("input[name=kind]:checked").value;
  }
  function offer() {
    fill(names, known[KINDS[kind()].list].map((one) => el("option", { value: one.name })));
  }
  function go(event) {
    event.preventDefault();
    const wanted = name.value.trim();
    if (wanted) location.hash = `#/measure/${kind()}/${encodeURIComponent(wanted)}`;
  }
  offer();
  const timing = await timedLid();
  fill(
    place,
    el("h1", { text: "Measure" }),
    el("p", { text: "Odds are as good as what is known of your paper, your hand and your board. Cut a coupon, read it, and what is learnt counts in every box from then on." }),
    form,
    begun(),
    timing.node,
  );
  return timing.leave;
}

// Readings that wait for more.
function begun() {
  const found = drafts.names().filter((key) => key.startsWith(BEGUN)).map((key) => key.slice(BEGUN.length).split(" "));
  const links = found.filter(([kind, name]) => kind in KINDS && name).map(([kind, name]) => el("li", {}, el("a", { href: `#/measure/${kind}/${encodeURIComponent(name)}`, text: name }), ` ${KINDS[kind].words}`));
  return links.length ? el("section", { class: "sheet" }, el("h2", { text: "Readings begun" }), el("ul", {}, links)) : null;
}

function unread(name) {
  const last = drafts.get("measure, by whom") || {};
  return { name, run: "", files: [], said: "", groups: [], confirm: [], options: {}, top: { date: today(), by: last.by || "", instrument: last.instrument || "caliper", resolution: last.resolution || "0.01", unit: "", coin: "", also: "", ruler: false } };
}

async function measure(place, kind, name) {
  const key = `measure ${kind} ${name}`;
  const known = await things();
  let draft = drafts.get(key) || unread(name);
  const parts = el("div");
  let left = () => {};

  function keepDraft() {
    drafts.put(key, draft);
    const { by, instrument, resolution } = draft.top;
    drafts.put("measure, by whom", { by, instrument, resolution });
  }
  const records = recordsPart(kind, name, await get(`/api/measured/${kind}/${encodeURIComponent(name)}`));

  function show() {
    left();
    const coupon = couponPart(kind, name, draft, known, made);
    if (!draft.groups.length) {
      left = coupon.leave;
      fill(parts, coupon.node);
      return;
    }
    const form = readingsForm(kind, draft, known, changed);
    const learnt = learntPart(kind, name, draft, form, { keepDraft, kept, anew });
    // What was confirmed was said of the readings as they were.
    function changed() {
      draft.confirm = draft.confirm.filter((word) => word === "new");
      draft.asked = [];
      keepDraft();
      learnt.soon();
    }
    left = () => { coupon.leave(); learnt.leave(); };
    fill(parts, coupon.node, form.node, learnt.node);
    learnt.soon();
  }
  // A coupon or a gauge was made; what was read by then stays.
  function made(run, event, groups) {
    draft = { ...draft, run, files: event.files, said: event.text, groups: joined(draft.groups, groups) };
    keepDraft();
    show();
    parts.querySelector("h2").scrollIntoView({ block: "nearest" });
  }
  async function anew() {
    const sure = await question("Start the readings anew?", [], { yes: "Start anew", words: "What stands in the form is let go. What was kept before stays." });
    if (!sure) return;
    emptied();
    say("The form is empty");
  }
  function emptied() {
    drafts.drop(key);
    const groups = draft.groups.map((group) => ({ ...group, rows: group.rows.map((row) => ({ ...row, readings: Array.from({ length: row.times }, () => ({ reading: "", go: "", nogo: "" })) })) }));
    draft = { ...unread(name), run: draft.run, files: draft.files, said: draft.said, options: draft.options, groups };
    show();
  }
  async function kept(result) {
    left();
    left = () => {};
    drafts.drop(key);
    draft = { ...draft, confirm: [] };
    fill(parts, result, el("p", { class: "row" }, button("Read it once more", () => { emptied(); }), el("a", { class: "button", href: "#/measure", text: "Measure something else" })));
    records.show(await get(`/api/measured/${kind}/${encodeURIComponent(name)}`));
  }
  try {
    show();
  } catch (error) { // a draft of an older page
    drafts.drop(key);
    draft = unread(name);
    show();
    fill(place, troubles([{ key: "", text: error.message }]));
  }
  fill(place, el("h1", { text: `Measure ${name}` }), el("p", {}, `${KINDS[kind].words[0].toUpperCase()}${KINDS[kind].words.slice(1)}. `, el("a", { href: "#/measure", text: "Measure something else" })), records.node, parts);
  return () => left();
}

// The groups of a new coupon with the readings that were taken by now; what it has no place for
// comes behind.
function joined(old, groups) {
  const keyOf = ({ feature, nominal, count, note }) => JSON.stringify([feature, nominal, count, note]);
  const said = ({ readings }) => readings.some((one) => (one.reading + one.go + one.nogo).trim());
  const taken = old.flatMap(({ title, rows }) => rows.filter(said).map((row) => [title, row]));
  const places = new Set(groups.flatMap(({ rows }) => rows.map(keyOf)));
  const found = new Map(taken.map(([, row]) => [keyOf(row), row]));
  const filled = groups.map((group) => ({ ...group, rows: group.rows.map((row) => found.get(keyOf(row)) || row) }));
  const rest = taken.filter(([, row]) => !places.has(keyOf(row)));
  return [...filled, ...rest.map(([title, row]) => ({ title: title.endsWith("of before") ? title : `${title}, of before`, rows: [row] }))];
}
