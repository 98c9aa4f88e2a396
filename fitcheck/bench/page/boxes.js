// Boxes that were made: freeze the forecast, record what came of it, see how the forecasts did.

import { get } from "./ask.js";
import { choices, el, fill, labelled, troubles } from "./dom.js";
import { boxForm } from "./boxform.js";
import { boxList } from "./boxlist.js";
import { freezing } from "./freezing.js";
import { styled } from "./loop.js";
import { otherPapers } from "./otherpapers.js";

export async function open(place, about = "") {
  styled();
  const [{ designs }, told] = await Promise.all([get("/api/shelf"), get("/api/boxes")]);
  const names = designs.filter((one) => !one.away).map((one) => one.name);
  const own = names.includes(about) ? about : names[0] || "";
  const box = choices(names, own, { on: { change: () => { location.hash = `#/boxes/${encodeURIComponent(box.value)}`; } } });
  const papers = own ? await otherPapers(own) : null;
  const parts = el("div");
  let left = () => {};

  function show(known) {
    left();
    if (!own) {
      fill(parts, troubles([{ key: "", text: "there is no design on the shelf; make one first" }]), boxList(known, renewed));
      return;
    }
    const form = boxForm(own, known, papers, renewed);
    const frozen = freezing(own, known, papers, renewed);
    left = () => { form.leave(); frozen.leave(); };
    fill(parts, frozen.node, form.node, boxList(known, renewed));
  }
  // Something was frozen or recorded; what was said of it stays to be read.
  async function renewed(said) {
    show(await get("/api/boxes"));
    const node = parts.querySelector(`.${said.place} .answer`);
    if (node) {
      fill(node, said.node);
      node.scrollIntoView({ block: "nearest" });
    }
  }
  show(told);
  fill(place, el("h1", { text: "Boxes made" }), el("p", { text: "Freeze what is forecast before a box is made, say what came of it when it is, and see whether the forecasts keep what they promise." }), names.length ? labelled("The box", box) : null, papers?.node, parts);
  return () => left();
}
