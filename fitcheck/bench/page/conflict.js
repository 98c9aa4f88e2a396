// Two texts side by side, line by line, with what only one of them has marked.

import { el } from "./dom.js";

export function beside(mine, theirs) {
  const [a, b] = [mine.split("\n"), theirs.split("\n")];
  const common = longest(a, b);
  const column = (title, lines, kept, sign) => el("div", {}, el("h3", { text: title }), el("pre", { tabindex: "0" }, lines.map((text, k) => el("span", { class: kept.has(k) ? "" : "only", text: `${kept.has(k) ? "  " : sign}${text}\n` }))));
  return el("div", { class: "both" }, column("What you have here", a, common[0], "> "), column("What the file says now", b, common[1], "< "));
}

// Which lines of each belong to a longest common subsequence.
function longest(a, b) {
  const table = Array.from({ length: a.length + 1 }, () => new Uint32Array(b.length + 1));
  for (let i = a.length - 1; i >= 0; i -= 1) for (let k = b.length - 1; k >= 0; k -= 1) table[i][k] = a[i] === b[k] ? table[i + 1][k + 1] + 1 : Math.max(table[i + 1][k], table[i][k + 1]);
  const kept = [new Set(), new Set()];
  for (let i = 0, k = 0; i < a.length && k < b.length;) {
    if (a[i] === b[k]) { kept[0].add(i); kept[1].add(k); i += 1; k += 1; } else if (table[i + 1][k] >= table[i][k + 1]) i += 1;
    else k += 1;
  }
  return kept;
}
