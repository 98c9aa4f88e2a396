// Points are [x, y, z]; poses are 4 x 4, row after row, and carry points by pose * point.

const IDENTITY = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];

function times(a, b) {
  const product = new Array(16).fill(0);
  for (let row = 0; row < 4; row += 1) {
    for (let column = 0; column < 4; column += 1) {
      for (let k = 0; k < 4; k += 1) product[4 * row + column] += a[4 * row + k] * b[4 * k + column];
    }
  }
  return product;
}

function carry(pose, p) {
  return [0, 4, 8].map((row) => pose[row] * p[0] + pose[row + 1] * p[1] + pose[row + 2] * p[2] + pose[row + 3]);
}

function shifted(pose, x, y, z) {
  return times([1, 0, 0, x, 0, 1, 0, y, 0, 0, 1, z, 0, 0, 0, 1], pose);
}

function less(a, b) {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
}

function cross(a, b) {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

function unit(a) {
  const size = Math.hypot(a[0], a[1], a[2]) || 1;
  return [a[0] / size, a[1] / size, a[2] / size];
}

function clamp(value, low, high) {
  return Math.min(high, Math.max(low, value));
}

// Eases in and out, so that a part that moves in stages does not jerk.
function eased(share) {
  const s = clamp(share, 0, 1);
  return s * s * (3 - 2 * s);
}
