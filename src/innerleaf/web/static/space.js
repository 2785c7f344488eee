// Solids in space, drawn by WebGL 2: one instance of a cube for each, outlines as lines on top.

/** @typedef {[number, number, number]} Colour */
/** @typedef {{origin: number[], along: number[]}} Base where a wall stands on plan [mm], and which way it goes */
/** @typedef {{step: number, colour: Colour, solids: {base: Base, sizes: number[]}[], edges: {base: Base, ring: number[]}[], flat?: boolean}} Part what is switched together */
/** @typedef {{turn: number, rise: number, away: number}} Eye round the middle [radians, m] */

// A wall's own coordinates to those of space [m]: x to the right on plan, y up, z towards the foot of the plan.
const PLACE = `
uniform mat4 view; uniform vec3 middle; uniform vec3 eye; uniform float apart; uniform bool flatly; uniform bool hides;
in vec4 base;
vec4 placed(vec3 at, float step) {
  vec2 into = vec2(base.w, -base.z);
  float depth = at.z + apart * step;
  vec2 plan = base.xy + base.zw * at.x + into * depth;
  vec3 world = flatly ? vec3(at.x, at.z, -at.y) : vec3(plan.x, at.y, -plan.y);
  vec2 seen = vec2(eye.x * 1000. + middle.x, -(eye.z * 1000. + middle.z)) - base.xy;
  if (hides && !flatly && dot(seen, into) < 0.) return vec4(2., 2., 2., 0.); // between the eye and the room
  return vec4((world - middle) / 1000., 1.);
}`;
const SOLID = `#version 300 es
precision highp float;${PLACE}
in vec3 corner; in vec4 low; in vec4 high; in vec4 look; // x0 x1 low0 low1 | high0 high1 near far | colour, step
out vec3 where; out vec3 colour;
void main() {
  float x = mix(low.x, low.y, corner.x);
  float y = mix(mix(low.z, low.w, corner.x), mix(high.x, high.y, corner.x), corner.y);
  vec4 at = placed(vec3(x, y, mix(high.z, high.w, corner.z)), look.w);
  where = at.xyz; colour = look.rgb;
  gl_Position = at.w == 0. ? at : view * at;
}`;
const LIT = `#version 300 es
precision highp float;
uniform vec3 eye;
in vec3 where; in vec3 colour; out vec4 paint;
void main() {
  vec3 normal = normalize(cross(dFdx(where), dFdy(where)));
  vec3 to = normalize(eye - where);
  if (dot(normal, to) < 0.) normal = -normal;
  float sky = .5 + .5 * normal.y;
  float side = .5 + .5 * dot(normal, normalize(vec3(.55, .25, .8)));
  paint = vec4(colour * (.62 + .22 * sky + .15 * side + .06 * dot(normal, to)), 1.);
}`;
const LINE = `#version 300 es
precision highp float;${PLACE}
in vec4 point; // x, y, depth, step
void main() {
  vec4 at = placed(point.xyz, point.w);
  gl_Position = at.w == 0. ? at : view * at;
  gl_Position.z -= .00016 * gl_Position.w; // on its solid, not in it
}`;
const INK = `#version 300 es
precision highp float;
uniform vec4 ink; out vec4 paint;
void main() { paint = ink; }`;

// Two triangles for each face of a cube.
const CUBE = new Float32Array([[0, 1, 2], [1, 2, 0], [2, 0, 1]].flatMap(([a, b, c]) => [0, 1].flatMap((side) => [[0, 0], [1, 0], [1, 1], [0, 0], [1, 1], [0, 1]].flatMap(([u, v]) => {
  const corner = [0, 0, 0];
  corner[a] = side;
  corner[b] = u;
  corner[c] = v;
  return corner;
}))));

