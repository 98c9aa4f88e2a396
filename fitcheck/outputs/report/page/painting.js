// Paints triangles and lines with WebGL: soft flat shading, parallel projection, thin edges.

// As in the still pictures: what a face gets from all round, from above and from the lamp, which is
// wrapped round so that no two walls that meet are alike.
const [AROUND, SKY, LAMP] = [0.649, 0.09, 0.29];
// Two pixels are drawn for each of the page's each way, to keep lines clean.
const FINE = 2;
const PRINTS = ["dots", "stripes", "check"];

const FACE_VERTEX = `
attribute vec3 place;
attribute vec3 normal;
attribute float tone;
attribute vec2 sheet;
uniform mat4 view;
varying vec3 facing;
varying float shade;
varying vec2 flat_place;
void main() {
  flat_place = sheet;
  gl_Position = view * vec4(place, 1.0);
  facing = normal;
  shade = tone;
}`;

const FACE_FRAGMENT = `
precision mediump float;
#define PITCH 9.0
#define INKED 0.4
uniform vec3 light;
uniform vec3 lamps;
uniform vec3 tones[8];
uniform float printed;
uniform vec4 print_ink;
varying vec3 facing;
varying float shade;
varying vec2 flat_place;

// How much of the paper is inked at a place on the sheet: dots, stripes, or check, that is stripes
// both ways, each laid over the other.
vec3 inked(vec3 paper) {
  if (printed < 0.5 || flat_place.x < -9000.0) return paper;
  vec2 at = fract(flat_place / PITCH);
  vec2 stripe = step(at, vec2(INKED));
  float dot_ink = step(length(at - 0.5), 0.5 * INKED);
  float first = printed < 1.5 ? dot_ink : stripe.x;
  vec3 over = mix(paper, print_ink.rgb, first * print_ink.a);
  return printed < 2.5 ? over : mix(over, print_ink.rgb, stripe.y * print_ink.a);
}

void main() {
  vec3 tone = tones[0];
  for (int i = 1; i < 8; i += 1) { if (abs(shade - float(i)) < 0.5) { tone = tones[i]; } }
  vec3 way = normalize(facing);
  vec3 shares = vec3(1.0, 0.5 + 0.5 * way.z, 0.5 + 0.5 * dot(way, light));
  gl_FragColor = vec4(inked(tone * dot(shares, lamps)), 1.0);
}`;

const LINE_VERTEX = `
attribute vec3 place;
uniform mat4 view;
void main() {
  vec4 at = view * vec4(place, 1.0);
  gl_Position = vec4(at.xy, at.z - 0.00004, at.w);
}`;

const LINE_FRAGMENT = `
precision mediump float;
uniform vec3 ink;
void main() { gl_FragColor = vec4(ink, 1.0); }`;

const SHADE_VERTEX = `
attribute vec3 place;
attribute float dark;
uniform mat4 view;
varying float depth;
void main() {
  vec4 at = view * vec4(place, 1.0);
  gl_Position = vec4(at.xy, at.z - 0.00003, at.w);
  depth = dark;
}`;

const SHADE_FRAGMENT = `
precision mediump float;
varying float depth;
void main() { gl_FragColor = vec4(0.06, 0.09, 0.11, depth * depth); }`;

function program(gl, vertex, fragment) {
  const made = gl.createProgram();
  for (const [kind, source] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, source);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader));
    gl.attachShader(made, shader);
  }
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made));
  return made;
}

class Painter {
  constructor(canvas) {
    const gl = canvas.getContext("webgl", { antialias: true, preserveDrawingBuffer: true, alpha: false });
    if (!gl) throw new Error("this browser offers no WebGL");
    this.gl = gl;
    this.canvas = canvas;
    this.faces = program(gl, FACE_VERTEX, FACE_FRAGMENT);
    this.lines = program(gl, LINE_VERTEX, LINE_FRAGMENT);
    this.shades = program(gl, SHADE_VERTEX, SHADE_FRAGMENT);
    this.buffer = gl.createBuffer();
    gl.enable(gl.DEPTH_TEST);
    gl.depthFunc(gl.LEQUAL);
  }

  clear(colour) {
    const { gl, canvas } = this;
    canvas.width = Math.max(1, Math.round(canvas.clientWidth * FINE));
    canvas.height = Math.max(1, Math.round(canvas.clientHeight * FINE));
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(...colour, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
  }

  paint(mesh, view, inks) {
    const { gl } = this;
    gl.useProgram(this.faces);
    gl.uniform3fv(gl.getUniformLocation(this.faces, "light"), inks.light);
    gl.uniform3f(gl.getUniformLocation(this.faces, "lamps"), AROUND, SKY, LAMP);
    gl.uniform3fv(gl.getUniformLocation(this.faces, "tones"), inks.tones.flat());
    // back by as much as a face leans within a quarter of a pixel, so that its edges are not lost in
    // it; by more the edges of what lies a paper's thickness behind it would show
    gl.enable(gl.POLYGON_OFFSET_FILL);
    gl.polygonOffset(0.25, 1);
    gl.uniform1f(gl.getUniformLocation(this.faces, "printed"), PRINTS.indexOf(inks.printed) + 1);
    gl.uniform4fv(gl.getUniformLocation(this.faces, "print_ink"), inks.printInk || [0, 0, 0, 0]);
    this.draw(this.faces, mesh.triangles, CORNER, gl.TRIANGLES, view);
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
    gl.depthMask(false);
    gl.useProgram(this.shades);
    this.draw(this.shades, mesh.shades, [["place", 3], ["dark", 1]], gl.TRIANGLES, view);
    gl.depthMask(true);
    gl.disable(gl.BLEND);
    gl.disable(gl.POLYGON_OFFSET_FILL);
    gl.useProgram(this.lines);
    gl.uniform3fv(gl.getUniformLocation(this.lines, "ink"), inks.ink);
    this.draw(this.lines, mesh.lines, [["place", 3]], gl.LINES, view);
  }

  draw(used, numbers, layout, kind, view) {
    const { gl } = this;
    const stride = layout.reduce((sum, [, size]) => sum + size, 0);
    if (view) gl.uniformMatrix4fv(gl.getUniformLocation(used, "view"), false, new Float32Array(view));
    gl.bindBuffer(gl.ARRAY_BUFFER, this.buffer);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(numbers), gl.DYNAMIC_DRAW);
    let offset = 0;
    const places = layout.map(([name, size]) => {
      const place = gl.getAttribLocation(used, name);
      offset += place < 0 ? size : 0;
      if (place < 0) return place;
      gl.enableVertexAttribArray(place);
      gl.vertexAttribPointer(place, size, gl.FLOAT, false, 4 * stride, 4 * offset);
      offset += size;
      return place;
    });
    gl.drawArrays(kind, 0, numbers.length / stride);
    places.filter((place) => place >= 0).forEach((place) => gl.disableVertexAttribArray(place));
  }
}
