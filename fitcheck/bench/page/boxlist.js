// The boxes that were made, and how the forecasts that were frozen before them did.

import { command } from "./ask.js";
import { button, el, fill, linesOf, say, troubles } from "./dom.js";
import { problemsOf } from "./loop.js";

export function boxList({ boxes, score, problems }, renewed) {
  const answer = el("div", { class: "answer" });
  // A box that was recorded by mistake counts no more; it stays in the list, and can be taken back.
  async function turn(box) {
    try {
      const number = String(box.number);
      const given = box.aside ? { design: box.design, take_back: number } : { design: box.design, set_aside: number };
      const going = await command("turn", given, () => {});
      const ended = await going.over;
      if (ended.kind !== "done") {
        fill(answer, troubles(problemsOf(ended.lines)));
        return;
      }
      const said = box.aside ? "counts again" : "is set aside and counts no more";
      say(`Box ${number} ${said}`);
      await renewed({ place: "made-list", node: el("p", { text: `Box ${number} ${said}.` }) });
    } catch (error) {
      fill(answer, troubles(linesOf(error)));
    }
  }
  const rows = boxes.map((box) => el("tr", {}, el("th", { scope: "row", text: box.date }), el("td", {}, el("a", { href: `#/boxes/${encodeURIComponent(box.design)}`, text: box.design })), el("td", { text: [box.came, box.inside && `with ${box.inside}`, box.note].filter(Boolean).join("; ") }), el("td", { text: box.apart ? `kept apart: ${box.apart}` : box.said }), el("td", { text: box.by }), el("td", {}, button(box.aside ? "Count again" : "Set aside", () => turn(box), { "aria-label": `${box.aside ? "count again" : "set aside"} box ${box.number}, ${box.design} of ${box.date}` }))));
  return el(
    "div",
    {},
    el("section", { class: "sheet" }, el("h2", { text: "How the forecasts did" }), scoreOf(score)),
    el("section", { class: "sheet made-list" }, el("h2", { text: "The boxes" }), answer, problems.length ? troubles(problems.map((text) => ({ key: "", text }))) : null, boxes.length ? el("div", { class: "scroll", role: "group", tabindex: "0", "aria-label": "the boxes that were made" }, el("table", { class: "made" }, el("thead", {}, el("tr", {}, ["made on", "box", "what came of it", "what was said of it", "by", "a slip?"].map((text) => el("th", { scope: "col", text })))), el("tbody", {}, rows))) : el("p", { text: "No box is recorded yet." })),
  );
}

function scoreOf(score) {
  const apart = score.apart ? el("p", { class: "quiet", text: `Kept apart, in no score: ${score.apart === 1 ? "1 box" : `${score.apart} boxes`}.` }) : null;
  if (!score.boxes) return [el("p", { text: "No box was made with a frozen forecast yet: there is nothing to score." }), apart];
  return [
    el("p", { text: `${score.boxes === 1 ? "1 box" : `${score.boxes} boxes`} against the forecasts that were frozen before:` }),
    el("ul", {}, score.lines.map((text) => el("li", { text }))),
    el("p", {}, el("strong", { text: score.verdict })),
    score.causes.length ? el("h3", { text: "What would explain it" }) : null,
    score.causes.length ? el("ul", {}, score.causes.map(({ words, what, of }) => el("li", {}, words, what ? [" ", el("a", { href: `#/measure/${what}/${encodeURIComponent(of)}`, text: `Measure ${of}` })] : ""))) : null,
    apart,
  ];
}
