// Sheets, recipe, stand-ins and report, made in the background from the saved design.

import { command, get, things } from "./ask.js";
import { Before } from "./before.js";
import { button, choices, el, fill, labelled, linesOf, say, troubles } from "./dom.js";

const FORMATS = { svg: "SVG", pdf: "PDF", dxf: "DXF", machine: "lines alone for a cutting machine", fold: "FOLD for folding research" };
const PICTURES = /\.(svg|png)$/;

export class Making {
  constructor(place, editing, saved) {
    this.place = place;
    this.editing = editing;
    this.before = [];
    this.saved = saved;
    this.all = [];
  }

  leave() { for (const going of this.all) going.leave(); }

  look() { for (const one of this.before) one.look(); }

  async show() {
    const known = await things();
    const page = (id) => choices([{ value: "", words: "as the design's unit goes" }, ...known.pages], "", { id });
    const film = el("input", { type: "checkbox", id: "film" });
    const glb = el("input", { type: "checkbox", id: "glb" });
    const papers = [page("sheet-paper"), choices([{ value: "", words: "letter or A4" }, "letter", "a4"], "", { id: "publish-paper" })];
    const bed = el("input", { id: "bed", value: "180x180x180" });
    const printer = choices([{ value: "", words: "not measured" }, ...known.printers.map(({ name }) => name)], "", { id: "printer" });
    const formats = ["svg", "pdf", "dxf", "machine", "fold"].map((kind, k) => tick(kind, FORMATS[kind], k < 3));
    const kits = el("input", { type: "number", id: "kits", min: "1", max: "500", value: "1" });
    const bought = el("input", { id: "bought", placeholder: "8 1/2 x 11", autocomplete: "off" });
    const names = (list, id, none) => choices([{ value: "", words: none }, ...list.map(({ name }) => name)], "", { id });
    const [theirPaper, theirBoard] = [names(known.papers, "their-paper", "as it is"), names(known.boards, "their-board", "as it is")];
    const step = tick("step", "STEP files for a solid modeller too", false);
    const side = choices([{ value: "outside", words: "its outside" }, { value: "inside", words: "its inside" }], "outside", { id: "true-side" });
    const { designs } = await get("/api/shelf");
    const other = choices([...new Set(designs.filter((one) => !one.away).map(({ name }) => name))], "", { id: "other" });
    const more = (...lines) => el("details", {}, el("summary", { text: "More to choose" }), lines);
    const kinds = known.dummies.map((kind) => tick(kind, kind, true));
    fill(
      this.place,
      this.work("Sheets and steps", "The parts at 1:1 to cut and score, what to set on the board, and a table to measure against.", "sheet", () => ({ paper: papers[0].value, format: chosen(formats), class: kits.value, bought: bought.value }), labelled("Print on", papers[0]), more(el("p", { class: "row" }, formats), labelled("For so many boxes", kits, { help: "How many sheets to buy is counted for so many." }), labelled("Sheets as bought", bought, { help: "Width x length in the design's unit, or a paper's name such as letter, a4 or 12x12." }))),
      this.work("A recipe to publish", "One PDF and one page with pictures of every step, sizes and the 1:1 sheets.", "publish", () => ({ paper: papers[1].value, film: film.checked, glb: glb.checked, for_stock: theirPaper.value ? [`base=${theirPaper.value}`] : [], for_tools: theirBoard.value }), labelled("Print on", papers[1]), more(labelled("Another reader's paper", theirPaper, { help: "The recipe gets a second column of sizes for whoever has this paper for the base." }), labelled("Another reader's board", theirBoard)), el("p", { class: "row" }, el("label", { class: "tick" }, film, " a sheet for the camera too"), el("label", { class: "tick" }, glb, " the open box for a phone too"))),
      this.work("Stand-ins to print", "Blocks the size of the contents, of the inside and of the folded parts, for a 3D printer.", "dummy", () => ({ only: chosen(kinds), bed: bed.value, printer: printer.value, true: side.value, step: step.firstChild.checked }), more(labelled("The box is true at", side, { help: "Which side of the thick-walled box has the size of the paper one." }), el("p", { class: "row" }, step)), labelled("The printer holds", bed, { help: "Width x length x height in mm." }), labelled("Corrected for", printer), el("p", { class: "row" }, kinds)),
      this.work("Report and pictures", "One page with the turning box, its figures and odds, and still pictures for a post.", "report", () => ({})),
      this.work("A comparison", "This design beside another one: what differs, and what that does to sizes, plays and boxes out of 100.", "compare", () => ({ other: other.value }), labelled("With", other)),
      el("h3", { text: "Before you cut or print" }),
      el("ul", { class: "quiet" }, known.cautions.map((text) => el("li", { text }))),
    );
  }

