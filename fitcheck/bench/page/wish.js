// What is said of a new box: read as a maker means it, and what is wrong told at the blank it is in.

import { nameOf } from "./dom.js";

const MOST = 500;
const WORDS = ["no size", "one size", "two sizes", "three sizes", "four sizes"];
const UNIT = /(mm|cm|inches|inch|in|pt|["″])\s*$/i;
const KINDS = {
  block: { sides: ["width", "length", "height"], like: "60 x 40 x 22 mm" },
  card: { sides: ["width", "length", "thickness"], like: "85.6 x 54 x 0.8 mm" },
  cylinder: { sides: ["diameter", "height"], like: "25 x 4 mm" },
  sphere: { sides: ["diameter"], like: "16 mm" },
};

// Sizes as the program reads them, or what to type instead: { text } or { problem }.
function sizesOf(said, kind) {
  const { sides, like: example } = KINDS[kind];
  const many = sides.length;
  const like = `${many > 1 ? sides.join(" x ") : `the ${sides[0]}`}, such as ${example}`;
  const [whole, sizes, tail] = /^([^]*?)(\s*,\s*[^\s\d][^]*)?$/.exec(said.trim());
  if (!whole) return { problem: `write its size here: ${like}` };
  const row = /\d,\s*\d+\s*,\s*\d/.exec(sizes) || /\d,\s+\d/.exec(sizes);
  if (row) return { problem: `write an x between the sizes: ${like}` };
  const twice = /(?<![\d.])([1-9]\d{0,2}),(\d{3})(?!\d)/.exec(sizes);
  if (twice) return { problem: `${twice[0]} can be read in two ways: write ${twice[1]}.${twice[2]} or ${twice[1]}${twice[2]}` };
  const found = sizes.replace(/(\d),(\d)/g, "$1.$2").split(/\s*[x×*]\s*/i);
  if (found.length !== many) return { problem: `there ${found.length > 1 ? "are" : "is"} ${WORDS[found.length] || `${found.length} sizes`} here: write ${WORDS[many]}, ${like}` };
  const odd = found.find((one) => !/[\d\u00bc-\u00be\u2150-\u215e]/.test(one));
  if (odd !== undefined) return { problem: odd ? `“${odd}” is no size: write ${like}` : `a size is missing: write ${like}` };
  if (!UNIT.test(found[many - 1])) return { problem: `write the unit behind it: ${found.join(" x ")} mm, or ${found.join(" x ")} in` };
  return { text: found.join(" x ") + (tail || "") };
}

// How many, or what to type instead: { count } or { problem }.
function countOf(said) {
  const text = said.trim();
  if (/^\d+$/.test(text) && Number(text) >= 1 && Number(text) <= MOST) return { count: String(Number(text)) };
  if (!text) return { problem: `write how many go in: a whole number, up to ${MOST}` };
  const part = /^(\d{1,3})[.,]\d+$/.exec(text);
  if (part) return { problem: `${text} is not a whole number: write ${part[1] > 0 ? `${part[1]} or ` : ""}${Number(part[1]) + 1}` };
  if (/^\d+$/.test(text) && Number(text) > MOST) return { problem: `up to ${MOST} go into one box: write fewer` };
  return { problem: `write a whole number, from 1 to ${MOST}` };
}

// What a command of the terminal said of the form, in words of the page: { key, text } each.
const KEYS = { item: "item", describe: "item", room: "room", style: "style", stock: "paper", tools: "board", sits: "sits", lay: "lay", title: "name", NAME: "name" };
export function plainly(line, described) {
  const [, key, rest] = /^(?:--)?([a-z]+|NAME): ([^]*)$/.exec(line) || [null, "", line];
  if (key === "NAME" && rest.includes("is there already")) return { key: "name", text: "there is a box of that name already, and nothing is written over: choose another name" };
  let text = rest;
  for (const { called, words, sizes } of described) text = text.replaceAll(words, sizes).replaceAll(`'${called}=`, "'");
  text = text.replace(/; (correct it|write it so)$/, "").replace(/(^|[^\w-])--(item|describe|room|style|stock|tools|sits|lay)\b/g, (_, before, option) => `${before}“${NAMED[option]}”`);
  return { key: KEYS[key] || "", called: (/'([^':=]+)[:=]?/.exec(rest) || [])[1], text };
}
const NAMED = { item: "What", describe: "something new", room: "Or only a size", style: "Box", stock: "Paper", tools: "Board", sits: "What goes in sits", lay: "What goes in lies" };

// All that is asked for, from the blanks; `problems` are { field, text }.
export function wishOf({ name, room, style, paper, lid, board, sits, lay, lines }, known) {
  const problems = [];
  const wrong = (field, text) => { problems.push({ field, text }); };
  const given = { name: nameOf(name.value), style: style.value, tools: board.value, sits: sits.value, stock: [`base=${paper.value}`] };
  const items = [];
  const described = [];
  for (const line of lines.querySelectorAll(".going-in")) {
    const field = (wanted) => line.querySelector(wanted);
    const item = field("select.item").value;
    if (!item) continue;
    const one = item === "?" ? described[described.push(newItem(field, wrong, [...known, ...described.map(({ called }) => called)])) - 1] : { called: item };
    const { count, problem } = countOf(field(".count").value);
    if (problem) wrong(field(".count"), problem);
    items.push({ called: one.called, count, line });
  }
  const size = room.value.trim();
  if (size && items.length) wrong(room, "something goes in already, and decides the size: empty this, or choose nothing above");
  else if (size) {
    const { text, problem } = sizesOf(size, "block");
    if (problem) wrong(room, problem);
    given.room = text;
  } else if (!items.length) wrong(lines.querySelector("select.item"), "choose what goes in, or write only a size below");
  if (!given.name) wrong(name, "write what the box is called, with a letter or a digit in it");
  else if (given.name !== name.value.trim()) given.title = name.value.trim();
  if (lid.value) given.stock.push(`lid=${lid.value}`);
  if (items.length && lay.value) given.lay = lay.value;
  if (items.length) given.item = items.map(({ called, count }) => `${called}:${count}`);
  return { given, items, described, problems };
}

// What is new, from the blanks of its line.
function newItem(field, wrong, known) {
  const said = field(".called").value.trim();
  const called = nameOf(said);
  const kind = field(".kind").value;
  const there = known.find((one) => one.toLowerCase() === called.toLowerCase());
  if (!called) wrong(field(".called"), "write what it is called, such as soap");
  else if (there) wrong(field(".called"), `there is something called ${there} already: choose it from the list, or call this one otherwise`);
  if (kind === "mesh") {
    if (!field(".mesh").files[0]) wrong(field(".mesh"), "choose a mesh file, or give a size instead");
    return { called, kind, file: field(".mesh") };
  }
  const { text, problem } = sizesOf(field(".sizes").value, kind);
  if (problem) wrong(field(".sizes"), problem);
  return { called, kind, sizes: text, words: `${called}=${kind} ${text}` };
}
