// The form that takes readings as they are read; what is typed stands in the draft at once.

import { button, choices, el, labelled } from "./dom.js";
import { beside, fresh } from "./loop.js";

const HELP = "As you read it: 25.34, 25,34, 0.163 in, 1 31/32. A number without a unit is in the unit that is chosen below.";

// `changed` is called after each change of the draft. The form shows problems by the keys that the
// bench gives them: a field's name, or the number of a line and its column.
export function readingsForm(kind, draft, known, changed) {
  const once = onceFields(kind, draft, known, changed);
  const cells = [];
  const groups = draft.groups.map((group) => groupOf(group, draft));
  const number = () => {
    cells.length = 0;
    for (const one of groups) one.number(cells);
  };
  number();
  const node = el("section", { class: "sheet readings" }, el("h2", { text: "The readings" }), el("p", { class: "quiet", text: `${HELP} Lines that you did not read stay empty. What you type stays in the workspace until it is kept.` }), el("div", {}, Object.values(once).map(({ line }) => line)), groups.map((one) => one.node));
  node.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches("input.cell")) return;
    event.preventDefault();
    const all = [...node.querySelectorAll("input.cell")];
    all[(all.indexOf(event.target) + 1) % all.length].focus();
  });

  function groupOf(group) {
    const rows = group.rows.map((row) => rowOf(row, group.title));
    const made = el("fieldset", { class: "piece" }, el("legend", { text: group.title }), rows.map((one) => one.node));
    return { node: made, number: (list) => rows.forEach((one) => one.number(list)) };
  }

  function rowOf(row, title) {
    const label = fresh("row");
    const places = el("div", { class: "cells" });
    const fields = [];
    const gauge = row.gauged ? el("label", { class: "quiet" }, el("input", { type: "checkbox", checked: row.gauge, on: { change: (event) => { row.gauge = event.target.checked; moved(); draw(); renewed(); } } }), " with plugs or gaps") : null;
    const count = row.count ? el("input", { class: "count", value: row.count, "aria-label": `${title}: how many sheets`, autocomplete: "off", on: { input: (event) => { row.count = event.target.value; beside(event.target, ""); changed(); } } }) : null;
    const more = button("one more", () => { row.readings.push({ reading: "", go: "", nogo: "" }); draw(); renewed(); places.querySelector("input:last-of-type")?.focus(); lastOf(places)?.focus(); }, { class: "small", "aria-label": `One more reading of ${title}, ${row.words}` });
    const size = row.nominal ? `, drawn ${row.nominal} mm` : "";
    const made = el("div", { class: "measured", role: "group", "aria-labelledby": label }, el("p", { class: "what", id: label, text: `${row.words}${size}` }), count ? el("p", {}, count, " sheets") : null, places, el("p", { class: "row" }, gauge, more));
    // What was typed in the other way of reading goes along: a reading is no plug.
    function moved() {
      for (const one of row.readings) {
        if (row.gauge) Object.assign(one, { go: one.go || one.reading, reading: "" });
        else Object.assign(one, { reading: one.reading || one.go, go: "", nogo: "" });
      }
    }
    function draw() {
      fields.length = 0;
      places.replaceChildren(...row.readings.map((one, place) => {
        const own = {};
        const field = (column, words) => {
          own[column] = el("input", { class: "cell", value: one[column], "aria-label": `${title}, ${row.words}${size}: ${words} ${place + 1}`, autocomplete: "off", spellcheck: "false", on: { input: (event) => { one[column] = event.target.value; beside(event.target, ""); changed(); } } });
          return own[column];
        };
        fields.push(own);
        if (!row.gauge) return el("div", { class: "one" }, field("reading", "reading"));
        return el("div", { class: "one pair" }, el("span", { class: "quiet", "aria-hidden": "true", text: "went in" }), field("go", "the largest that went in,"), el("span", { class: "quiet", "aria-hidden": "true", text: "did not" }), field("nogo", "the smallest that did not,"));
      }));
    }
    draw();
    return { node: made, number: (list) => row.readings.forEach((one, place) => list.push({ row, one, count, fields: fields[place] })) };
  }

  function renewed() {
    number();
    changed();
  }

  // All lines, in the order in which problems name them.
  function lines() {
    return cells.map(({ row, one }) => ({ feature: row.feature, nominal: row.nominal, count: row.count, note: row.note, reading: one.reading, go: one.go, nogo: one.nogo }));
  }

  function fieldOf(key) {
    if (key in once) return once[key].field;
    const [line, column] = key.split(".");
    const cell = cells[Number(line)];
    if (!cell || !column) return null;
    if (column === "count" && cell.count) return cell.count;
    return cell.fields[column] || Object.values(cell.fields)[0];
  }

  // Shows problems beside their fields; returns those that have none here.
  function show(problems, quiet = []) {
    for (const { field } of Object.values(once)) beside(field, "");
    for (const { fields, count } of cells) {
      for (const field of Object.values(fields)) beside(field, "");
      if (count) beside(count, "");
    }
    const put = (list, given) => list.filter(({ key, text }) => {
      const field = fieldOf(key);
      if (field && !field.hasAttribute("aria-describedby")) beside(field, text, given);
      return !field;
    });
    return [put(problems, {}), put(quiet, { quiet: true })];
  }
  return { node, lines, show };
}

