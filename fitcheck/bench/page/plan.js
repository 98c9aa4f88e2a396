// The box from above and from the side, to pull lengths on; they land on the board's grooves.

import { choices, el, fill } from "./dom.js";

const NS = "http://www.w3.org/2000/svg";

function svg(tag, given = {}, ...children) {
  const made = document.createElementNS(NS, tag);
  for (const [name, value] of Object.entries(given)) made.setAttribute(name, String(value));
  made.append(...children);
  return made;
}

export class Plan {
  constructor(place, edit, unit) {
    this.place = place;
    this.edit = edit;
    this.part = "base";
    this.pulling = null;
    this.unit = unit;
    this.pick = el("span");
    this.holder = el("div", { class: "plan" });
    this.words = el("p", { class: "quiet" });
    fill(place, el("p", { class: "row" }, this.pick), this.holder, this.words);
  }

  show(plan) {
    this.data = plan;
    const names = plan.parts.map(({ name }) => name);
    if (!names.includes(this.part)) [this.part] = names;
    if (String(names) !== this.names) {
      this.names = String(names);
      const made = choices(names, this.part, { "aria-label": "Which part to pull on" });
      made.addEventListener("change", () => { this.part = made.value; this.draw(); });
      fill(this.pick, names.length > 1 ? [el("span", { class: "quiet", text: "Pull on the " }), made] : null);
    }
    this.draw();
  }

  draw() {
    const part = this.data.parts.find(({ name }) => name === this.part);
    if (!part) return;
    const focused = this.holder.contains(document.activeElement) ? document.activeElement.dataset.pull : null;
    const [width, length, height] = part.outside;
    const font = 0.042 * (width + length + height);
    this.scale = { font };
    const gap = 1.6 * font;
    const view = svg("svg", { role: "group", "aria-label": `The ${part.name} from above, ${part.said[0]} wide and ${part.said[1]} long, and from the side, ${part.said[2]} high.` });
    this.view = view;
    view.append(this.rect(-0.5 * width, -0.5 * length, width, length, "outer"));
    const [iw, il] = part.inside;
    view.append(this.rect(-0.5 * iw, -0.5 * il, iw, il, "inner"));
    if (part.name === "base") for (const content of this.data.contents) this.content(content);
    const side = 0.5 * length + 1.6 * gap;
    view.append(this.rect(-0.5 * width, side, width, height, "outer"));
    view.append(svg("line", { class: "thin", x1: -0.5 * width - 0.4 * gap, y1: side + (part.name === "lid" ? 0 : height), x2: 0.5 * width + 0.4 * gap, y2: side + (part.name === "lid" ? 0 : height) }));
    this.text(0, -0.5 * length - 0.5 * font, `${part.said[0]} outside`, "middle");
    this.text(0.5 * width + 2 * font, 0.5 * font, part.said[1], "start");
    this.text(0.5 * width + font, side + 0.5 * height + 0.3 * font, part.said[2], "start");
    const handles = [];
    if (part.size) {
      handles.push({ name: "width", at: [part.name, part.size.key, 0], mm: part.size.mm[0], way: [1, 0], spot: [0.5 * width, -0.25 * length] });
      handles.push({ name: "length", at: [part.name, part.size.key, 1], mm: part.size.mm[1], way: [0, 1], spot: [-0.25 * width, 0.5 * length] });
    }
    if (part.depth) {
      const open = part.name === "lid" ? side + height : side;
      handles.push({ name: "depth", at: [part.name, part.depth.key], mm: part.depth.mm, way: [0, part.name === "lid" ? 1 : -1], spot: [0.25 * width, open] });
    }
    for (const handle of handles) view.append(this.handle(part, handle));
    fill(this.holder, view);
    this.widen({ left: -0.5 * width - 1.5 * gap, right: 0.5 * width + 17 * font, top: -0.5 * length - 1.2 * gap, bottom: 0.5 * length + height + 2.2 * gap });
    this.words.textContent = handles.length ? `Pull on a mark, or turn to it with the Tab key and use the arrow keys: it steps from groove to groove.${part.size ? "" : " Its width and length follow from what the file says, so they are not pulled here."}` : "Nothing of this part can be pulled: its sizes follow from others.";
    if (focused) view.querySelector(`[data-pull=${focused}]`)?.focus({ preventScroll: true });
  }

