// Folds a part along its crease tree. At share 1 everything stands as it was checked; on the way
// each crease bends its own strip evenly, which keeps the strip's flat length. While a part's creases
// are sharpened all of them are folded a little (part.creased).

const LEAST_ANGLE = 1e-5;
const ARC_STEP = 0.2;

function unpack(points) {
  const text = atob(points.data);
  const bytes = Uint8Array.from(text, (sign) => sign.charCodeAt(0));
  const view = new DataView(bytes.buffer);
  return ([start, count]) =>
    Array.from({ length: count }, (_, i) => points.low + points.step * view.getUint16(2 * (start + i), true));
}

function grouped(numbers, size) {
  const groups = [];
  for (let i = 0; i < numbers.length; i += size) groups.push(numbers.slice(i, i + size));
  return groups;
}

function readScene(text) {
  const scene = JSON.parse(text);
  const numbers = unpack(scene.points);
  const shape = (cell) => ({ corners: grouped(numbers(cell.outline), 2), inner: cell.inner || [] });
  for (const part of scene.parts) part.cells = part.plates.map((plate) => (plate.cells || [plate]).map(shape));
  for (const content of scene.contents) content.points = grouped(numbers(content.vertices), 3);
  return scene;
}

// How far one crease has turned, and the strip's radius then. A fold to the outside turns the other
// way, about an axis below the paper.
function turnOf(part, crease, share) {
  const own = Math.max(clamp((share - crease.from) / (crease.to - crease.from), 0, 1), part.creased || 0);
  const turned = own >= 1 ? 1 : eased(own);
  const side = crease.angle < 0 ? -1 : 1;
  const angle = side * Math.max(side * crease.angle * turned, LEAST_ANGLE);
  const law = "radius" in crease ? crease : part;
  const half = 0.5 * side * crease.angle * (law.radius + law.neutral);
  const radius = (2 * half) / (side * angle) - law.neutral;
  const outer = radius + ("skin" in crease ? crease.skin : part.thickness);
  const lift = side > 0 ? radius + part.thickness : -radius;
  return { side, angle, half, radius, outer, lift, share: angle / crease.angle };
}

// Carries the child's place on the sheet to its folded place beside the parent.
function childPose(crease, turn) {
  const [x, y] = crease.outward;
  const along = x * crease.origin[0] + y * crease.origin[1];
  const sin = Math.sin(turn.angle);
  const cos = Math.cos(turn.angle);
  const less1 = -2 * Math.sin(turn.angle / 2) ** 2;
  // written so that nothing is lost when the angle is small and the lift is large
  const level = along - turn.half - cos * (along + turn.half) + sin * turn.lift;
  const height = -less1 * turn.lift - sin * (along + turn.half);
  return [
    1 + less1 * x * x, less1 * x * y, -sin * x, level * x,
    less1 * x * y, 1 + less1 * y * y, -sin * y, level * y,
    sin * x, sin * y, cos, height,
    0, 0, 0, 1,
  ];
}

function bendPose(crease, turn) {
  const [x, y] = crease.outward;
  return [
    x, -y * turn.side, 0, crease.origin[0] - x * turn.half,
    y, x * turn.side, 0, crease.origin[1] - y * turn.half,
    0, 0, turn.side, turn.lift,
    0, 0, 0, 1,
  ];
}

// The panels' poses, root first; the creases come parents before children.
function panelPoses(part, share, rootPose) {
  const poses = { 0: rootPose };
  const turns = part.creases.map((crease) => turnOf(part, crease, share));
  part.creases.forEach((crease, i) => {
    if (!crease.web) poses[crease.child] = times(poses[crease.parent], childPose(crease, turns[i]));
  });
  return { poses, turns };
}

// One stretch of a bend as rows of [inside, outside] points across it, at both ends.
function bendRows(part, bend, turn, pose) {
  const start = bend.start * turn.share;
  const stop = bend.stop * turn.share;
  const steps = Math.max(2, Math.ceil((bend.stop - bend.start) / ARC_STEP));
  const inner = turn.radius;
  const outer = turn.outer;
  return Array.from({ length: steps + 1 }, (_, i) => {
    const at = i / steps;
    const phi = start + at * (stop - start);
    const low = bend.ends[0] + at * (bend.ends[2] - bend.ends[0]);
    const high = bend.ends[1] + at * (bend.ends[3] - bend.ends[1]);
    const point = (r, y) => carry(pose, [r * Math.sin(phi), y, -r * Math.cos(phi)]);
    return [point(inner, low), point(inner, high), point(outer, low), point(outer, high)];
  });
}
