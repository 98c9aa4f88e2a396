// A box that is made of other papers than its design says.

import { drafts, get, things } from "./ask.js";
import { choices, el, labelled } from "./dom.js";
import { beside } from "./loop.js";

export async function otherPapers(name) {
  const [{ parts }, { papers }] = await Promise.all([get(`/api/parts/${encodeURIComponent(name)}`), things()]);
  const key = `box papers ${name}`;
  const kept = drafts.get(key) || {};
  const fields = Object.fromEntries(parts.map((part) => {
    const own = { value: "", words: `${part.stock}, as designed` };
    const field = choices([own, ...papers.filter((one) => one.name !== part.stock).map((one) => one.name)], kept[part.name] || "", { on: { change: () => { kept[part.name] = field.value; drafts.put(key, kept); beside(field, ""); } } });
    return [part.name, field];
  }));
  const told = Object.values(kept).some(Boolean);
  const node = parts.length ? el("details", { open: told }, el("summary", { text: "Made of other papers than designed" }), Object.entries(fields).map(([part, field]) => labelled(`The ${part} is of`, field))) : el("div");
  // As the commands read them: the part and its paper.
  function given() {
    return Object.entries(fields).filter(([, field]) => field.value).map(([part, field]) => `${part}=${field.value}`);
  }
  // Shows what is wrong with the papers; returns the other problems.
  function show(problems) {
    const first = Object.values(fields).find((field) => field.value) || Object.values(fields)[0];
    return problems.filter(({ key: about, text }) => {
      if (about !== "stock" || !first) return true;
      node.open = true;
      beside(first, text);
      first.focus();
      return false;
    });
  }
  return { node, given, show };
}
