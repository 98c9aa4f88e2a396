// Turns folded parts and contents into triangles and edge lines for drawing.

const OUTSIDE = 0;
const INSIDE = 1;
const EDGE = 2;
const CONTENT = 3;

// Soft shade along a concave crease: how dark the square of it is there, and how wide, mm.
const SHADE_DARK = 0.42;
const SHADE_WIDE = 9;

// Numbers for a corner of a triangle: its place, its face's normal and tone, its place on the sheet.
const CORNER = [["place", 3], ["normal", 3], ["tone", 1], ["sheet", 2]];
const CORNER_SIZE = 9;
// What has no place on the sheet has no print.
const NO_SHEET = [-10000, -10000];

// Triangles; lines as two points; shades as a place and a darkness for each corner.
class Mesh {
  constructor() {
    this.triangles = [];
    this.shades = [];
    this.lines = [];
  }

  face(corners, tone, sheet) {
    const normal = unit(cross(less(corners[1], corners[0]), less(corners[2], corners[0])));
    for (let i = 1; i + 1 < corners.length; i += 1) {
      for (const k of [0, i, i + 1]) this.triangles.push(...corners[k], ...normal, tone, ...(sheet ? sheet[k] : NO_SHEET));
    }
  }

  // A band from an edge in a direction that fades out; its far side is shorter, as at a mitre.
  shade(a, b, way, wide, dark) {
    const along = unit(less(b, a));
    const cut = Math.min(wide, 0.5 * Math.hypot(...less(b, a)));
    const far = (p, sign) => p.map((v, k) => v + wide * way[k] + sign * cut * along[k]);
    const [c, d] = [far(a, 1), far(b, -1)];
    for (const [p, own] of [[a, dark], [b, dark], [d, 0], [a, dark], [d, 0], [c, 0]]) this.shades.push(...p, own);
  }

  line(a, b) {
    this.lines.push(...a, ...b);
  }
}

// A convex cell of a plate; its inner sides are those across which the plate goes on.
function addCell(mesh, { corners, inner }, thickness, pose, tone) {
  const outside = corners.map(([x, y]) => carry(pose, [x, y, 0]));
  const inside = corners.map(([x, y]) => carry(pose, [x, y, thickness]));
  mesh.face([...outside].reverse(), tone + OUTSIDE, [...corners].reverse());
  mesh.face(inside, tone + INSIDE);
  corners.forEach((_, i) => {
    if (inner.includes(i)) return;
    const k = (i + 1) % corners.length;
    mesh.face([outside[i], outside[k], inside[k], inside[i]], tone + EDGE);
    mesh.line(outside[i], outside[k]);
    mesh.line(inside[i], inside[k]);
  });
}

function addBend(mesh, rows, tone) {
  for (let i = 0; i + 1 < rows.length; i += 1) {
    const [a, b] = [rows[i], rows[i + 1]];
    mesh.face([a[2], b[2], b[3], a[3]].reverse(), tone + OUTSIDE);
    mesh.face([a[0], b[0], b[1], a[1]], tone + INSIDE);
    mesh.face([a[0], a[2], b[2], b[0]].reverse(), tone + EDGE);
    mesh.face([a[1], a[3], b[3], b[1]], tone + EDGE);
    mesh.line(a[2], b[2]);
    mesh.line(a[3], b[3]);
  }
}

// How far a part's panels reach from a crease: the parent on its side, the child on its own.
function reaches(part, crease) {
  const reach = (i, sign) => Math.max(0, ...part.cells[i].flatMap(({ corners }) => corners.map(([x, y]) =>
    sign * (crease.outward[0] * (x - crease.origin[0]) + crease.outward[1] * (y - crease.origin[1])))));
  return [reach(crease.parent, -1), reach(crease.child, 1)];
}

// The shade in the angle of a crease, on the parent where a stretch of the bend begins and on the
// child where it ends.
function addShade(mesh, part, crease, bend, turn, rows, pose) {
  if (!crease.reaches) crease.reaches = reaches(part, crease);
  const dark = SHADE_DARK * clamp(Math.abs(turn.angle) / (0.5 * Math.PI), 0, 1);
  const ends = [[0, bend.start, -1], [rows.length - 1, bend.stop, 1]];
  ends.forEach(([row, phi, sign], i) => {
    const wanted = i === 0 ? Math.abs(phi) < 1e-6 : Math.abs(phi - Math.abs(crease.angle)) < 1e-3;
    if (!wanted) return;
    const own = phi * turn.share;
    const local = [sign * Math.cos(own), 0, sign * Math.sin(own)];
    const way = less(carry(pose, local), carry(pose, [0, 0, 0]));
    mesh.shade(rows[row][0], rows[row][1], way, Math.min(SHADE_WIDE, 0.5 * crease.reaches[i]), dark);
  });
}

// The part's mesh, and apart from it each tab's with the direction of its outside face: glued inside
// a leaning wall, a tab shares the wall's planes at the foot, where nothing but this tells the
// painter that the wall covers it from outside and that it covers the wall from inside.
function partMeshes(part, share, rootPose, tone) {
  const mesh = new Mesh();
  const tabs = [];
  const { poses, turns } = panelPoses(part, share, rootPose);
  part.cells.forEach((cells, i) => {
    const plate = part.plates[i].behind ? new Mesh() : mesh;
    for (const cell of cells) addCell(plate, cell, part.thickness, poses[i], tone);
    if (plate !== mesh) tabs.push({ mesh: plate, outward: [-poses[i][2], -poses[i][6], -poses[i][10]] });
  });
  for (const bend of part.bends) {
    const crease = part.creases[bend.crease];
    const turn = turns[bend.crease];
    const pose = times(poses[crease.parent], bendPose(crease, turn));
    const rows = bendRows(part, bend, turn, pose);
    addBend(mesh, rows, tone);
    if (!crease.web && !part.plates[crease.child].behind) addShade(mesh, part, crease, bend, turn, rows, pose);
  }
  return { mesh, tabs };
}

function everyMesh({ mesh, tabs }) {
  return [mesh, ...tabs.map((tab) => tab.mesh)];
}

function contentMesh(contents) {
  const mesh = new Mesh();
  for (const content of contents) {
    for (const face of content.faces) {
      const corners = face.map((i) => content.points[i]);
      mesh.face(corners, CONTENT);
      // a round body shows only the edges of its flat ends
      if (content.smooth && corners.length < 12) continue;
      corners.forEach((corner, i) => mesh.line(corner, corners[(i + 1) % corners.length]));
    }
  }
  return mesh;
}

// The box round everything that a mesh draws: [low, high].
function meshBounds(meshes) {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const mesh of meshes) {
    for (let i = 0; i < mesh.triangles.length; i += CORNER_SIZE) {
      for (let k = 0; k < 3; k += 1) {
        low[k] = Math.min(low[k], mesh.triangles[i + k]);
        high[k] = Math.max(high[k], mesh.triangles[i + k]);
      }
    }
  }
  return [low, high];
}
