/* A solid that turns: heights as a mesh, drawn with WebGL 2. No library, no network.
 *
 * Each figure with a .turning script (see turning.py) gets a button; pressing it puts the mesh in
 * the picture's place. Every cell that stands is a level square at its height, and a wall goes
 * down wherever a neighbour is lower. Light falls as on smooth ground: squares take the slope of
 * their gentler side, tall walls the direction in which the smoothed ground falls.
 */
"use strict";
(() => {
  const TALL = 1.6, SOFT = 2, LAMP = [-0.56, 0.34, 0.76];
  const VERTEX = `#version 300 es
    uniform mat4 view; uniform vec3 half_size;
    in vec3 place; in vec3 normal; in vec2 at;
    out vec3 face; out vec2 spot; out float wall;
    void main() {
      gl_Position = view * vec4(place - half_size, 1.0);
      face = normal; spot = at; wall = 1.0 - normal.z;
    }`;
  const DOTS = `#version 300 es
    precision highp float;
    uniform sampler2D colours; uniform vec3 lamp; uniform float table;
    in vec3 face; in vec2 spot; in float wall;
    out vec4 dot_colour;
    void main() {
      vec4 colour = texture(colours, spot);
      if (table > 0.5) { dot_colour = vec4(0.0, 0.0, 0.0, min(colour.a, 0.6)); return; }
      vec3 linear = pow(colour.rgb / max(colour.a, 0.01) * min(colour.a + 0.0, 1.0), vec3(2.2));
      float light = 0.50 - 0.08 * wall + 0.74 * max(dot(normalize(face), lamp), 0.0);
      dot_colour = vec4(pow(linear * light, vec3(1.0 / 2.2)), 1.0);
    }`;

  const decoded = (text, kind) => {
    const raw = atob(text), bytes = new Uint8Array(raw.length);
    for (let n = 0; n < raw.length; n += 1) bytes[n] = raw.charCodeAt(n);
    return new kind(bytes.buffer);
  };

  /* Mean over squares of 2 SOFT + 1 cells. */
  const smoothed = (z, wide, high) => {
    const out = new Float32Array(z.length), half = new Float32Array(z.length);
    const run = (from, to, long, across, step, over) => {
      for (let row = 0; row < across; row += 1) {
        for (let n = 0; n < long; n += 1) {
          let sum = 0;
          for (let d = -SOFT; d <= SOFT; d += 1) {
            sum += from[row * over + Math.min(Math.max(n + d, 0), long - 1) * step];
          }
          to[row * over + n * step] = sum / (2 * SOFT + 1);
        }
      }
    };
    run(z, half, wide, high, 1, wide);
    run(half, out, high, wide, wide, 1);
    return out;
  };

  const meshOf = (data) => {
    const { wide, high, cell, thick } = data, raw = decoded(data.heights, Uint16Array);
    const z = Float32Array.from(raw, (v) => v / 65535 * thick);
    const soft = smoothed(z, wide, high);
    const count = raw.reduce((sum, v) => sum + (v > 0), 0);
    let room = (count * 3 + 64) * 4, used = 0, corners = 0;
    let values = new Float32Array(room * 8), index = new Uint32Array(room * 1.5);
    const grow = () => {
      room *= 2;
      const more = new Float32Array(room * 8), list = new Uint32Array(room * 1.5);
      more.set(values);
      list.set(index);
      values = more;
      index = list;
    };
    const square = (points, normal, u, v) => {
      if (used + 4 > room) grow();
      points.forEach((p, n) => values.set([...p, ...normal, u, v], (used + n) * 8));
      index.set([0, 1, 2, 0, 2, 3].map((n) => used + n), corners);
      used += 4;
      corners += 6;
    };
    const height = (x, y) => (x < 0 || y < 0 || x >= wide || y >= high ? 0 : z[y * wide + x]);
    const slope = (a, b, c) => (Math.abs(b - a) < Math.abs(c - b) ? b - a : c - b) / cell;
    const unit = (a, b, c) => {
      const size = Math.hypot(a, b, c) || 1;
      return [a / size, b / size, c / size];
    };
    const sides = [
      [1, 0, [1, 0], [1, 1]], [-1, 0, [0, 1], [0, 0]], [0, 1, [1, 1], [0, 1]], [0, -1, [0, 0], [1, 0]],
    ];
    for (let y = 0; y < high; y += 1) {
      for (let x = 0; x < wide; x += 1) {
        const n = y * wide + x, top = z[n];
        if (top <= 0) continue;
        const u = (x + 0.5) / wide, v = (y + 0.5) / high;
        const up = unit(
          -slope(height(x - 1, y), top, height(x + 1, y)),
          -slope(height(x, y - 1), top, height(x, y + 1)), 1);
        const corner = (a, b, level) => [(x + a) * cell, (y + b) * cell, level];
        square([corner(0, 0, top), corner(1, 0, top), corner(1, 1, top), corner(0, 1, top)], up, u, v);
        for (const [dx, dy, a, b] of sides) {
          const low = height(x + dx, y + dy);
          if (low >= top) continue;
          let normal = up;
          if (top - low > TALL * cell) {
            const east = (soft[n + (x < wide - 1 ? 1 : 0)] - soft[n - (x > 0 ? 1 : 0)]);
            const north = (soft[n + (y < high - 1 ? wide : 0)] - soft[n - (y > 0 ? wide : 0)]);
            normal = unit(-east + dx * 1e-3, -north + dy * 1e-3, 0);
          }
          square([corner(...a, low), corner(...b, low), corner(...b, top), corner(...a, top)], normal, u, v);
        }
      }
    }
    const solid = corners;
    square([[0, 0], [wide, 0], [wide, high], [0, high]].map(([a, b]) => [a * cell, b * cell, 0]),
      [0, 0, 1], 0, 0);
    [[0, 0], [1, 0], [1, 1], [0, 1]].forEach((at, n) => values.set(at, (used - 4 + n) * 8 + 6));
    return { values: values.subarray(0, used * 8), index: index.subarray(0, corners), solid };
  };

  class Turning {
    constructor(figure, data) {
      this.data = data;
      this.turn = 24;
      this.tilt = 52;
      this.image = figure.querySelector("img");
      this.canvas = document.createElement("canvas");
      this.canvas.tabIndex = 0;
      this.canvas.className = "turned";
      this.canvas.setAttribute("role", "img");
      this.canvas.setAttribute("aria-label", "The piece, to be turned with the arrow keys");
      this.gl = this.canvas.getContext("webgl2", { antialias: true, premultipliedAlpha: false });
      if (!this.gl) return;
      const high = this.image.clientHeight || 400;
      this.image.replaceWith(this.canvas);
      this.canvas.style.height = `${high}px`;
      this.set();
      const texture = new Image();
      texture.onload = () => this.paint(texture);
      texture.src = `data:image/png;base64,${data.colours}`;
      this.listen();
      this.canvas.focus();
    }

    set() {
      const gl = this.gl, program = gl.createProgram();
      for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, DOTS]]) {
        const shader = gl.createShader(kind);
        gl.shaderSource(shader, text);
        gl.compileShader(shader);
        gl.attachShader(program, shader);
      }
      gl.linkProgram(program);
      gl.useProgram(program);
      this.program = program;
      const mesh = meshOf(this.data);
      this.mesh = mesh;
      gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
      gl.bufferData(gl.ARRAY_BUFFER, mesh.values, gl.STATIC_DRAW);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, gl.createBuffer());
      gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, mesh.index, gl.STATIC_DRAW);
      [["place", 3, 0], ["normal", 3, 12], ["at", 2, 24]].forEach(([name, size, offset]) => {
        const place = gl.getAttribLocation(program, name);
        gl.enableVertexAttribArray(place);
        gl.vertexAttribPointer(place, size, gl.FLOAT, false, 32, offset);
      });
      gl.enable(gl.DEPTH_TEST);
      gl.enable(gl.BLEND);
      gl.blendFuncSeparate(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA, gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    }

    paint(texture) {
      const gl = this.gl;
      gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
      gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, texture);
      gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR);
      gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, gl.LINEAR);
      gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE);
      gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE);
      this.ready = true;
      this.draw();
    }

    listen() {
      const canvas = this.canvas;
      canvas.addEventListener("pointerdown", (event) => {
        canvas.setPointerCapture(event.pointerId);
        this.held = [event.clientX, event.clientY];
      });
      canvas.addEventListener("pointermove", (event) => {
        if (!this.held) return;
        this.by((event.clientX - this.held[0]) * 0.4, (event.clientY - this.held[1]) * 0.4);
        this.held = [event.clientX, event.clientY];
      });
      canvas.addEventListener("pointerup", () => { this.held = null; });
      canvas.addEventListener("keydown", (event) => {
        const step = {
          ArrowLeft: [-6, 0], ArrowRight: [6, 0], ArrowUp: [0, -4], ArrowDown: [0, 4],
        }[event.key];
        if (!step) return;
        event.preventDefault();
        this.by(...step);
      });
      new ResizeObserver(() => this.draw()).observe(canvas);
    }

    by(turn, tilt) {
      this.turn = (this.turn + turn) % 360;
      this.tilt = Math.min(Math.max(this.tilt + tilt, 12), 90);
      if (!this.waiting) {
        this.waiting = true;
        requestAnimationFrame(() => { this.waiting = false; this.draw(); });
      }
    }

    /* Parallel view: turned counter-clockwise, then tilted; the longest way across fits. */
    draw() {
      if (!this.ready) return;
      const gl = this.gl, { wide, high, cell, thick } = this.data, ratio = window.devicePixelRatio || 1;
      const w = Math.round(this.canvas.clientWidth * ratio), h = Math.round(this.canvas.clientHeight * ratio);
      if (this.canvas.width !== w || this.canvas.height !== h) {
        this.canvas.width = w;
        this.canvas.height = h;
      }
      gl.viewport(0, 0, w, h);
      gl.clearColor(0, 0, 0, 0);
      gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      const t = this.turn * Math.PI / 180, e = this.tilt * Math.PI / 180;
      const c = Math.cos(t), s = Math.sin(t), ce = Math.cos(e), se = Math.sin(e);
      const across = Math.hypot(wide, high) * cell, deep = across + thick;
      const up = (Math.abs(s) * wide + Math.abs(c) * high) * cell * se + thick * ce;
      const side = (Math.abs(c) * wide + Math.abs(s) * high) * cell;
      const scale = Math.min(w / side, h / up) * 2, sx = scale / w, sy = scale / h;
      const view = new Float32Array([
        sx * c, sy * s * se, s * ce / deep, 0,
        -sx * s, sy * c * se, c * ce / deep, 0,
        0, sy * ce, -se / deep, 0,
        0, 0, 0, 1,
      ]);
      const uniform = (name) => gl.getUniformLocation(this.program, name);
      gl.uniformMatrix4fv(uniform("view"), false, view);
      gl.uniform3f(uniform("half_size"), wide * cell / 2, high * cell / 2, thick / 2);
      const size = Math.hypot(...LAMP);
      gl.uniform3f(uniform("lamp"), (LAMP[0] * c + LAMP[1] * s) / size,
        (LAMP[1] * c - LAMP[0] * s) / size, LAMP[2] / size);
      gl.uniform1f(uniform("table"), 0);
      gl.drawElements(gl.TRIANGLES, this.mesh.solid, gl.UNSIGNED_INT, 0);
      gl.uniform1f(uniform("table"), 1);
      gl.drawElements(gl.TRIANGLES, 6, gl.UNSIGNED_INT, this.mesh.solid * 4);
    }
  }

  for (const script of document.querySelectorAll("script.turning")) {
    const figure = script.closest("figure"), button = document.createElement("button");
    button.type = "button";
    button.className = "screen";
    button.textContent = "Turn it";
    figure.appendChild(button);
    button.addEventListener("click", () => {
      const turning = new Turning(figure, JSON.parse(script.textContent));
      button.textContent = turning.gl
        ? "Drag it, or use the arrow keys"
        : "This browser has no WebGL 2 to turn it with";
      button.disabled = true;
    });
  }
})();
