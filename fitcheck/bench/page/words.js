// The words of the trade and ours, explained, and the cautions.

import { things } from "./ask.js";
import { el, fill, labelled } from "./dom.js";

export async function open(place) {
  const { words, cautions } = await things();
  const list = el("dl");
  const wanted = el("input", { type: "search", autocomplete: "off", name: "word" });
  const show = () => {
    const part = wanted.value.trim().toLowerCase();
    const found = Object.entries(words).filter(([word, said]) => `${word} ${said}`.toLowerCase().includes(part));
    fill(list, found.length ? found.map(([word, said]) => [el("dt", { text: word }), el("dd", { text: said })]).flat() : el("dt", { text: "no word like that" }));
  };
  wanted.addEventListener("input", show);
  show();
  fill(
    place,
    el("h1", { text: "Words and cautions" }),
    el("section", { class: "sheet" }, el("h2", { text: "Before you cut, print or give it away" }), el("ul", {}, cautions.map((text) => el("li", { text })))),
    el("section", { class: "sheet" }, el("h2", { text: "Words" }), labelled("Find a word", wanted), list),
  );
}
