// The turning view of the report, fed with each new verdict; one stands where one stood.

import { PAGE, post } from "./ask.js";
import { button, el, fill } from "./dom.js";

const REST_MS = 220;

export class BoxView {
  constructor(place, more) {
    this.more = more;
    this.place = place;
    this.shape = "";
    this.number = 0;
    this.viewer = null;
    this.notice = el("p", { class: "quiet" });
    fill(place, this.notice);
    this.onward = () => this.stage && this.stage.later();
    window.addEventListener("resize", this.onward);
    this.dark = window.matchMedia("(prefers-color-scheme: dark)");
    this.dark.addEventListener("change", this.onward);
  }

  leave() {
    window.removeEventListener("resize", this.onward);
    this.dark.removeEventListener("change", this.onward);
    clearTimeout(this.waiting);
    this.number = Infinity;
  }

  // Draws a draft once nothing newer has come for a moment: drawing takes longer than a verdict.
  show(draft, words) {
    clearTimeout(this.waiting);
    this.waiting = setTimeout(() => this.fetch(draft, words), this.stage ? REST_MS : 0);
  }

  async fetch(draft, words) {
    const mine = (this.number += 1);
    try {
      this.viewer = this.viewer || (await import("/page/viewer.js"));
      const found = await post("/api/scene", { page: PAGE, draft });
      if (found.superseded || mine !== this.number) return;
      this.more(found.more);
      this.draw(found.scene, words);
    } catch (error) {
      this.notice.textContent = `The box cannot be drawn here (${error.message}); what is said of it holds all the same.`;
    }
  }

  draw(scene, words) {
    const { readScene } = this.viewer;
    const read = readScene(JSON.stringify(scene));
    const shape = JSON.stringify([scene.parts.map(({ name }) => name), scene.making.length, Boolean(scene.sink), scene.contents.length > 0, scene.parts.some(({ way }) => way.some(Boolean))]);
    if (shape !== this.shape || !this.stage) this.build(read, shape);
    else take(this.stage, read);
    this.figure.querySelector("canvas").setAttribute("aria-label", `${words} The box, folded. Arrow keys turn it, plus and minus bring it nearer or further.`);
  }

  build(scene, shape) {
    const { Stage, joinCanvas, joinControls, joinMaking, joinSinking } = this.viewer;
    const before = this.stage;
    const figure = this.layOut(scene);
    fill(this.place, figure, this.notice);
    this.figure = figure;
    this.stage = new Stage(scene, figure);
    if (before) {
      this.stage.camera = before.camera;
    }
    figure.classList.add("alive");
    joinCanvas(this.stage);
    joinControls(this.stage, figure);
    joinMaking(this.stage, figure);
    joinSinking(this.stage, figure);
    this.stage.render();
    this.shape = shape;
    window.turningView = { stage: this.stage };
  }

  layOut(scene) {
    const slides = scene.parts.some(({ way }) => way.some(Boolean));
    const range = (id, words, given) => el("p", { class: "slider" }, el("label", { for: id, text: words }), el("input", { type: "range", id, autocomplete: "off", ...given }), el("output", { for: id }));
    const tick = (name, words) => el("label", {}, el("input", { type: "checkbox", name, checked: true, autocomplete: "off" }), ` ${words}`);
    const last = scene.making.length - 1;
    return el(
      "div", { class: "turning" },
      el("div", { class: "stage" }, el("canvas", { tabindex: "0", role: "img", "aria-label": "The box, folded" }), el("div", { class: "labels", "aria-hidden": "true" })),
      el(
        "div", { class: "controls" },
        slides ? range("lift", "Open", { name: "lift", min: "0", max: "100", value: "50" }) : null,
        range("fold", "The making, step by step", { name: "fold", min: "0", max: String(last), step: "1", value: String(last) }),
        el("p", { class: "making row", role: "group", "aria-label": "The steps" }, button("back", null, { name: "back", class: "small" }), button("forward", null, { name: "forward", class: "small" }), button("play", null, { name: "play", class: "small" }), scene.sink ? button("let the lid go", null, { name: "sink", class: "small" }) : null),
        el("p", { class: "words quiet", "aria-live": "polite" }),
        scene.sink ? el("p", { class: "pace quiet", "aria-live": "polite" }) : null,
        el("p", { class: "choices", role: "group", "aria-label": "What is shown" }, slides ? tick("lid", "what covers it") : null, scene.contents.length ? tick("contents", "contents") : null, scene.places.length ? tick("places", "what is tight") : null),
      ),
    );
  }
}

// Puts another scene of the same shape on a stage: turn, nearness, step and openness stay.
function take(stage, scene) {
  for (const label of stage.labels) label.remove();
  stage.scene = scene;
  stage.step = undefined;
  stage.way = {};
  stage.share.fold = scene.making[stage.at].share;
  const { creased } = scene.making[stage.at];
  for (const part of scene.parts) part.creased = part.name === creased ? 0.45 : 0;
  stage.labels = scene.places.map((place) => stage.addLabel(place));
  stage.reach = stage.reachAt(stage.share.fold, scene.parts.map((part) => part.creased));
  stage.later();
}
