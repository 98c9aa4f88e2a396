// Joins the scene to the page: sliders, drag, keys, and the labels over the picture.

const KEY_TURN = 0.12;
const DRAG_TURN = 0.008;
const CLOSED_SHARE = 0.999;
const FOLDED_SHARE = 0.85;
const REACHES = [0, 0.45, 0.85, 0.89, 0.93, 1];
const BESIDE = 12;
const TONES = [0, 4];
// How far a tab is drawn behind or before its wall, as a share of the radius in sight: some six
// times as far as lines are drawn before their faces.
const TAB_APART = 0.001;

function colourOf(name) {
  const text = getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  const whole = parseInt(text.slice(1), 16);
  return [(whole >> 16) & 255, (whole >> 8) & 255, whole & 255].map((v) => v / 255);
}

function inksNow() {
  const names = ["--base-outside", "--base-inside", "--base-edge", "--content", "--lid-outside", "--lid-inside", "--lid-edge", "--content"];
  return {
    tones: names.map(colourOf),
    ink: colourOf("--ink"),
    ground: colourOf("--stage"),
    light: unit([-0.35, -0.55, 0.85]),
  };
}

// How far the folding itself has gone: the rest of the slider puts the lid on.
function folded(share) {
  return clamp(share / FOLDED_SHARE, 0, 1);
}

function readScene(text) {
  const scene = JSON.parse(text);
  const numbers = unpack(scene.points);
  const shape = (cell) => ({ corners: grouped(numbers(cell.outline), 2), inner: cell.inner || [] });
  for (const part of scene.parts) part.cells = part.plates.map((plate) => (plate.cells || [plate]).map(shape));
  for (const content of scene.contents) content.points = grouped(numbers(content.vertices), 3);
  return scene;
}

class Stage {
  constructor(scene, figure) {
    this.scene = scene;
    this.figure = figure;
    this.canvas = figure.querySelector("canvas");
    this.painter = new Painter(this.canvas);
    this.camera = new Camera();
    this.share = { fold: 1, lift: 0.5 };
    this.shown = { lid: true, contents: true, places: true };
    this.labels = scene.places.map((place) => this.addLabel(place));
    this.reaches = REACHES.map((share) => this.reachAt(share));
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
    // beside the base until that is folded, then over it in an arc that clears its walls
    const beside = 1 - eased((share - FOLDED_SHARE) / (1 - FOLDED_SHARE));
    // what stands in the base comes from the other side
    if (part.stands) return shifted(part.pose, -beside * this.flatStep(), 0, this.scene.lift * Math.sin(Math.PI * beside));
    const raised = this.scene.lift * (lift * (1 - beside) + Math.sin(Math.PI * beside));
    return shifted(part.pose, beside * this.flatStep(), 0, raised - beside * (part.pose[11] - part.thickness) * this.lying(share));
  }

  // A flat lid lies on the table; a folded one stands on its rim there.
  lying(share) {
    return 1 - eased(folded(share));
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

  // Everything in sight, as [mesh, how far it is drawn behind its place as a share of the radius].
  meshes() {
    const { fold, lift } = this.share;
    const made = [];
    const { eye } = this.camera.axes();
    this.scene.parts.forEach((part, i) => {
      const on = part.name === "lid" ? 1 : 0;
      if (on && !this.shown.lid) return;
      const { mesh, tabs } = partMeshes(part, folded(fold), this.standing(i, fold, lift), TONES[on]);
      made.push([mesh, 0]);
      for (const tab of tabs) {
        const seenFromOutside = tab.outward.reduce((sum, v, k) => sum + v * eye[k], 0) > 0;
        made.push([tab.mesh, seenFromOutside ? TAB_APART : -TAB_APART]);
      }
    });
    if (this.shown.contents && fold >= CLOSED_SHARE) made.push([contentMesh(this.scene.contents), 0]);
    return made;
  }

  // Middle and radius of all that can be in sight at a fold share, the lid at its highest.
  reachAt(share) {
    const [low, high] = meshBounds(
      this.scene.parts.flatMap((part, i) => everyMesh(partMeshes(part, folded(share), this.standing(i, share, 1), 0))),
    );
    return { middle: low.map((v, i) => 0.5 * (v + high[i])), radius: 0.5 * Math.hypot(...less(high, low)) };
  }

  reach() {
    const next = Math.max(1, REACHES.findIndex((share) => share >= this.share.fold));
    const [a, b] = [this.reaches[next - 1], this.reaches[next]];
    const along = (this.share.fold - REACHES[next - 1]) / (REACHES[next] - REACHES[next - 1]);
    const mix = (p, q) => p + (q - p) * along;
    return { middle: a.middle.map((v, i) => mix(v, b.middle[i])), radius: mix(a.radius, b.radius) };
  }

  render() {
    const inks = inksNow();
    this.painter.clear(inks.ground);
    const { middle, radius } = this.reach();
    const view = this.camera.matrix(middle, radius, this.canvas.width / this.canvas.height);
    for (const [mesh, behind] of this.meshes()) this.painter.paint(mesh, pushedBack(view, behind), inks);
    this.placeLabels(view);
    this.figure.dataset.drawn = String(Number(this.figure.dataset.drawn || 0) + 1);
  }

  placeLabels(view) {
    const { clientWidth, clientHeight } = this.canvas;
    this.scene.places.forEach((place, i) => {
      const label = this.labels[i];
      const rise = place.part === "lid" ? this.share.lift * this.scene.lift : 0;
      const [x, y] = landing(view, [place.at[0], place.at[1], place.at[2] + rise], clientWidth, clientHeight);
      label.hidden = !this.shown.places || this.share.fold < CLOSED_SHARE;
      label.classList.toggle("leftward", x > 0.6 * clientWidth);
      label.style.left = `${x}px`;
      label.style.top = `${y}px`;
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

function joinControls(stage, figure) {
  for (const slider of figure.querySelectorAll("input[type=range]")) {
    const read = () => {
      stage.share[slider.name] = Number(slider.value) / 100;
      slider.nextElementSibling.value = `${slider.value} %`;
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

function start() {
  const figure = document.getElementById("turning-view");
  const notice = figure.querySelector(".no-view");
  try {
    const stage = new Stage(readScene(document.getElementById("scene").textContent), figure);
    figure.classList.add("alive");
    joinCanvas(stage);
    joinControls(stage, figure);
    stage.render();
    window.addEventListener("resize", () => stage.later());
    window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => stage.later());
    window.turningView = { stage, panelPoses };
  } catch (error) {
    notice.textContent = `The turning view cannot be shown (${error.message}); the still picture stands in for it.`;
  }
}

start();
