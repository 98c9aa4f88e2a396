// Shows what the address names: the shelf, a design, measuring, the boxes made, or words.

import { drafts } from "./ask.js";
import { el, fill, linesOf, say, troubles } from "./dom.js";

const VIEWS = {
  "": () => import("./shelf.js"),
  new: () => import("./start.js"),
  design: () => import("./design.js"),
  measure: () => import("./measure.js"),
  boxes: () => import("./boxes.js"),
  words: () => import("./words.js"),
};
const CALLED = { "": "shelf", new: "shelf", design: "shelf" };
const main = document.getElementById("main");
let leave = null;
let shown = 0;

// The address behind #/ as a view and what it is about.
function wanted() {
  const [view, ...rest] = location.hash.replace(/^#\/?/, "").split("/");
  return { view: view in VIEWS ? view : "", about: rest.map(decodeURIComponent) };
}

async function show() {
  const { view, about } = wanted();
  const mine = (shown += 1);
  for (const link of document.querySelectorAll("nav a")) {
    if (link.dataset.view === (CALLED[view] || view)) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  if (leave) leave();
  leave = null;
  try {
    const { open } = await VIEWS[view]();
    if (mine !== shown) return;
    const place = el("div", { class: `view ${view || "shelf"}` });
    fill(main, place);
    const left = await open(place, ...about);
    if (mine === shown) leave = left || null;
    else if (left) left();
  } catch (error) {
    fill(main, el("h1", { text: "This cannot be shown" }), troubles(linesOf(error)), el("p", {}, el("a", { href: "#/", text: "Back to the shelf" })));
  }
  const heading = main.querySelector("h1");
  if (heading && mine > 1) {
    heading.tabIndex = -1;
    heading.focus({ preventScroll: true });
    window.scrollTo(0, 0);
    say(heading.textContent);
  }
  document.title = heading ? `${heading.textContent} · fitcheck bench` : "fitcheck bench";
}

window.addEventListener("hashchange", show);
drafts.load().catch(() => {}).then(show);
