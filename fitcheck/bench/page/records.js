// What is known under a name, and the records of readings that it is known from.

import { command, get, thingsChanged } from "./ask.js";
import { button, el, fill, linesOf, question, say, troubles } from "./dom.js";
import { problemsOf } from "./loop.js";

export function recordsPart(kind, name, first) {
  const held = el("div");
  const said = el("div");
  const node = el("section", { class: "sheet known" }, el("h2", { text: "What is known" }), held, said);

  function show({ known, records, wrong }) {
    fill(
      held,
      wrong.length ? troubles(wrong) : null,
      known.length ? el("table", { class: "facts" }, el("tbody", {}, known.map(([what, words]) => el("tr", {}, el("th", { scope: "row", text: what }), el("td", { text: words }))))) : el("p", { text: wrong.length ? "What is known cannot be read." : "Nothing yet: this is a new name." }),
      records.length ? el("details", {}, el("summary", { text: records.length === 1 ? "Its record" : `Its ${records.length} records` }), el("ul", { class: "records" }, records.map(lineOf)), el("p", {}, button("Work it out anew from the records", rebuild))) : null,
    );
  }
  function lineOf(record) {
    const words = record.aside ? " set aside, does not count; " : " counts; ";
    const turn = record.aside ? button("Take it back", () => turned("take_back", record, "count again"), { class: "small", "aria-label": `Take ${record.name} back` }) : button("Set it aside", () => turned("set_aside", record, "count no more"), { class: "small", "aria-label": `Set ${record.name} aside` });
    return el("li", {}, el("strong", { text: record.name }), words, `${record.words} `, turn);
  }
  async function turned(option, record, what) {
    const sure = await question(`${record.name}: ${record.words}`, [], { yes: option === "set_aside" ? "Set it aside" : "Take it back", words: `Its readings ${what}. The record itself stays as it is.` });
    if (sure) await run({ name, [option]: [record.name] });
  }
  async function rebuild() {
    const sure = await question("Work it out anew?", [], { yes: "Work it out", words: "The profile is made again from the records that it names." });
    if (sure) await run({ name, rebuild: true });
  }
  async function run(given) {
    fill(said, el("p", { class: "quiet", text: "at work ..." }));
    try {
      const ended = await (await command("learn", given)).over;
      thingsChanged();
      show(await get(`/api/measured/${kind}/${encodeURIComponent(name)}`));
      const wrong = ended.kind === "done" ? [] : problemsOf(ended.lines || ["stopped"]);
      fill(said, wrong.length ? troubles(wrong) : el("details", { open: true }, el("summary", { text: "Done" }), el("pre", { text: ended.text })));
      say(wrong.length ? wrong.map(({ text }) => text).join("; ") : "Done");
    } catch (error) {
      fill(said, troubles(linesOf(error)));
    }
    node.querySelector("details")?.setAttribute("open", "");
  }
  show(first);
  return { node, show };
}
