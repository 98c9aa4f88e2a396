// How often boxes made by hand come out right, counted while one looks, and what helps most.

import { PAGE, follow, post } from "./ask.js";
import { button, drawn, el, fill, say } from "./dom.js";
import { explained } from "./explained.js";

const REST_MS = 450;

export class Odds {
  constructor(place, better) {
    this.place = place;
    this.better = better;
    this.head = el("div", { class: "hundred-place" });
    this.state = el("p", { class: "quiet row", role: "status" });
    this.more = el("div");
    fill(place, this.head, this.state, this.more);
  }

  leave() {
    clearTimeout(this.waiting);
    if (this.going) { this.going.stop(); this.going.leave(); }
  }

  // The draft changed: what was counted no longer holds.
  wait(draft, ready) {
    this.leave();
    this.going = null;
    this.place.classList.add("old");
    this.head.querySelector(".often")?.replaceChildren("Not counted yet for these sizes.");
    for (const one of this.more.querySelectorAll(".advice, .findings")) one.remove();
    this.said = "";
    if (!ready) { fill(this.state, "Odds are counted once it is a box."); return; }
    fill(this.state, "Odds follow.");
    this.waiting = setTimeout(() => this.count(draft), REST_MS);
  }

  async count(draft) {
    let going;
    try {
      const { run } = await post("/api/odds", { page: PAGE, draft });
      going = follow(run, (event) => this.hear(event, draft));
    } catch (error) {
      fill(this.state, error.message);
      return;
    }
    this.going = going;
    fill(this.state, el("span", { class: "at-it", text: "counting boxes" }), button("Stop counting", () => going.stop(), { class: "small" }));
    const end = await going.over;
    if (this.going !== going) return;
    if (end.kind === "done") fill(this.state, `Counted over ${this.boxes} boxes.`);
    else if (end.kind === "stopped") fill(this.state, this.boxes ? `Stopped after ${this.boxes} boxes.` : "Stopped.", button("Count again", () => this.count(draft), { class: "small" }));
    else fill(this.state, end.lines.join(" "));
  }

  hear(event) {
    if (event.kind === "step") {
      return;
    }
    if (event.kind !== "odds") return;
    this.boxes = event.boxes.toLocaleString("en");
    this.place.classList.remove("old");
    const told = String(event.right);
    const count = told.startsWith("under") ? 0 : told.startsWith("over") ? 100 : Number(told.replace(/[^0-9.]/g, ""));
    const sentence = event.said;
    const known = told !== "not known";
    this.told?.(known ? `${event.right} of 100 come out right${event.rounded ? `, ${event.rounded} as the steps round it` : ""}` : "how many come out right is not counted");
    fill(this.head, el("p", { class: "often", text: sentence }), known ? hundred(count) : null);
    const help = event.advice ? el("p", { class: "advice" }, el("strong", { text: "What helps most: " }), `${event.advice}. `, event.better ? button("Make that change", () => this.better(event.better), { class: "small" }) : null) : null;
    const table = el("table", {}, el("caption", { text: "Of 100 boxes made by hand" }), el("tbody", {}, event.lines.map(([what, said]) => el("tr", {}, el("th", { scope: "row", text: what }), el("td", {}, said.map((words) => el("div", { text: words })))))));
    const remarks = (is) => event.findings.filter(({ severity }) => (severity === "note") === is).map(({ severity, text }) => el("li", { class: severity }, el("strong", { text: `${severity}: ` }), explained(text)));
    const open = this.more.querySelector("details")?.open;
    const details = el("details", { open }, el("summary", { text: "Where it goes wrong, and whose doing that is" }), table, drawn(event.spread, "Spread of the play, scrolls sideways"), drawn(event.shares, "Whose doing, scrolls sideways"), el("ul", { class: "findings" }, remarks(true)));
    fill(this.more, el("ul", { class: "findings" }, remarks(false)), help, details);
    if (this.said !== sentence) say(sentence);
    this.said = sentence;
  }
}

// A hundred boxes, the right ones filled.
function hundred(right) {
  const NS = "http://www.w3.org/2000/svg";
  const made = document.createElementNS(NS, "svg");
  made.setAttribute("viewBox", "0 0 100 41");
  made.setAttribute("class", "hundred");
  made.setAttribute("aria-hidden", "true");
  for (let k = 0; k < 100; k += 1) {
    const box = document.createElementNS(NS, "path");
    const [x, y] = [(k % 20) * 5 + 0.6, Math.floor(k / 20) * 8.2 + 1];
    box.setAttribute("d", `M${x},${y + 2.2}h3.8v4h-3.8zM${x - 0.3},${y + 0.6}h4.4v1.6h-4.4z`);
    box.setAttribute("class", k < Math.round(right) ? "came-right" : "came-wrong");
    made.append(box);
  }
  return made;
}
