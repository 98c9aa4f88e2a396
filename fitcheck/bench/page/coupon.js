// The coupon or the gauges of what is measured: how they are made, their pictures and files.

import { command, get, post, thingsChanged } from "./ask.js";
import { button, choices, el, fill, labelled, linesOf, say, troubles } from "./dom.js";
import { beside, KINDS, problemsOf } from "./loop.js";

const CALLED = { coupon: "the coupon, to be cut and scored", "lid-how-to": "how to time a lid", "how-to": "how to fold and read it" };

export function couponPart(kind, name, draft, known, made) {
  const { make } = KINDS[kind];
  const isKnown = known[KINDS[kind].list].some((one) => one.name === name);
  const fields = fieldsOf(kind, isKnown, known, draft.options);
  const progress = el("div");
  const wrong = el("div");
  let going = null;
  let stopped = false;
  const start = button(draft.run ? `${make} again` : make, begin, { class: draft.groups.length ? "" : "main" });
  const shown = el("div");
  const folder = el("details", { class: "made", open: !draft.groups.length || Boolean(draft.run) }, el("summary", { text: kind === "printer" ? "What to print, and how to read it" : "What to cut, fold and read" }), shown);
  const node = el("section", { class: "sheet", "aria-label": KINDS[kind].made }, el("h2", { text: kind === "printer" ? "The gauges" : "The coupon" }), el("div", {}, Object.values(fields).map(({ line }) => line)), el("p", { class: "row" }, start), progress, wrong, draft.run ? folder : null);
  if (draft.run) fill(shown, ...filesOf(draft, () => fill(shown, el("p", { text: `The pictures are gone since the bench was started anew; the readings are not. ${make} again to see them.` }))));

  async function begin() {
    const given = { name };
    for (const [option, { field }] of Object.entries(fields)) {
      beside(field, "");
      if (field.value.trim()) given[option] = option === "size" ? field.value.split(";") : field.value.trim();
      draft.options[option] = field.value;
    }
    if (kind === "hand") given.hand = true;
    start.disabled = true;
    fill(wrong);
    fill(progress, el("p", { class: "row" }, el("progress", { "aria-label": "being made" }), el("span", { text: "being made" }), button("Stop", () => going?.stop())));
    try {
      going = await command(kind === "printer" ? "gauge" : "coupon", given);
      const ended = await going.over;
      if (stopped) return;
      if (ended.kind === "done") {
        const { groups } = await post("/api/form", { run: going.run });
        thingsChanged();
        say(`${ended.files.length} files are made`);
        made(going.run, ended, groups.map(unfilled));
        return;
      }
      told(ended.kind === "stopped" ? [{ key: "", text: "stopped: nothing was made" }] : problemsOf(ended.lines));
    } catch (error) {
      told(linesOf(error));
    } finally {
      start.disabled = false;
      fill(progress);
    }
  }
  function told(problems) {
    const rest = problems.filter(({ key, text }) => {
      if (key in fields) beside(fields[key].field, text);
      return !(key in fields);
    });
    fill(wrong, rest.length ? troubles(rest) : null);
    say(`Nothing was made: ${problems.map(({ text }) => text).join("; ")}`);
  }
  return { node, leave: () => { stopped = true; going?.leave(); } };
}

// The rows of a form with a place for each reading.
function unfilled(group) {
  const rows = group.rows.map((row) => ({ ...row, gauge: row.plug, readings: Array.from({ length: row.times }, () => ({ reading: "", go: "", nogo: "" })) }));
  return { ...group, rows };
}

function fieldsOf(kind, isKnown, known, options) {
  const usual = { value: "", words: "the usual one" };
  const boards = [usual, ...known.boards.map(({ name }) => name)];
  const made = {};
  const add = (option, words, field, help) => { made[option] = { field, line: labelled(words, field, { help }) }; };
  if (kind === "paper") add("tools", "Scored on the board", choices(boards, options.tools || ""), "The coupon's scores lie in this board's grooves.");
  if (kind === "hand" && !isKnown) add("tools", "A board like", choices(boards, options.tools || ""), "A new board begins with the grooves of one that is known.");
  if (kind !== "printer") add("paper", "Drawn on sheets of", choices(known.pages, options.paper || "a4"), "The paper that the printer draws on; the coupon lies on as many sheets as it needs.");
  if (kind === "paper") add("printer", "The block is printed with", choices([{ value: "", words: "any printer, as modelled" }, ...known.printers.map(({ name }) => name)], options.printer || ""), "Walls are folded up against this block. A printer that was measured prints it true.");
  if (kind === "printer") {
    add("size", "Stepped gauges about", el("input", { autocomplete: "off", value: options.size || "", placeholder: "49.8 mm" }), "A plug and a gap in steps about this size, such as 49.8 mm; several are parted by semicolons. Left out, they fit a coupon's channel.");
    add("design", "Or for the box", el("input", { autocomplete: "off", list: "designs-to-gauge", value: options.design || "" }), "A design on the shelf: the gauges are about the insides of its base and lid.");
    made.design.line.append(designNames());
  }
  return made;
}

function designNames() {
  const list = el("datalist", { id: "designs-to-gauge" });
  get("/api/shelf").then(({ designs }) => fill(list, designs.filter((one) => !one.away).map((one) => el("option", { value: one.name })))).catch(() => {});
  return list;
}

// The pictures of what was made, what was said, and all files.
function filesOf(draft, gone) {
  const at = (file) => `/api/runs/${encodeURIComponent(draft.run)}/files/${file.split("/").map(encodeURIComponent).join("/")}`;
  const pictures = draft.files.filter((file) => file.endsWith(".svg"));
  const ordered = [...pictures].sort((one, other) => Number(one.includes("coupon")) - Number(other.includes("coupon")));
  const said = draft.said.split("\n").filter((line) => line.trim() && !draft.files.some((file) => line.trim().endsWith(file)));
  return [
    el("ul", { class: "files" }, draft.files.map((file) => el("li", {}, el("a", { href: at(file), download: file, text: file }), file.endsWith(".pdf") ? " print it at 100 %, and hold the ruler on it to a rule" : ""))),
    el("p", {}, el("a", { class: "button", href: `/api/runs/${encodeURIComponent(draft.run)}/all.zip`, download: `${draft.name}.zip`, text: "All files in one" })),
    said.length ? el("ul", { class: "said" }, said.map((line) => el("li", { text: line.trim() }))) : null,
    el("div", { class: "pictures" }, ordered.map((file) => {
      const words = Object.entries(CALLED).find(([part]) => file.includes(`-${part}`))?.[1] || file;
      return el("figure", {}, el("a", { href: at(file), target: "_blank", rel: "noreferrer", "aria-label": `${words}, in its own size` }, el("img", { src: at(file), alt: words, on: { error: gone } })), el("figcaption", { text: words }));
    })),
  ];
}
