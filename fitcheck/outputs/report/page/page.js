// Joins the scene to the page: sliders, drag, keys, and the labels over the picture.

const KEY_TURN = 0.12;
const DRAG_TURN = 0.008;
const CLOSED_SHARE = 0.999;
const FOLDED_SHARE = 0.85;
const BESIDE = 12;
// The length of a label's arrow, in CSS pixels.
const ARROW = 28;
const TONES = [0, 4];
const CREASED = 0.45;
const STEP_MS = 900;
const REST_MS = 1600;
// How far a tab is drawn behind its wall, as a share of the radius: 25 times as far as lines are
// before their faces.
const TAB_APART = 0.004;

// How far the folding has gone: the rest of the making puts parts together.
function folded(share) {
  return clamp(share / FOLDED_SHARE, 0, 1);
}

// What is in sight on the way from one reach to another.
function between(a, b, along) {
  const mix = (p, q) => p + (q - p) * along;
  return { middle: a.middle.map((v, i) => mix(v, b.middle[i])), radius: mix(a.radius, b.radius) };
}

// The side of its point and the shift, CSS pixels, at which a label covers none that is `taken`.
function freePlace(x, y, label, wide, taken) {
  const [w, h] = [label.offsetWidth, label.offsetHeight];
  const far = x + w + ARROW > wide;
  const boxOf = (leftward, shift) => {
    const left = leftward ? x - ARROW - w : x + ARROW;
    const top = y + shift - h / 2;
    return { left, right: left + w, top, bottom: top + h };
  };
  const free = (a) => taken.every((b) => a.right <= b.left || a.left >= b.right || a.bottom <= b.top || a.top >= b.bottom);
  const off = taken.flatMap((own) => [own.bottom + 1 - y + h / 2, own.top - 1 - y - h / 2]);
  const shifts = [0, ...off.sort((a, b) => Math.abs(a) - Math.abs(b))];
  const within = ({ left, right }) => left >= 0 && right <= wide;
  const sides = [far, !far].filter((side) => side === far || within(boxOf(side, 0)));
  const places = shifts.flatMap((shift) => sides.map((left) => ({ leftward: left, shift, box: boxOf(left, shift) })));
  const found = places.find(({ box }) => free(box)) || places[0];
  taken.push(found.box);
  return found;
}

class Stage {
  constructor(scene, figure) {
    this.scene = scene;
    this.figure = figure;
    this.canvas = figure.querySelector("canvas");
    this.painter = new Painter(this.canvas);
    this.shadow = new Shadow(this.painter);
    this.glass = figure.querySelector(".glass");
    this.camera = new Camera();
    this.share = { fold: 1, lift: 0.5 };
    this.shown = { lid: true, contents: true, places: true };
    this.labels = scene.places.map((place) => this.addLabel(place));
    this.at = scene.making.length - 1;
    this.reach = this.reachAt(1);
  }

  // Shows the making after a step, at once or on the way; tells when it is there.
  goTo(step, { jump = false, then = () => {} } = {}) {
    this.at = clamp(step, 0, this.scene.making.length - 1);
    const { share, creased } = this.scene.making[this.at];
    const wanted = this.scene.parts.map((part) => (part.name === creased ? CREASED : 0));
    const from = { share: this.share.fold, creased: this.scene.parts.map((part) => part.creased || 0) };
    const reaches = [this.reach, this.reachAt(0.5 * (from.share + share), wanted), this.reachAt(share, wanted)];
    const started = performance.now();
    const way = (this.way = {});
    const frame = (now) => {
      if (this.way !== way) return;
      const along = jump ? 1 : clamp((now - started) / STEP_MS, 0, 1);
      this.share.fold = from.share + (share - from.share) * along;
      this.scene.parts.forEach((part, i) => { part.creased = from.creased[i] + (wanted[i] - from.creased[i]) * along; });
      this.reach = along < 0.5 ? between(reaches[0], reaches[1], 2 * along) : between(reaches[1], reaches[2], 2 * along - 1);
      this.later();
      if (along < 1) requestAnimationFrame(frame);
      else then();
    };
    frame(started);
  }

  addLabel(place) {
    const label = document.createElement("span");
    label.className = "place";
    label.textContent = place.label;
    this.figure.querySelector(".labels").append(label);
    return label;
  }

  // Where a part stands for a fold share and a lift share.
  standing(index, share, lift) {
    const part = this.scene.parts[index];
    if (index === 0) return IDENTITY;
    // on the table beside the base until that is folded, then over it in an arc that clears its walls
    const beside = 1 - eased((share - FOLDED_SHARE) / (1 - FOLDED_SHARE));
    const [x, y, z] = this.moved(part, lift * (1 - beside));
    const raised = z + this.scene.arc * Math.sin(Math.PI * beside);
    const lowest = beside > 0 ? meshBounds(everyMesh(partMeshes(part, folded(share), part.pose, 0)))[0][2] : 0;
    return shifted(part.pose, x + index * beside * this.flatStep(), y, raised - beside * lowest);
  }

