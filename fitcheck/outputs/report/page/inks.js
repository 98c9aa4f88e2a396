// The colours that things are painted in: the page's own in light and dark, papers in theirs.

const PAPER_TONES = [0.97, 0.88, 0.8];
const LINE = [0.11, 0.145, 0.16];
// Lines on paper darker than that are its colour, so far on the way to white.
const [DARK, PALER] = [0.15, 0.55];

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
    light: unit([-0.65, -0.02, 0.8]),
  };
}

// How light a colour is, 0 to 1 (relative luminance, WCAG 2).
function lightness(tint) {
  const [r, g, b] = tint.map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

// The ink of a print on a paper, and how much of the paper it covers.
function printInk(tint) {
  return lightness(tint) > 0.5 ? [0.063, 0.094, 0.11, 0.13] : [1, 1, 1, 0.34];
}

// The inks for a part of coloured or printed paper: its outside, its inside, its cut edges, lines
// that are seen on it, and what is printed.
function tinted(inks, tint, printed) {
  if (printed) return { ...tinted(inks, tint), printed, printInk: printInk(tint || inks.tones[0]) };
  if (!tint) return inks;
  const own = PAPER_TONES.map((light) => tint.map((v) => v * light));
  const ink = lightness(tint) < DARK ? tint.map((v) => v + PALER * (1 - v)) : LINE;
  return { ...inks, ink, tones: [...own, own[0], ...own, own[0]] };
}
