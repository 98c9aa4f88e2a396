// Timing a lid where nothing is measured yet: its times go to the form of the box that is chosen.

import { drafts, get } from "./ask.js";
import { choices, el, labelled } from "./dom.js";
import { stopwatch } from "./stopwatch.js";

export async function timedLid() {
  const { designs } = await get("/api/shelf");
  const box = choices(designs.filter((one) => !one.away).map((one) => one.name), "");
  const watch = stopwatch("Take them to the form of this box", (text) => {
    const key = `box ${box.value}`;
    const draft = drafts.get(key) || {};
    drafts.put(key, { ...draft, sink: [draft.sink, text].filter(Boolean).join("\n") });
    location.hash = `#/boxes/${encodeURIComponent(box.value)}`;
  });
  const node = el("section", { class: "sheet" }, el("h2", { text: "Time a lid that sinks" }), el("p", { text: "A lid that sinks by itself on the air in its box tells how much play it has. Time one that you made; the times go to the form of its box." }), labelled("The box", box), watch.node);
  return { node, leave: watch.leave };
}
