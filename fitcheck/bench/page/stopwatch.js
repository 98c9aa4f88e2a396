// A stopwatch for lids that sink: times in a list, struck out where a hand slipped.

import { drafts } from "./ask.js";
import { button, choices, el, fill, labelled, say } from "./dom.js";

const WAYS = [
  { value: "level", words: "level, by itself" },
  { value: "leaning", words: "leaning, resting in one corner" },
  { value: "coin", words: "level, with a coin on it" },
  { value: "upper", words: "level, the upper half of the way" },
  { value: "lower", words: "level, the lower half of the way" },
];
const KEPT = "stopwatch";

// `take` gets the times as the record of a box reads them, such as "coin 7.5 g 2.10 1.95 s".
export function stopwatch(words, take) {
  const kept = drafts.get(KEPT) || { how: "level", grams: "", times: [] };
  const how = choices(WAYS, kept.how);
  const grams = el("input", { value: kept.grams, autocomplete: "off", inputmode: "decimal" });
  const coin = labelled("The coin weighs, grams", grams);
  const face = el("span", { class: "face", text: "0.0 s" });
  const word = el("span", { text: "Start" });
  const big = el("button", { type: "button", class: "watch" }, word, face);
  const list = el("ol", { class: "times" });
  const done = button(words, taken);
  const node = el("div", { class: "stopwatch" }, labelled("The lid sinks", how, { help: "Set the lid on level by its corners and let go without pushing. Start when it moves, stop when it sits. Five times. Only lids that take more than 2 s tell much." }), coin, big, list, el("p", { class: "row" }, done, button("Empty the list", () => { kept.times = []; keep(); })));
  let since = null;
  let ticking = 0;

  function keep() {
    drafts.put(KEPT, kept);
    show();
  }
  function show() {
    coin.hidden = kept.how !== "coin";
    fill(list, kept.times.map((one, place) => el("li", { class: one.out ? "out" : "" }, el("span", { text: `${one.seconds.toFixed(2)} s${one.out ? ", struck out" : ""}` }), " ", button(one.out ? "count it again" : "strike out", () => { one.out = !one.out; keep(); list.querySelectorAll("button")[place]?.focus(); }, { class: "small", "aria-label": `${one.out ? "Count again" : "Strike out"} ${one.seconds.toFixed(2)} s` }))));
    done.disabled = !kept.times.some((one) => !one.out);
  }
  function toggle() {
    const now = performance.now();
    if (since === null) {
      since = now;
      word.textContent = "Stop";
      ticking = setInterval(() => { face.textContent = `${((performance.now() - since) / 1000).toFixed(1)} s`; }, 100);
      return;
    }
    const seconds = (now - since) / 1000;
    halt();
    face.textContent = `${seconds.toFixed(2)} s`;
    kept.times.push({ seconds: Math.round(seconds * 100) / 100, out: false });
    keep();
    say(`${seconds.toFixed(2)} seconds`);
  }
  function halt() {
    clearInterval(ticking);
    since = null;
    word.textContent = "Start";
  }
  function taken() {
    const times = kept.times.filter((one) => !one.out).map((one) => one.seconds.toFixed(2)).join(" ");
    const before = { level: "", coin: `coin ${grams.value.trim() || "?"} g ` }[kept.how] ?? `${kept.how} `;
    take(`${before}${times} s`);
    kept.times = [];
    keep();
  }
  // A press counts when it begins, not when the finger leaves.
  let pressed = false;
  big.addEventListener("pointerdown", (event) => { if (event.button === 0) { pressed = true; toggle(); } });
  big.addEventListener("click", () => { if (!pressed) toggle(); pressed = false; });
  big.addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "Enter") return;
    event.preventDefault();
    if (!event.repeat) toggle();
  });
  big.addEventListener("keyup", (event) => { if (event.key === " ") event.preventDefault(); });
  how.addEventListener("change", () => { kept.how = how.value; kept.times = []; keep(); });
  grams.addEventListener("input", () => { kept.grams = grams.value; drafts.put(KEPT, kept); });
  show();
  return { node, leave: halt };
}
