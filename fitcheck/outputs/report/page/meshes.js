// Turns folded parts and contents into triangles and edge lines for drawing.

const OUTSIDE = 0;
const INSIDE = 1;
const EDGE = 2;
const CONTENT = 3;

// Triangles as nine coordinates, a normal and a tone; lines as two points.
class Mesh {
  constructor() {
    this.triangles = [];
    this.lines = [];
  }

  face(corners, tone) {
    const normal = unit(cross(less(corners[1], corners[0]), less(corners[2], corners[0])));
    for (let i = 1; i + 1 < corners.length; i += 1) {
      for (const p of [corners[0], corners[i], corners[i + 1]]) this.triangles.push(...p, ...normal, tone);
    }
  }

  line(a, b) {
    this.lines.push(...a, ...b);
  }
}

// A convex cell of a plate; its inner sides are those across which the plate goes on.
function addCell(mesh, { corners, inner }, thickness, pose, tone) {
  const outside = corners.map(([x, y]) => carry(pose, [x, y, 0]));
  const inside = corners.map(([x, y]) => carry(pose, [x, y, thickness]));
  mesh.face([...outside].reverse(), tone + OUTSIDE);
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
    addBend(mesh, bendRows(part, bend, turn, pose), tone);
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
    for (let i = 0; i < mesh.triangles.length; i += 7) {
      for (let k = 0; k < 3; k += 1) {
        low[k] = Math.min(low[k], mesh.triangles[i + k]);
        high[k] = Math.max(high[k], mesh.triangles[i + k]);
      }
    }
  }
  return [low, high];
}
