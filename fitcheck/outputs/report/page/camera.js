// A parallel view that is turned about the upright axis and tipped, never rolled.

const TIP_MOST = 1.5;
const DEPTH = 0.25;

class Camera {
  constructor() {
    this.look(-0.55, 0.5);
    this.zoom = 1;
  }

  look(turn, tip) {
    this.turn = turn;
    this.tip = tip;
  }

  moved(turn, tip) {
    this.turn += turn;
    this.tip = clamp(this.tip + tip, -TIP_MOST, TIP_MOST);
  }

  zoomed(factor) {
    this.zoom = clamp(this.zoom * factor, 0.5, 12);
  }

  // Unit directions of the picture in space: rightwards, upwards, towards the eye.
  axes() {
    const [s, c, p, q] = [Math.sin(this.turn), Math.cos(this.turn), Math.sin(this.tip), Math.cos(this.tip)];
    return { right: [c, s, 0], up: [-s * p, c * p, q], eye: [s * q, -c * q, p] };
  }

  // Column after column, as WebGL wants it: `middle` in the centre, `radius` in sight.
  matrix(middle, radius, aspect) {
    const { right, up, eye } = this.axes();
    const scale = this.zoom / radius;
    const wide = aspect >= 1 ? [scale / aspect, scale] : [scale, scale * aspect];
    const depth = -DEPTH / radius;
    const rows = [right.map((v) => v * wide[0]), up.map((v) => v * wide[1]), eye.map((v) => v * depth)];
    const matrix = new Array(16).fill(0);
    rows.forEach((row, i) => {
      for (let k = 0; k < 3; k += 1) matrix[4 * k + i] = row[k];
      matrix[12 + i] = -(row[0] * middle[0] + row[1] * middle[1] + row[2] * middle[2]);
    });
    matrix[15] = 1;
    return matrix;
  }
}

// The same view with everything a little further from the eye, by a share of the radius in sight.
function pushedBack(matrix, by) {
  const pushed = [...matrix];
  pushed[14] += DEPTH * by;
  return pushed;
}

// Where a point lands on the canvas, in CSS pixels from its top left.
function landing(matrix, p, width, height) {
  const x = matrix[0] * p[0] + matrix[4] * p[1] + matrix[8] * p[2] + matrix[12];
  const y = matrix[1] * p[0] + matrix[5] * p[1] + matrix[9] * p[2] + matrix[13];
  return [(0.5 + 0.5 * x) * width, (0.5 - 0.5 * y) * height];
}
