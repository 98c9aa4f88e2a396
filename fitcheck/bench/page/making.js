// Sheets, recipe, stand-ins and report, made in the background from the saved design.

import { command, things } from "./ask.js";
import { button, choices, el, fill, labelled, say, troubles } from "./dom.js";

const PICTURES = /\.(svg|png)$/;

export class Making {
  constructor(place, saved) {
    this.place = place;
    this.saved = saved;
    this.all = [];
  }

  leave() { for (const going of this.all) going.leave(); }

  async show() {
    const known = await things();
    const page = (id) => choices([{ value: "", words: "as the design's unit goes" }, ...known.pages], "", { id });
    const film = el("input", { type: "checkbox", id: "film" });
    const glb = el("input", { type: "checkbox", id: "glb" });
    const papers = [page("sheet-paper"), choices([{ value: "", words: "letter or A4" }, "letter", "a4"], "", { id: "publish-paper" })];
    const bed = el("input", { id: "bed", value: "180x180x180" });
    const printer = choices([{ value: "", words: "not measured" }, ...known.printers.map(({ name }) => name)], "", { id: "printer" });
    const kinds = known.dummies.map((kind) => el("label", { class: "tick" }, el("input", { type: "checkbox", name: "kind", value: kind, checked: true }), ` ${kind}`));
    fill(
      this.place,
      this.work("Sheets and steps", "The parts at 1:1 to cut and score, what to set on the board, and a table to measure against.", "sheet", () => ({ paper: papers[0].value }), labelled("Print on", papers[0])),
      this.work("A recipe to publish", "One PDF and one page with pictures of every step, sizes and the 1:1 sheets.", "publish", () => ({ paper: papers[1].value, film: film.checked, glb: glb.checked }), labelled("Print on", papers[1]), el("p", { class: "row" }, el("label", { class: "tick" }, film, " a sheet for the camera too"), el("label", { class: "tick" }, glb, " the open box for a phone too"))),
      this.work("Stand-ins to print", "Blocks the size of the contents, of the inside and of the folded parts, for a 3D printer.", "dummy", () => ({ only: kinds.filter((one) => one.firstChild.checked).map((one) => one.firstChild.value), bed: bed.value, printer: printer.value }), labelled("The printer holds", bed, { help: "Width x length x height in mm." }), labelled("Corrected for", printer), el("p", { class: "row" }, kinds)),
      this.work("Report and pictures", "One page with the turning box, its figures and odds, and still pictures for a post.", "report", () => ({})),
      el("h3", { text: "Before you cut or print" }),
      el("ul", { class: "quiet" }, known.cautions.map((text) => el("li", { text }))),
    );
  }

  work(title, words, name, given, ...options) {
    const told = el("div", { role: "status" });
    const made = el("div");
    const go = button(`Make ${title.charAt(0).toLowerCase()}${title.slice(1)}`, async () => {
      go.disabled = true;
      fill(made);
      try {
        const design = await this.saved();
        if (design) await this.run(name, { design, ...given() }, told, made, title);
        else fill(told, el("p", { text: "Save the design first: what is made, is made of the file." }));
      } catch (error) {
        fill(told, troubles(error.problems || [{ key: "", text: error.message }]));
      }
      go.disabled = false;
    }, { class: "main" });
    return el("section", { class: "work" }, el("h3", { text: title }), el("p", { class: "quiet", text: words }), options, el("p", { class: "row" }, go), told, made);
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
