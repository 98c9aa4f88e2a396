// A new box: what goes in, which box, which paper; the program proposes the rest.

import { Refused, command, drafts, post, things, thingsChanged } from "./ask.js";
import { button, choices, el, fill, labelled, linesOf, say, troubles } from "./dom.js";
import { beside, styled } from "./loop.js";
import { plainly, wishOf } from "./wish.js";

const MOST_BYTES = 25e6;
const BENCH = "score-board-inch";

export async function open(place) {
  styled();
  const known = await things();
  const lines = el("div");
  const told = el("div", { "aria-live": "polite" });
  const name = el("input", { name: "name", autocomplete: "off", placeholder: "coin-box" });
  const room = el("input", { name: "room", autocomplete: "off", placeholder: "70 x 80 x 20 mm" });
  const style = choices(known.boxes.map(named), "tray");
  const paper = choices(known.papers.map(named), "cover-80");
  const lid = choices([{ value: "", words: "the same" }, ...known.papers.map(named)], "");
  const board = choices(known.boards.map(named), BENCH);
  const sits = choices([{ value: "slides", words: "slides easily" }, { value: "snug", words: "snug" }], "slides");
  const lay = choices([{ value: "", words: "as the box has it" }, { value: "flat", words: "flat, long round things on their side" }, { value: "edge", words: "on an edge" }, { value: "end", words: "on an end: jars and tins stand" }, { value: "any", words: "as it fits best" }], "");
  const add = () => { lines.append(itemLine(known, lines)); };
  add();
  keep({ name, room, style, paper, lid, board, sits, lay });
  const go = el("button", { class: "main", text: "Propose a box" });
  const stop = button("Stop", () => {}, { hidden: true });
  const form = el(
    "form", { class: "sheet", autocomplete: "off", novalidate: true },
    el("h2", { text: "What goes in" }), lines,
    el("p", { class: "row" }, button("Something else too", add, { class: "small" })),
    labelled("Or only a size", room, { help: "What is to be free inside, width x length x height, when nothing of the list goes in: 70 x 80 x 20 mm, or 2 3/4 x 3 x 3/4 in." }),
    el("h2", { text: "Which box" }), labelled("Box", style), labelled("What goes in lies", lay, { help: "Else trays lay it flat, cartons stand it on end." }), labelled("What goes in sits", sits, { help: "The lid, too, where most boxes come out right so." }),
    el("h2", { text: "Made of" }), labelled("Paper", paper, { help: "What it is folded from. A paper that is not here is made known by measuring it." }), labelled("Lid's paper", lid), labelled("Board", board, { help: "The board you score on: sizes are proposed so that every score is in one of its grooves." }),
    el("h2", { text: "Its name" }), labelled("Name", name, { help: "What the box is called. Its letters, digits, - and _ become the name of its file." }),
    el("p", { class: "row" }, go, stop),
  );
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (go.disabled) return;
    const fields = { name, room, style, paper, lid, board, sits, lay, lines };
    for (const field of form.querySelectorAll("input, select")) beside(field, "");
    fill(told);
    const wish = wishOf(fields, known.items.map((one) => one.name));
    if (wish.problems.length) {
      tell(wish.problems, form);
      return;
    }
    go.disabled = true;
    stop.hidden = false;
    fill(told, el("p", { text: "Trying sizes; this takes some seconds." }));
    try {
      const lost = await propose(wish, told, stop);
      const placed = lost.map((one) => ({ ...one, field: one.key === "item" ? itemField(wish, one.called) : fields[one.key] }));
      fill(told, placed.some(({ field }) => !field) ? troubles(placed.filter(({ field }) => !field).map(({ text }) => ({ key: "", text }))) : null);
      tell(placed.filter(({ field }) => field), form);
    } catch (error) {
      fill(told, troubles(linesOf(error)));
    }
    go.disabled = false;
    stop.hidden = true;
  });
  fill(place, el("h1", { text: "Begin a new box" }), el("p", { text: "Say what goes in and what you fold it from. Every size is proposed, and can be changed afterwards." }), form, told);
}

// A thing to choose, with what is known of it; a kind that stands in its name is not said again.
function named({ name: value, words }) {
  const [stem] = value.split("-");
  return { value, words: `${value}: ${words.startsWith(stem) ? words.slice(stem.length).replace(/^[, ]+/, "") : words}` };
}

// What was chosen stays until a box was proposed from it.
const KEPT = "new box";
function keep(fields) {
  const draft = drafts.get(KEPT) || {};
  for (const [key, field] of Object.entries(fields)) {
    if (draft[key] !== undefined) field.value = draft[key];
    field.addEventListener("input", () => { draft[key] = field.value; drafts.put(KEPT, draft); });
  }
}