  work(title, words, name, given, ...options) {
    const told = el("div", { role: "status" });
    const made = el("div");
    const before = new Before(this.editing, made, "make them again");
    this.before.push(before);
    const go = button(`Make ${title.charAt(0).toLowerCase()}${title.slice(1)}`, async () => {
      go.disabled = true;
      fill(made);
      before.of(null);
      try {
        const design = await this.saved();
        if (design) before.of(this.editing.kept.text);
        if (design) await this.run(name, { design, ...given() }, told, made, title);
        else fill(told, el("p", { text: "Save the design first: what is made, is made of the file." }));
      } catch (error) {
        fill(told, troubles(linesOf(error)));
      }
      go.disabled = false;
    }, { class: "main" });
    return el("section", { class: "work", "aria-label": title }, el("h3", { text: title }), el("p", { class: "quiet", text: words }), options, el("p", { class: "row" }, go), before.line, told, made);
  }

  async run(name, given, told, made, title) {
    const bar = el("progress", { "aria-label": title });
    const step = el("span", { text: "begins" });
    const going = await command(name, given, (event) => {
      if (event.kind === "waits") step.textContent = "waits for its turn";
      if (event.kind === "begun") step.textContent = "at it";
      if (event.kind === "step") {
        step.textContent = event.text;
        if (event.total) { bar.max = event.total; bar.value = event.done; }
      }
    });
    this.all.push(going);
    fill(told, el("p", { class: "row" }, bar, step, button("Stop", going.stop, { class: "small" })));
    const end = await going.over;
    if (end.kind === "stopped") { fill(told, el("p", { text: "Stopped; nothing was made." })); return; }
    if (end.kind === "failed") { fill(told, troubles(end.lines.map((text) => ({ key: "", text })))); return; }
    fill(told, end.status === 1 ? el("p", { class: "trouble", text: "Made, but the box does not go together as it is drawn: what is wrong stands below. Mend it before good paper is cut." }) : el("p", { text: end.files.length ? `${end.files.length} files were made.` : "Done." }));
    say(`${title}: ${told.textContent}`);
    fill(made, results(going.run, end, `${given.design}-${name}.zip`));
  }
}

function tick(value, words, checked) {
  return el("label", { class: "tick" }, el("input", { type: "checkbox", value, checked }), ` ${words}`);
}

function chosen(ticks) {
  return ticks.map((one) => one.firstChild).filter((one) => one.checked).map((one) => one.value);
}

// What a run made: pictures to look at, files to keep, and what it said.
export function results(run, { files, text }, zip = "files.zip") {
  const at = (name) => `/api/runs/${encodeURIComponent(run)}/files/${name.split("/").map(encodeURIComponent).join("/")}`;
  const pictures = files.filter((name) => PICTURES.test(name) && (name.endsWith(".svg") || !files.includes(name.replace(/png$/, "svg"))));
  const said = text.split("\n").filter((line) => line && !files.includes(line.trim())).join("\n");
  return [
    pictures.length ? el("ul", { class: "previews" }, pictures.map((name) => el("li", {}, el("a", { href: at(name), target: "_blank", rel: "noopener" }, el("img", { loading: "lazy", src: at(name), alt: "" }), el("span", { text: name }))))) : null,
    files.length ? el("p", { class: "row" }, el("a", { class: "button", href: `/api/runs/${encodeURIComponent(run)}/all.zip`, download: zip, text: "Keep them all (zip)" })) : null,
    files.length ? el("ul", { class: "files" }, files.map((name) => el("li", {}, el("a", { href: at(name), download: name.split("/").pop(), text: name })))) : null,
    said ? el("pre", { tabindex: "0", text: said }) : null,
  ];
}
