// Words of the trade within a sentence, each explained where it stands.

import { things } from "./ask.js";
import { el } from "./dom.js";

const MOST = 2;
const COMMON = new Set(["base", "lid", "box", "right", "score", "cut", "fold", "floor", "wall", "inside", "board", "tools", "tray", "opening", "content", "panel", "part"]);
let known = null;

// Asked once; until it is there, sentences are plain.
things().then(({ words }) => {
  const names = Object.keys(words).filter((word) => !COMMON.has(word)).sort((a, b) => b.length - a.length);
  const escaped = names.map((word) => word.replace(/[.*+?^${}()|[\]\\]/g, "\\$&"));
  known = { words, pattern: new RegExp(`\\b(${escaped.join("|")})\\b`, "gi") };
}).catch(() => {});

// A sentence as what is appended to an element.
export function explained(text) {
  if (!known) return [text];
  const parts = [];
  const told = new Set();
  let from = 0;
  for (const found of text.matchAll(known.pattern)) {
    const word = found[1].toLowerCase();
    if (told.has(word) || told.size >= MOST || !known.words[word]) continue;
    told.add(word);
    parts.push(text.slice(from, found.index), one(found[1], known.words[word]));
    from = found.index + found[1].length;
  }
  parts.push(text.slice(from));
  return parts;
}

function one(word, words) {
  const said = el("span", { class: "said-word", hidden: true, role: "note" }, el("span", { "aria-hidden": "true", text: `${word}: ` }), words);
  const show = (is) => { said.hidden = !is; made.setAttribute("aria-expanded", String(is)); };
  const made = el("button", { type: "button", class: "word", "aria-expanded": "false", "aria-label": `${word}, what it means`, text: word, on: { click: () => show(said.hidden), blur: () => show(false), keydown: (event) => { if (event.key === "Escape") show(false); } } });
  return el("span", { class: "worded" }, made, said);
}