// What a kind's sizes are, and what they look like.
const SIZES = {
  block: { like: "60 x 40 x 22 mm", help: "Width x length x height, with the unit: 60 x 40 x 22 mm, or 2 3/8 x 1 1/2 x 7/8 in." },
  card: { like: "85.6 x 54 x 0.8 mm", help: "Width x length x thickness, as 85.6 x 54 x 0.8 mm." },
  cylinder: { like: "66 x 85 mm", help: "Diameter x height from one flat end to the other, as 66 x 85 mm." },
  sphere: { like: "16 mm", help: "Its diameter, as 16 mm or 5/8 in." },
};

function itemLine(known, lines) {
  const own = { value: "?", words: "something new: I give its size" };
  const item = choices([{ value: "", words: "choose" }, ...known.items.map(({ name }) => name), own], "", { class: "item" });
  const count = el("input", { value: "1", class: "count", inputmode: "numeric", autocomplete: "off" });
  const called = el("input", { class: "called", autocomplete: "off", placeholder: "soap" });
  const kind = choices([{ value: "block", words: "a block" }, { value: "cylinder", words: "round and flat-ended, diameter x height" }, { value: "card", words: "a card" }, { value: "sphere", words: "a ball, diameter" }, { value: "mesh", words: "the shape of a mesh file" }], "block", { class: "kind" });
  const sizes = el("input", { class: "sizes", autocomplete: "off", placeholder: "60 x 40 x 22 mm" });
  const file = el("input", { type: "file", class: "mesh", accept: ".stl,.3mf,.obj,.ply" });
  const [bySize, byFile] = [el("div"), el("div", { hidden: true }, labelled("Its file", file, { help: "STL, 3MF, OBJ or PLY, in millimetres. It is copied into the workspace." }))];
  const asked = () => {
    const { help, like } = SIZES[kind.value] || SIZES.block;
    sizes.placeholder = like;
    fill(bySize, labelled("Its size", sizes, { help: `${help} Of one piece, not of the stack; measure the largest of several.` }));
  };
  kind.addEventListener("change", asked);
  kind.addEventListener("change", () => { bySize.hidden = kind.value === "mesh"; byFile.hidden = kind.value !== "mesh"; });
  const more = el("div", { class: "new-item", hidden: true }, labelled("Call it", called), labelled("It is", kind), bySize, byFile);
  asked();
  item.addEventListener("change", () => { more.hidden = item.value !== "?"; });
  const made = el("div", { class: "going-in", role: "group", "aria-label": `Thing ${lines.childElementCount + 1}` }, labelled("What", item), labelled("How many", count), more);
  if (lines.childElementCount) made.append(button("Not this", () => made.remove(), { class: "small" }));
  return made;
}

// Begins the box; what stands in its way comes back as { key, called, text }.
async function propose({ given, described }, told, stop) {
  for (const one of described) if (one.kind === "mesh") one.words = `${one.called}=mesh ${one.sizes = await sent(one.file)}`;
  if (described.length) given.describe = described.map(({ words }) => words);
  const going = await command("new", given, (event) => {
    if (event.kind === "step") fill(told, el("p", { text: `${event.text}` }));
  });
  stop.onclick = going.stop;
  const end = await going.over;
  if (end.kind === "stopped") return [{ key: "", text: "stopped; nothing was written" }];
  if (end.kind !== "done") return end.lines.map((line) => plainly(line, described));
  drafts.drop(KEPT);
  thingsChanged();
  say("The box is on the shelf");
  location.hash = `#/design/${encodeURIComponent(given.name)}`;
  return [];
}

// The blank that says what an item is, or which one it is.
function itemField({ items }, called) {
  const { line } = items.find((one) => one.called === called) || items[0];
  const blanks = [...line.querySelectorAll(".sizes, .mesh, select.item")].filter((one) => !one.closest("[hidden]"));
  return blanks[blanks.length - 1];
}

// Puts each problem at its blank and goes to the first of them.
function tell(problems, form) {
  for (const { field, text } of problems) beside(field, text);
  form.querySelector("[aria-invalid]")?.focus();
  say(problems.map(({ text }) => text).join("; "));
}

// Copies a chosen file into the workspace; returns its name there.
async function sent(input) {
  const file = input.files[0];
  if (!file) throw new Refused([{ key: "the file", text: "none was chosen; choose a mesh file, or give a size" }]);
  if (file.size > MOST_BYTES) throw new Refused([{ key: "the file", text: `has ${Math.round(file.size / 1e6)} million bytes; allowed: up to ${MOST_BYTES / 1e6} million; make it coarser` }]);
  const data = new Uint8Array(await file.arrayBuffer());
  let text = "";
  for (let k = 0; k < data.length; k += 0x8000) text += String.fromCharCode(...data.subarray(k, k + 0x8000));
  return (await post("/api/files", { name: file.name, base64: btoa(text) })).name;
}