export class Space {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    const gl = canvas.getContext("webgl2", { antialias: true, alpha: true, premultipliedAlpha: true });
    if (!gl) throw new Error("WebGL 2 is missing");
    this.canvas = canvas;
    this.gl = gl;
    this.solid = program(gl, SOLID, LIT);
    this.line = program(gl, LINE, INK);
    this.cube = buffer(gl, CUBE);
    /** @type {Map<string, {solids: WebGLVertexArrayObject, many: number, lines: WebGLVertexArrayObject, points: number, flat: boolean}>} */
    this.parts = new Map();
    this.shown = new Set();
    /** @type {Eye} */
    this.eye = { turn: 0.5, rise: 0.6, away: 10 };
    this.middle = [0, 0, 0];
    this.apart = 0;
    this.hides = true;
    /** @type {Colour} */
    this.ink = [0, 0, 0];
    gl.enable(gl.DEPTH_TEST);
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
    gl.enable(gl.POLYGON_OFFSET_FILL);
    gl.polygonOffset(1, 1);
  }

  /** Hold a part ready under a name. @param {string} name @param {Part} part */
  put(name, part) {
    const { gl } = this;
    const solids = new Float32Array(part.solids.flatMap(({ base, sizes }) => [...base.origin, ...base.along, ...sizes, ...part.colour, part.step]));
    const lines = new Float32Array(part.edges.flatMap(({ base, ring }) => {
      const [depth, ...flat] = ring;
      const ends = [];
      for (let at = 0; at < flat.length; at += 2) {
        const next = (at + 2) % flat.length;
        ends.push(...base.origin, ...base.along, flat[at], flat[at + 1], depth, part.step, ...base.origin, ...base.along, flat[next], flat[next + 1], depth, part.step);
      }
      return ends;
    }));
    this.parts.set(name, {
      solids: this.#array(this.solid, { corner: [this.cube, 3, 12, 0, 0], ...fields(buffer(gl, solids), 64, { base: 0, low: 16, high: 32, look: 48 }, 1) }),
      many: part.solids.length,
      lines: this.#array(this.line, fields(buffer(gl, lines), 32, { base: 0, point: 16 }, 0)),
      points: lines.length / 8,
      flat: Boolean(part.flat),
    });
  }

  /** @param {WebGLProgram} of @param {Record<string, [WebGLBuffer, number, number, number, number]>} attributes */
  #array(of, attributes) {
    const { gl } = this;
    const array = gl.createVertexArray();
    gl.bindVertexArray(array);
    for (const [name, [from, size, stride, offset, each]] of Object.entries(attributes)) {
      const place = gl.getAttribLocation(of, name);
      gl.bindBuffer(gl.ARRAY_BUFFER, from);
      gl.enableVertexAttribArray(place);
      gl.vertexAttribPointer(place, size, gl.FLOAT, false, stride, offset);
      gl.vertexAttribDivisor(place, each);
    }
    return array;
  }

  draw() {
    const { gl, canvas } = this;
    const sharp = Math.min(devicePixelRatio || 1, 2);
    const [width, height] = [Math.round(canvas.clientWidth * sharp), Math.round(canvas.clientHeight * sharp)];
    if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
    gl.viewport(0, 0, width, height);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    const { turn, rise, away } = this.eye;
    const eye = [away * Math.cos(rise) * Math.sin(turn), away * Math.sin(rise), away * Math.cos(rise) * Math.cos(turn)];
    const view = product(perspective(0.62, width / Math.max(height, 1), away * 0.12, away * 4), towards(eye, turn, rise));
    for (const of of [this.solid, this.line]) {
      gl.useProgram(of);
      const at = (/** @type {string} */ name) => gl.getUniformLocation(of, name);
      gl.uniformMatrix4fv(at("view"), false, view);
      gl.uniform3fv(at("middle"), this.middle);
      gl.uniform3fv(at("eye"), eye);
      gl.uniform1f(at("apart"), this.apart);
      gl.uniform1i(at("hides"), Number(this.hides));
      if (of === this.line) gl.uniform4f(at("ink"), ...this.ink, 0.55);
      for (const [name, part] of this.parts) {
        if (!this.shown.has(name)) continue;
        gl.uniform1i(at("flatly"), Number(part.flat));
        gl.bindVertexArray(of === this.solid ? part.solids : part.lines);
        if (of === this.solid) gl.drawArraysInstanced(gl.TRIANGLES, 0, 36, part.many);
        else gl.drawArrays(gl.LINES, 0, part.points);
      }
    }
  }
}

/** @param {WebGLBuffer} from @param {number} stride @param {Record<string, number>} offsets @param {number} each @returns {Record<string, [WebGLBuffer, number, number, number, number]>} */
function fields(from, stride, offsets, each) {
  return Object.fromEntries(Object.entries(offsets).map(([name, offset]) => [name, [from, 4, stride, offset, each]]));
}

/** @param {WebGL2RenderingContext} gl @param {Float32Array} values */
function buffer(gl, values) {
  const made = gl.createBuffer();
  gl.bindBuffer(gl.ARRAY_BUFFER, made);
  gl.bufferData(gl.ARRAY_BUFFER, values, gl.STATIC_DRAW);
  return made;
}

/** @param {WebGL2RenderingContext} gl @param {string} vertex @param {string} fragment */
function program(gl, vertex, fragment) {
  const made = gl.createProgram();
  for (const [type, source] of /** @type {[number, string][]} */ ([[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]])) {
    const shader = /** @type {WebGLShader} */ (gl.createShader(type));
    gl.shaderSource(shader, source);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader) ?? "shader");
    gl.attachShader(made, shader);
  }
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made) ?? "program");
  return made;
}

/** Column after column. @param {number} opening @param {number} aspect @param {number} near @param {number} far */
function perspective(opening, aspect, near, far) {
  const f = 1 / Math.tan(opening / 2);
  return [f / aspect, 0, 0, 0, 0, f, 0, 0, 0, 0, (far + near) / (near - far), -1, 0, 0, (2 * far * near) / (near - far), 0];
}

/** Looking from the eye to the middle. @param {number[]} eye @param {number} turn @param {number} rise */
function towards(eye, turn, rise) {
  const right = [Math.cos(turn), 0, -Math.sin(turn)];
  const back = [Math.cos(rise) * Math.sin(turn), Math.sin(rise), Math.cos(rise) * Math.cos(turn)];
  const up = [back[1] * right[2] - back[2] * right[1], back[2] * right[0] - back[0] * right[2], back[0] * right[1] - back[1] * right[0]];
  const dot = (/** @type {number[]} */ a) => -(a[0] * eye[0] + a[1] * eye[1] + a[2] * eye[2]);
  return [right[0], up[0], back[0], 0, right[1], up[1], back[1], 0, right[2], up[2], back[2], 0, dot(right), dot(up), dot(back), 1];
}

/** @param {number[]} a @param {number[]} b */
function product(a, b) {
  return Array.from({ length: 16 }, (_, at) => [0, 1, 2, 3].reduce((sum, k) => sum + a[k * 4 + (at % 4)] * b[Math.floor(at / 4) * 4 + k], 0));
}
