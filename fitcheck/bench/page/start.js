// A new box: what goes in, which box, which paper; the program proposes the rest.

import { Refused, command, drafts, post, things } from "./ask.js";
import { button, choices, el, fill, labelled, linesOf, nameOf, say, troubles } from "./dom.js";

const MOST_BYTES = 25e6;
const BENCH = "score-board-inch";

export async function open(place) {
  const known = await things();
  const lines = el("div");
  const told = el("div", { "aria-live": "polite" });
  const name = el("input", { name: "name", required: true, autocomplete: "off", placeholder: "coin-box" });
  const room = el("input", { name: "room", autocomplete: "off", placeholder: "70 x 80 x 20 mm" });
  const style = choices(known.boxes.map(({ name: value, words }) => ({ value, words: `${value}: ${words}` })), "tray");
  const paper = choices(known.papers.map(({ name: value, words }) => ({ value, words: `${value}: ${words}` })), "cover-80");
  const lid = choices([{ value: "", words: "the same" }, ...known.papers.map(({ name: value, words }) => ({ value, words: `${value}: ${words}` }))], "");
  const board = choices(known.boards.map(({ name: value, words }) => ({ value, words: `${value}: ${words}` })), BENCH);
  const sits = choices([{ value: "slides", words: "slides easily" }, { value: "snug", words: "snug" }], "slides");
  const add = () => { lines.append(itemLine(known, lines)); };
  add();
  keep({ name, room, style, paper, lid, board, sits });
  const go = el("button", { class: "main", text: "Propose a box" });
  const stop = button("Stop", () => {}, { hidden: true });
  const form = el(
    "form", { class: "sheet", autocomplete: "off" },
    el("h2", { text: "What goes in" }), lines,
    el("p", { class: "row" }, button("Something else too", add, { class: "small" })),
    labelled("Or only a size", room, { help: "What is to be free inside, width x length x height, when nothing of the list goes in: 70 x 80 x 20 mm, or 2 3/4 x 3 x 3/4 in." }),
    el("h2", { text: "Which box" }), labelled("Box", style), labelled("What goes in sits", sits, { help: "The lid, too, where most boxes come out right so." }),
    el("h2", { text: "Made of" }), labelled("Paper", paper, { help: "What it is folded from. A paper that is not here is made known by measuring it." }), labelled("Lid's paper", lid), labelled("Board", board, { help: "The board you score on: sizes are proposed so that every score is in one of its grooves." }),
    el("h2", { text: "Its name" }), labelled("Name", name, { help: "Letters, digits, - and _: it becomes the name of a file." }),
    el("p", { class: "row" }, go, stop),
  );
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    go.disabled = true;
    stop.hidden = false;
    fill(told, el("p", { text: "Trying sizes; this takes some seconds." }));
    try {
      await propose({ name, room, style, paper, lid, board, sits, lines }, told, stop);
    } catch (error) {
      fill(told, troubles(linesOf(error)));
    }
    go.disabled = false;
    stop.hidden = true;
  });
  fill(place, el("h1", { text: "Begin a new box" }), el("p", { text: "Say what goes in and what you fold it from. Every size is proposed, and can be changed afterwards." }), form, told);
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

function itemLine(known, lines) {
  const own = { value: "?", words: "something new: I give its size" };
  const item = choices([{ value: "", words: "choose" }, ...known.items.map(({ name }) => name), own], "", { class: "item" });
  const count = el("input", { type: "number", min: "1", max: "500", value: "1", class: "count", inputmode: "numeric" });
  const called = el("input", { class: "called", autocomplete: "off", placeholder: "soap" });
  const kind = choices([{ value: "block", words: "a block" }, { value: "cylinder", words: "round and flat-ended, diameter x height" }, { value: "card", words: "a card" }, { value: "sphere", words: "a ball, diameter" }, { value: "mesh", words: "the shape of a mesh file" }], "block", { class: "kind" });
  const sizes = el("input", { class: "sizes", autocomplete: "off", placeholder: "60 x 40 x 22 mm" });
  const file = el("input", { type: "file", class: "mesh", accept: ".stl,.3mf,.obj,.ply" });
  const [bySize, byFile] = [el("div"), el("div", { hidden: true }, labelled("Its file", file, { help: "STL, 3MF, OBJ or PLY, in millimetres. It is copied into the workspace." }))];
  kind.addEventListener("change", () => { bySize.hidden = kind.value === "mesh"; byFile.hidden = kind.value !== "mesh"; });
  const more = el("div", { class: "new-item", hidden: true }, labelled("Call it", called), labelled("It is", kind), bySize, byFile);
  bySize.append(labelled("Its size", sizes, { help: "Width x length x height, with the unit: 60 x 40 x 22 mm, or 2 3/8 x 1 1/2 x 7/8 in. Of one piece, not of the stack; measure the largest of several." }));
  item.addEventListener("change", () => { more.hidden = item.value !== "?"; });
  const made = el("div", { class: "going-in" }, labelled("What", item), labelled("How many", count), more);
  if (lines.childElementCount) made.append(button("Not this", () => made.remove(), { class: "small" }));
  return made;
}

async function propose({ name, room, style, paper, lid, board, sits, lines }, told, stop) {
  const items = [];
  const described = [];
  for (const line of lines.querySelectorAll(".going-in")) {
    const value = (wanted) => line.querySelector(wanted).value.trim();
    const item = value("select.item");
    if (!item) continue;
    const called = item === "?" ? nameOf(value(".called")) : item;
    if (item === "?") described.push(`${called}=${value(".kind")} ${value(".kind") === "mesh" ? await sent(line.querySelector(".mesh")) : value(".sizes")}`);
    items.push(`${called}:${value(".count") || 1}`);
  }
  const given = { name: nameOf(name.value), style: style.value, tools: board.value, sits: sits.value, stock: [`base=${paper.value}`] };
  if (lid.value) given.stock.push(`lid=${lid.value}`);
  if (items.length) given.item = items;
  if (described.length) given.describe = described;
  if (room.value.trim()) given.room = room.value.trim();
  const going = await command("new", given, (event) => {
    if (event.kind === "step") fill(told, el("p", { text: `${event.text}` }));
  });
  stop.onclick = going.stop;
  const end = await going.over;
  if (end.kind === "done") {
    drafts.drop(KEPT);
    say("The box is on the shelf");
    location.hash = `#/design/${encodeURIComponent(given.name)}`;
    return;
  }
  const lost = end.kind === "stopped" ? [{ key: "", text: "stopped; nothing was written" }] : end.lines.map((text) => ({ key: "", text: text.replace(/^(--)?([a-z-]+|NAME): /, (_, __, option) => `${NAMED[option] || option}: `) }));
  fill(told, troubles(lost));
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

const NAMED = { item: "what goes in", describe: "what is new", room: "the size", style: "the box", stock: "the paper", tools: "the board", sits: "how it sits", NAME: "the name" };