  // By how much a part has left its place, for a share of its way.
  moved(part, share) {
    return part.way.map((mm) => mm * share);
  }

  // Flat sheets lie side by side.
  flatStep() {
    if (this.step === undefined) {
      const halves = this.scene.parts.map((part) => {
        const [low, high] = meshBounds(everyMesh(partMeshes(part, 0, IDENTITY, 0)));
        return Math.max(-low[0], high[0]);
      });
      this.step = halves.reduce((sum, half) => sum + half, BESIDE);
    }
    return this.step;
  }

  // All in sight, as [mesh, how far behind its place it is drawn, paper's colour and print if any].
  meshes() {
    const { fold, lift } = this.share;
    const made = [];
    const { eye } = this.camera.axes();
    this.scene.parts.forEach((part, i) => {
      if (i > 0 && !part.stays && !this.shown.lid) return;
      const { mesh, tabs } = partMeshes(part, folded(fold), this.standing(i, fold, lift), TONES[part.stays ? 0 : Math.min(i, TONES.length - 1)]);
      made.push([mesh, 0, part.tint, part.printed]);
      for (const tab of tabs) {
        const seenFromOutside = tab.outward.reduce((sum, v, k) => sum + v * eye[k], 0) > 0;
        made.push([tab.mesh, seenFromOutside ? TAB_APART : -TAB_APART, part.tint, part.printed]);
      }
    });
    if (this.shown.contents && this.at >= this.filledFrom()) made.push([contentMesh(this.scene.contents), 0]);
    return made;
  }

  // The step after which the contents are in.
  filledFrom() {
    const found = this.scene.making.findIndex((state) => state.filled);
    return found < 0 ? this.scene.making.length - 1 : found;
  }

  // Middle and radius of all that can be in sight at a fold share, the lid at its highest.
  reachAt(share, creased = []) {
    const before = this.scene.parts.map((part) => part.creased);
    this.scene.parts.forEach((part, i) => { part.creased = creased[i] || 0; });
    const [low, high] = meshBounds(
      this.scene.parts.flatMap((part, i) => everyMesh(partMeshes(part, folded(share), this.standing(i, share, 1), 0))),
    );
    this.scene.parts.forEach((part, i) => { part.creased = before[i]; });
    return { middle: low.map((v, i) => 0.5 * (v + high[i])), radius: 0.5 * Math.hypot(...less(high, low)) };
  }

  render() {
    const inks = inksNow();
    this.painter.clear(inks.ground);
    const { middle, radius } = this.reach;
    const view = this.camera.matrix(middle, radius, this.canvas.width / this.canvas.height);
    const meshes = this.meshes();
    this.shadow.lay(meshes.map(([mesh]) => mesh), view, radius, this.camera.axes().eye);
    for (const [mesh, behind, tint, printed] of meshes) this.painter.paint(mesh, pushedBack(view, behind), tinted(inks, tint, printed));
    this.placeLabels(view);
    this.figure.dataset.drawn = String(Number(this.figure.dataset.drawn || 0) + 1);
  }

  // Of a place on two sides, the one that faces the eye.
  facing(place) {
    if (!place.across) return place.at;
    const { eye } = this.camera.axes();
    const near = less(place.at, place.across).reduce((sum, v, k) => sum + v * eye[k], 0);
    return near >= 0 ? place.at : place.across;
  }

  placeLabels(view) {
    const { clientWidth, clientHeight } = this.canvas;
    const hidden = !this.shown.places || this.share.fold < CLOSED_SHARE;
    if (this.glass) this.glass.hidden = hidden;
    const taken = [];
    this.scene.places.forEach((place, i) => {
      const label = this.labels[i];
      const part = this.scene.parts.find((own) => own.name === place.part) || this.scene.parts[0];
      const out = this.moved(part, this.share.lift);
      const [x, y] = landing(view, this.facing(place).map((mm, k) => mm + out[k]), clientWidth, clientHeight);
      label.hidden = hidden;
      if (hidden) return;
      const { leftward, shift } = freePlace(x, y, label, clientWidth, taken);
      label.classList.toggle("leftward", leftward);
      label.style.left = `${x}px`;
      label.style.top = `${y + shift}px`;
      label.style.setProperty("--point", `${-shift}px`);
    });
  }

  later() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.render();
    });
  }
}

const KEYS = {
  ArrowLeft: (camera) => camera.moved(-KEY_TURN, 0),
  ArrowRight: (camera) => camera.moved(KEY_TURN, 0),
  ArrowUp: (camera) => camera.moved(0, KEY_TURN),
  ArrowDown: (camera) => camera.moved(0, -KEY_TURN),
  "+": (camera) => camera.zoomed(1.15),
  "=": (camera) => camera.zoomed(1.15),
  "-": (camera) => camera.zoomed(1 / 1.15),
};