function lastOf(places) {
  const all = places.querySelectorAll("input.cell");
  return all[all.length - 1];
}

// What is said once for all readings.
function onceFields(kind, draft, known, changed) {
  const made = {};
  const { top, options } = draft;
  const add = (name, words, field, holder, help = "", kept = "input") => {
    field.name = name;
    field.addEventListener(kept, () => { holder[name] = field.type === "checkbox" ? field.checked : field.value; beside(field, ""); changed(); });
    made[name] = { field, line: labelled(words, field, { help }) };
  };
  const text = (value, given = {}) => el("input", { value: value || "", autocomplete: "off", spellcheck: "false", ...given });
  add("date", "Read on", text(top.date, { type: "date" }), top);
  add("by", "By", text(top.by), top, "A name or initials: hands differ, and readings by one hand go together.");
  add("instrument", "With", text(top.instrument), top, "Such as caliper or ruler.");
  add("resolution", "Its smallest step", text(top.resolution), top, "0.01 for a caliper that shows hundredths of a millimetre, 0.0005 in for one in inches, 0.5 for a ruler that is read to half a millimetre.");
  add("unit", "Numbers without a unit are in", choices([{ value: "", words: "millimetres" }, { value: "cm", words: "centimetres" }, { value: "in", words: "inches" }], top.unit), top, "", "change");
  if (draft.groups.some((group) => group.rows.some((row) => row.note.includes("coin ?")))) add("coin", "The coin weighs, grams", text(top.coin), top, "The coin that is laid on a wall's free edge. Weigh it. Only needed where you read how far the edge sinks.");
  if (kind === "paper") {
    add("also", "The air, if you know it", text(top.also, { placeholder: "made at 45 % rh, 60 % rh" }), top, "Paper grows with damp. Say the humidity of the air when it was scored and when it was read.");
    add("tools", "Scored on", choices([{ value: "", words: "the same board as before, or the usual one" }, ...known.boards.map(({ name }) => name)], options.tools || ""), options, "", "change");
    add("joint", "The glue in the tray is thick", text(options.joint, { placeholder: "0.1 mm" }), options, "Left out, it is as the board's file says.");
    add("setback", "Its tabs are set back by", text(options.setback, { placeholder: "0 mm" }), options, "How far the tabs stop short of the edge they are glued along. None as a rule.");
    add("design", "Show the lid of", text(options.design, { placeholder: "a design" }), options, "A design of this paper: what its lid did before, and what it does with what was learnt.");
  }
  if (kind === "hand") add("ruler", "Scores were read along the printed ruler, without folding", el("input", { type: "checkbox", checked: top.ruler }), top, "Then fill in the first of each two lines only, and say the ruler's step above.", "change");
  return made;
}
