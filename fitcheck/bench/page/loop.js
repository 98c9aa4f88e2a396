// What the views of the measuring loop share: their look, what can be measured, today's date.

import { el } from "./dom.js";

export const KINDS = {
  paper: { words: "a paper", list: "papers", make: "Draw the coupon", made: "coupon", how: "how thick it is and what a fold of it takes up" },
  hand: { words: "a hand and its board", list: "boards", make: "Draw the coupon", made: "coupon", how: "how far cuts and scores come out beside their marks" },
  printer: { words: "a printer", list: "printers", make: "Make the gauges", made: "gauges", how: "how far prints come out beside their model" },
};

export function styled() {
  if (!document.getElementById("loop-look")) document.head.append(el("link", { rel: "stylesheet", href: "/page/loop.css", id: "loop-look" }));
}

export function today() {
  const now = new Date();
  const two = (number) => String(number).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

// The lines of a command that failed, each beside what it is about; options lose their dashes.
export function problemsOf(lines, names = {}) {
  return lines.map((line) => {
    const found = /^--([a-z-]+)(?:, --[a-z-]+)*: (.*)$/s.exec(line) || /^(STOCK|PRINTER|NAME): (.*)$/s.exec(line);
    const plain = (text) => text.replace(/(^|[^\w-])--([a-z][a-z-]*)/g, (whole, before, option) => before + (names[option.replaceAll("-", "_")] || option));
    if (!found) return { key: "", text: plain(line) };
    const key = found[1] === found[1].toUpperCase() ? "name" : found[1].replaceAll("-", "_");
    return { key, text: plain(found[2]) };
  });
}

// A fresh id for what stands beside a field.
let ids = 0;
export function fresh(word) {
  return `${word}-${(ids += 1)}`;
}

// Puts a problem beside its field, or takes it away; `quiet` for what is only to be looked at.
export function beside(field, text, { quiet = false } = {}) {
  const id = field.dataset.trouble || (field.dataset.trouble = fresh("trouble"));
  document.getElementById(id)?.remove();
  field.removeAttribute("aria-invalid");
  field.removeAttribute("aria-describedby");
  if (!text) return;
  if (!quiet) field.setAttribute("aria-invalid", "true");
  field.setAttribute("aria-describedby", id);
  const said = el("p", { id, class: quiet ? "beside" : "beside trouble", text });
  const line = field.closest(".line");
  if (line) line.append(said);
  else field.after(said);
}
