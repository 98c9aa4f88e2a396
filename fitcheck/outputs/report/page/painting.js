// Paints triangles and lines with WebGL: flat shading, parallel projection, thin dark edges.

const FACE_VERTEX = `
attribute vec3 place;
attribute vec3 normal;
attribute float tone;
uniform mat4 view;
varying vec3 facing;
varying float shade;
void main() {
  gl_Position = view * vec4(place, 1.0);
  facing = normal;
  shade = tone;
}`;

const FACE_FRAGMENT = `
precision mediump float;
uniform vec3 light;
uniform vec3 tones[8];
varying vec3 facing;
varying float shade;
void main() {
  vec3 tone = tones[0];
  for (int i = 1; i < 8; i += 1) { if (abs(shade - float(i)) < 0.5) { tone = tones[i]; } }
  float lit = dot(normalize(facing), light);
  gl_FragColor = vec4(tone * (0.80 + 0.20 * lit), 1.0);
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
    this.buffer = gl.createBuffer();
    gl.enable(gl.DEPTH_TEST);
    gl.depthFunc(gl.LEQUAL);
  }

  clear(colour) {
    const { gl, canvas } = this;
    const ratio = Math.min(window.devicePixelRatio || 1, 2);
    canvas.width = Math.max(1, Math.round(canvas.clientWidth * ratio));
    canvas.height = Math.max(1, Math.round(canvas.clientHeight * ratio));
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(...colour, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
  }

  paint(mesh, view, inks) {
    const { gl } = this;
    gl.useProgram(this.faces);
    gl.uniform3fv(gl.getUniformLocation(this.faces, "light"), inks.light);
    gl.uniform3fv(gl.getUniformLocation(this.faces, "tones"), inks.tones.flat());
    this.draw(this.faces, mesh.triangles, [["place", 3], ["normal", 3], ["tone", 1]], gl.TRIANGLES, view);
    gl.useProgram(this.lines);
    gl.uniform3fv(gl.getUniformLocation(this.lines, "ink"), inks.ink);
    this.draw(this.lines, mesh.lines, [["place", 3]], gl.LINES, view);
  }

  draw(used, numbers, layout, kind, view) {
    const { gl } = this;
    const stride = layout.reduce((sum, [, size]) => sum + size, 0);
    gl.uniformMatrix4fv(gl.getUniformLocation(used, "view"), false, new Float32Array(view));
    gl.bindBuffer(gl.ARRAY_BUFFER, this.buffer);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(numbers), gl.DYNAMIC_DRAW);
    let offset = 0;
    const places = layout.map(([name, size]) => {
      const place = gl.getAttribLocation(used, name);
      gl.enableVertexAttribArray(place);
      gl.vertexAttribPointer(place, size, gl.FLOAT, false, 4 * stride, 4 * offset);
      offset += size;
      return place;
    });
    gl.drawArrays(kind, 0, numbers.length / stride);
    places.forEach((place) => gl.disableVertexAttribArray(place));
  }
}
