// The shadow on the table: what stands low is drawn as seen from below into a small picture, the
// lower the darker, that is blurred twice and laid under everything. It follows the folding.

const SHADOW_SIZE = 256;
// How high a thing may be to darken the table by a third of what one on it does, and how far the
// picture reaches beyond everything in sight; both as shares of the radius in sight.
const SHADOW_HEIGHT = 0.05;
const SHADOW_ROOM = 0.25;
const SHADOW_DARK = 0.34;
// Distances of the blur's taps, coarse after fine, as shares of that room.
const BLURS = [1.0, 2.2];
const BLUR_STEP = 0.02;
const SQUARE = [-1, -1, 1, -1, 1, 1, -1, -1, 1, 1, -1, 1];

const FOOT_VERTEX = `
attribute vec3 place;
uniform vec4 frame;
uniform vec2 heights;
varying float above;
void main() {
  above = place.z - heights.x;
  gl_Position = vec4((place.xy - frame.xy) / frame.zw, 2.0 * above / heights.y - 1.0, 1.0);
}`;

const FOOT_FRAGMENT = `
precision mediump float;
uniform float soft;
varying float above;
void main() { gl_FragColor = vec4(exp(-max(above, 0.0) / soft)); }`;

const FLAT_VERTEX = `
attribute vec2 place;
varying vec2 at;
void main() {
  at = 0.5 + 0.5 * place;
  gl_Position = vec4(place, 0.0, 1.0);
}`;

const BLUR_FRAGMENT = `
precision mediump float;
uniform sampler2D picture;
uniform vec2 stride;
varying vec2 at;
void main() {
  float sum = 0.0;
  float all = 0.0;
  for (int i = -4; i <= 4; i += 1) {
    float weight = exp(-0.5 * float(i * i) / 4.0);
    sum += weight * texture2D(picture, at + float(i) * stride).r;
    all += weight;
  }
  gl_FragColor = vec4(sum / all);
}`;

const TABLE_VERTEX = `
attribute vec2 place;
uniform mat4 view;
uniform vec4 frame;
uniform float level;
varying vec2 at;
void main() {
  at = 0.5 + 0.5 * place;
  gl_Position = view * vec4(frame.xy + place * frame.zw, level, 1.0);
}`;

const TABLE_FRAGMENT = `
precision mediump float;
uniform sampler2D picture;
uniform float dark;
varying vec2 at;
void main() { gl_FragColor = vec4(0.06, 0.09, 0.11, dark * texture2D(picture, at).r); }`;

class Shadow {
  constructor(painter) {
    const { gl } = painter;
    this.painter = painter;
    this.foot = program(gl, FOOT_VERTEX, FOOT_FRAGMENT);
    this.blur = program(gl, FLAT_VERTEX, BLUR_FRAGMENT);
    this.table = program(gl, TABLE_VERTEX, TABLE_FRAGMENT);
    this.pictures = [this.picture(true), this.picture(false)];
  }

  picture(deep) {
    const { gl } = this.painter;
    const texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, SHADOW_SIZE, SHADOW_SIZE, 0, gl.RGBA, gl.UNSIGNED_BYTE, null);
    for (const side of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, side, gl.CLAMP_TO_EDGE);
    for (const size of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_2D, size, gl.LINEAR);
    const buffer = gl.createFramebuffer();
    gl.bindFramebuffer(gl.FRAMEBUFFER, buffer);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, texture, 0);
    if (deep) {
      const depth = gl.createRenderbuffer();
      gl.bindRenderbuffer(gl.RENDERBUFFER, depth);
      gl.renderbufferStorage(gl.RENDERBUFFER, gl.DEPTH_COMPONENT16, SHADOW_SIZE, SHADOW_SIZE);
      gl.framebufferRenderbuffer(gl.FRAMEBUFFER, gl.DEPTH_ATTACHMENT, gl.RENDERBUFFER, depth);
    }
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    return { texture, buffer };
  }

  // Casts the shadow of meshes and lays it on the table, seen from above only.
  lay(meshes, view, radius, eye) {
    if (eye[2] <= 0) return;
    const { gl, canvas } = this.painter;
    const [low, high] = meshBounds(meshes);
    const room = SHADOW_ROOM * radius;
    const frame = [0, 1].map((k) => 0.5 * (low[k] + high[k])).concat([0, 1].map((k) => 0.5 * (high[k] - low[k]) + room));
    gl.viewport(0, 0, SHADOW_SIZE, SHADOW_SIZE);
    this.cast(meshes, frame, low[2], high[2] - low[2] + 1, radius);
    gl.disable(gl.DEPTH_TEST);
    // the picture need not be square, the blur on the table shall be round
    for (const wide of BLURS) {
      const step = wide * room * BLUR_STEP;
      const strides = [[step / frame[2], 0], [0, step / frame[3]]];
      strides.forEach((stride, i) => this.blurred(this.pictures[i], this.pictures[1 - i], stride));
    }
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
    gl.useProgram(this.table);
    gl.bindTexture(gl.TEXTURE_2D, this.pictures[0].texture);
    gl.uniform4fv(gl.getUniformLocation(this.table, "frame"), frame);
    gl.uniform1f(gl.getUniformLocation(this.table, "level"), low[2]);
    gl.uniform1f(gl.getUniformLocation(this.table, "dark"), SHADOW_DARK * clamp(4 * eye[2], 0, 1));
    this.painter.draw(this.table, SQUARE, [["place", 2]], gl.TRIANGLES, view);
    gl.disable(gl.BLEND);
    gl.enable(gl.DEPTH_TEST);
  }

  cast(meshes, frame, level, tall, radius) {
    const { gl } = this.painter;
    gl.bindFramebuffer(gl.FRAMEBUFFER, this.pictures[0].buffer);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.useProgram(this.foot);
    gl.uniform4fv(gl.getUniformLocation(this.foot, "frame"), frame);
    gl.uniform2f(gl.getUniformLocation(this.foot, "heights"), level, tall);
    gl.uniform1f(gl.getUniformLocation(this.foot, "soft"), SHADOW_HEIGHT * radius);
    for (const mesh of meshes) {
      this.painter.draw(this.foot, mesh.triangles, CORNER, gl.TRIANGLES);
    }
  }

  blurred(from, to, stride) {
    const { gl } = this.painter;
    gl.bindFramebuffer(gl.FRAMEBUFFER, to.buffer);
    gl.useProgram(this.blur);
    gl.bindTexture(gl.TEXTURE_2D, from.texture);
    gl.uniform2fv(gl.getUniformLocation(this.blur, "stride"), stride);
    this.painter.draw(this.blur, SQUARE, [["place", 2]], gl.TRIANGLES);
  }
}