  // The view takes in all that its labels need, as wide as this browser writes them.
  widen({ left, right, top, bottom }) {
    const said = [...this.view.querySelectorAll("text")].map((label) => label.getBBox());
    const spare = 0.5 * this.scale.font;
    const from = [Math.min(left, ...said.map(({ x }) => x - spare)), Math.min(top, ...said.map(({ y }) => y))];
    const to = [Math.max(right, ...said.map(({ x, width }) => x + width + spare)), Math.max(bottom, ...said.map(({ y, height }) => y + height))];
    this.view.setAttribute("viewBox", `${from[0]} ${from[1]} ${to[0] - from[0]} ${to[1] - from[1]}`);
  }

  rect(x, y, width, height, kind) {
    return svg("rect", { x, y, width: Math.max(width, 0), height: Math.max(height, 0), class: kind });
  }

  text(x, y, words, anchor) {
    const made = svg("text", { x, y, class: "said", "text-anchor": anchor });
    made.style.fontSize = `${this.scale.font}px`;
    made.textContent = words;
    this.view.append(made);
  }

  content({ outline }) {
    this.view.append(svg("path", { class: "content", d: `M${outline.map(([x, y]) => `${x},${-y}`).join("L")}Z` }));
  }

  handle(part, { name, at, mm, way, spot }) {
    const r = 0.5 * this.scale.font;
    const made = svg("g", { class: "pull", tabindex: "0", role: "slider", "data-pull": name, "aria-label": `${part.name}, ${name}`, "aria-valuenow": mm.toFixed(2), "aria-valuetext": `${mm.toFixed(1)} mm`, "aria-orientation": way[0] ? "horizontal" : "vertical" });
    made.append(svg("circle", { cx: spot[0], cy: spot[1], r: 2.2 * r, class: "reach" }), svg("circle", { cx: spot[0], cy: spot[1], r, class: "dot" }));
    const [a, b] = way[0] ? [[-2.6 * r, 0], [2.6 * r, 0]] : [[0, -2.6 * r], [0, 2.6 * r]];
    made.append(svg("line", { class: "way", x1: spot[0] + a[0], y1: spot[1] + a[1], x2: spot[0] + b[0], y2: spot[1] + b[1] }));
    made.addEventListener("keydown", (event) => {
      const down = name === "length" || part.name === "lid" ? 1 : -1;
      const step = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: down, ArrowUp: -down, PageUp: 4, PageDown: -4 }[event.key];
      if (!step) return;
      event.preventDefault();
      this.edit({ at, step, fine: event.shiftKey });
    });
    made.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      made.focus({ preventScroll: true });
      const scale = this.view.getScreenCTM();
      this.pulling = { id: event.pointerId, from: [event.clientX, event.clientY], mm, perPixel: 1 / scale.a, way, at, name, least: at[1] === "oversize" ? -5 : 0, last: null };
      this.follow();
    });
    return made;
  }

  // The mark goes with the pointer at once; the box follows.
  ghost(pull, by) {
    const mark = this.holder.querySelector(`[data-pull=${pull.name}]`);
    const mm = by * pull.perPixel;
    mark?.setAttribute("transform", pull.way[0] ? `translate(${mm} 0)` : `translate(0 ${mm * pull.way[1]})`);
  }

  // Follows the pointer, wherever it goes, until it is let go.
  follow() {
    const moved = (event) => {
      const pull = this.pulling;
      if (!pull || event.pointerId !== pull.id) return;
      const by = (event.clientX - pull.from[0]) * pull.way[0] + (event.clientY - pull.from[1]) * pull.way[1];
      const mm = Math.max(pull.least, pull.mm + by * pull.perPixel);
      if (pull.last !== null && Math.abs(mm - pull.last) < 0.2) return;
      pull.last = mm;
      this.ghost(pull, by);
      this.edit({ at: pull.at, mm });
    };
    const ended = () => {
      this.pulling = null;
      window.removeEventListener("pointermove", moved);
      window.removeEventListener("pointerup", ended);
      window.removeEventListener("pointercancel", ended);
    };
    window.addEventListener("pointermove", moved);
    window.addEventListener("pointerup", ended);
    window.addEventListener("pointercancel", ended);
  }
}