function joinCanvas(stage) {
  const { canvas, camera } = stage;
  canvas.addEventListener("keydown", (event) => {
    const move = KEYS[event.key];
    if (!move || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    move(camera);
    stage.later();
  });
  let from = null;
  canvas.addEventListener("pointerdown", (event) => {
    from = [event.clientX, event.clientY];
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!from) return;
    camera.moved(-(event.clientX - from[0]) * DRAG_TURN, (event.clientY - from[1]) * DRAG_TURN);
    from = [event.clientX, event.clientY];
    stage.later();
  });
  for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, () => { from = null; });
}

function joinMaking(stage, figure) {
  const slider = figure.querySelector("#fold");
  const words = figure.querySelector(".words");
  const play = figure.querySelector("button[name=play]");
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");
  const last = stage.scene.making.length - 1;
  let playing = 0;
  const show = (step, then) => {
    stage.goTo(step, { jump: still.matches, then });
    slider.value = String(stage.at);
    const { part, words: said } = stage.scene.making[stage.at];
    slider.nextElementSibling.value = `${stage.at + 1} of ${last + 1}`;
    words.textContent = part === "together" ? said : `${part}: ${said}`;
    figure.dataset.step = String(stage.at);
  };
  const rest = () => {
    clearTimeout(playing);
    playing = 0;
    play.textContent = "play";
  };
  const onward = () => {
    if (stage.at >= last) { rest(); return; }
    show(stage.at + 1, () => { if (playing) playing = setTimeout(onward, REST_MS); });
  };
  slider.addEventListener("input", () => { rest(); show(Number(slider.value)); });
  figure.querySelector("button[name=back]").addEventListener("click", () => { rest(); show(stage.at - 1); });
  figure.querySelector("button[name=forward]").addEventListener("click", () => { rest(); show(stage.at + 1); });
  play.addEventListener("click", () => {
    if (playing) { rest(); return; }
    play.textContent = "pause";
    playing = -1;
    if (stage.at >= last) show(0, () => { if (playing) playing = setTimeout(onward, REST_MS); });
    else onward();
  });
  show(last);
}

function joinControls(stage, figure) {
  for (const slider of figure.querySelectorAll("input[type=range]:not(#fold)")) {
    const read = () => {
      stage.share[slider.name] = Number(slider.value) / 100;
      slider.nextElementSibling.value = `${Math.round(stage.share[slider.name] * stage.scene.arc)} mm`;
      stage.later();
    };
    slider.addEventListener("input", read);
    read();
  }
  for (const box of figure.querySelectorAll("input[type=checkbox]")) {
    const read = () => {
      stage.shown[box.name] = box.checked;
      stage.later();
    };
    box.addEventListener("change", read);
    read();
  }
}

// A lid let go sinks at its own pace; one slower than anybody watches, faster.
const LONGEST_SHOWN_S = 20;

function joinSinking(stage, figure) {
  const sink = stage.scene.sink;
  const button = figure.querySelector("button[name=sink]");
  if (!sink || !button) return;
  const pace = figure.querySelector(".pace");
  const slider = figure.querySelector("#lift");
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");
  const takes = sink.way[sink.way.length - 1][0];
  const faster = Math.max(1, Math.ceil(takes / LONGEST_SHOWN_S));
  let way = null;
  const put = (seconds) => {
    let k = 1;
    while (k < sink.way.length - 1 && sink.way[k][0] < seconds) k += 1;
    const [[t0, mm0], [t1, mm1]] = [sink.way[k - 1], sink.way[k]];
    const mm = mm0 + (mm1 - mm0) * clamp((seconds - t0) / Math.max(t1 - t0, 1e-6), 0, 1);
    stage.share.lift = mm / stage.scene.arc;
    slider.value = String(100 * stage.share.lift);
    slider.nextElementSibling.value = `${Math.round(mm)} mm`;
    stage.later();
  };
  button.addEventListener("click", () => {
    const started = performance.now();
    const own = (way = {});
    pace.textContent = sink.words + (faster > 1 && !still.matches ? ` Shown ${faster} times as fast.` : "");
    figure.dataset.sinks = "true";
    if (stage.share.fold < CLOSED_SHARE) stage.goTo(stage.scene.making.length - 1, { jump: true });
    const frame = (now) => {
      if (way !== own) return;
      const seconds = still.matches ? takes : (faster * (now - started)) / 1000;
      put(seconds);
      if (seconds < takes) requestAnimationFrame(frame);
      else figure.dataset.sinks = "down";
    };
    frame(started);
  });
  slider.addEventListener("input", () => { way = null; });
}

function start() {
  const figure = document.getElementById("turning-view");
  const notice = figure.querySelector(".no-view");
  try {
    const stage = new Stage(readScene(document.getElementById("scene").textContent), figure);
    figure.classList.add("alive");
    joinCanvas(stage);
    joinControls(stage, figure);
    joinMaking(stage, figure);
    joinSinking(stage, figure);
    stage.render();
    window.addEventListener("resize", () => stage.later());
    window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => stage.later());
    window.turningView = { stage, panelPoses };
  } catch (error) {
    notice.textContent = `The turning view cannot be shown (${error.message}); the still picture stands in for it.`;
  }
}
