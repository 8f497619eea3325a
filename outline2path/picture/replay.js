/* Move by move: a program's moves over time, on a canvas. No library, no network.
 *
 * Each .replay element holds its data as JSON (see sheet_replay.py). What is cut so far is kept
 * on a canvas of its own and only ever added to; "darken" with a ramp that falls in all three
 * colours lets the deeper cut win whatever the order. Going back starts from the nearest of a few
 * stored states, so that one step back costs a small share of the moves, however many there are.
 */
"use strict";
(() => {
  const STOCK = "#f3eee2", INK = "#1f2429", QUIET = "#6f7780", STATES = 14, LEVELS = 28;
  const PALE = [202, 220, 232], DEEP = [0, 34, 78];
  const HEIGHT = 430, EDGE = 16, ROWS = 19;

  const decoded = (text, kind) => {
    const raw = atob(text), bytes = new Uint8Array(raw.length);
    for (let n = 0; n < raw.length; n += 1) bytes[n] = raw.charCodeAt(n);
    return new kind(bytes.buffer);
  };
  const element = (name, parent, words) => {
    const made = document.createElement(name);
    if (words !== undefined) made.textContent = words;
    parent.appendChild(made);
    return made;
  };
  const canvasOf = (wide, high) => {
    const made = document.createElement("canvas");
    made.width = wide;
    made.height = high;
    return made;
  };

  class Replay {
    constructor(place) {
      const data = JSON.parse(place.querySelector("script").textContent);
      this.moves = decoded(data.moves, Float32Array);
      this.lines = decoded(data.lines, Int32Array);
      this.count = this.lines.length;
      this.data = data;
      this.text = data.text.split("\n");
      this.total = this.count ? this.moves[this.count * 5 - 2] : 0;
      this.now = 0;
      this.speed = 16;
      this.playing = false;
      this.build(place);
      this.resize();
      new ResizeObserver(() => this.resize()).observe(this.canvas);
    }

    build(place) {
      const stage = element("div", place);
      stage.className = "stage";
      this.canvas = element("canvas", stage);
      this.canvas.tabIndex = 0;
      this.canvas.setAttribute("role", "img");
      this.canvas.setAttribute("aria-label", "The cutter over the blank, from above");
      this.list = element("ol", stage);
      this.list.className = "text";
      this.rows = [];
      for (let n = 0; n < ROWS; n += 1) {
        const row = element("li", this.list);
        this.rows.push([row, element("span", row), row.appendChild(new Text())]);
      }
      this.figures = element("dl", place);
      this.figures.className = "figures";
      this.told = {};
      for (const name of ["Time", "x", "y", "z", "Below the top", "Feed"]) {
        const pair = element("div", this.figures);
        element("dt", pair, name);
        this.told[name] = element("dd", pair, "");
      }
      const bar = element("div", place);
      bar.className = "bar";
      this.button = element("button", bar, "Play");
      this.button.type = "button";
      this.slider = element("input", bar);
      Object.assign(this.slider, { type: "range", min: 0, max: this.total, step: "any", value: 0 });
      this.slider.setAttribute("aria-label", "Time");
      this.pace = element("select", bar);
      this.pace.setAttribute("aria-label", "How fast");
      for (const rate of [1, 4, 16, 64, 256]) {
        const option = element("option", this.pace, `${rate} times as fast`);
        option.value = rate;
        option.selected = rate === this.speed;
      }
      const keys = "Keys: space plays and stops, left and right go move by move, page up and down "
        + "from depth to depth, home and end.";
      element("p", place, keys).className = "small-print";
      this.button.addEventListener("click", () => this.play(!this.playing));
      this.slider.addEventListener("input", () => this.go(Number(this.slider.value)));
      this.pace.addEventListener("change", () => { this.speed = Number(this.pace.value); });
      for (const part of [this.canvas, this.slider]) {
        part.addEventListener("keydown", (event) => this.key(event));
      }
    }

    key(event) {
      const act = {
        " ": () => this.play(!this.playing),
        ArrowRight: () => this.go(this.endOf(this.moveAt(this.now))),
        ArrowLeft: () => this.go(this.before()),
        PageDown: () => this.go(this.nextDepth(1)),
        PageUp: () => this.go(this.nextDepth(-1)),
        Home: () => this.go(0),
        End: () => this.go(this.total),
      }[event.key];
      if (act) {
        event.preventDefault();
        if (event.key !== " ") this.play(false);
        act();
      }
    }

    /* The time at which the move before this place began, or this one where we are amid it. */
    before() {
      const move = this.moveAt(this.now), begun = this.endOf(move - 1);
      return this.now > begun ? begun : this.endOf(move - 2);
    }

    endOf(move) { return move < 0 ? 0 : this.moves[move * 5 + 3]; }

    /* The first move that ends after a time. */
    moveAt(time) {
      let low = 0, high = this.count - 1;
      while (low < high) {
        const middle = (low + high) >> 1;
        if (this.moves[middle * 5 + 3] > time) high = middle; else low = middle + 1;
      }
      return low;
    }

    nextDepth(way) {
      const level = (n) => Math.round(this.moves[n * 5 + 2] * 1000);
      const cutting = (n) => this.moves[n * 5 + 2] < this.data.top && this.moves[n * 5 + 4] > 0;
      let n = this.moveAt(this.now), here = null;
      for (; n >= 0 && n < this.count; n += way) {
        if (!cutting(n)) continue;
        if (here === null) here = level(n);
        else if (level(n) !== here) return this.endOf(n);
      }
      return way > 0 ? this.total : 0;
    }

    resize() {
      const ratio = window.devicePixelRatio || 1, wide = this.canvas.clientWidth || 600;
      const [x0, y0, x1, y1] = this.data.box;
      const scale = Math.min((wide - 2 * EDGE) / (x1 - x0), (HEIGHT - 2 * EDGE) / (y1 - y0));
      const high = Math.round((y1 - y0) * scale + 2 * EDGE);
      if (this.ready && this.canvas.width === Math.round(wide * ratio)) return;
      this.canvas.style.height = `${high}px`;
      this.canvas.width = Math.round(wide * ratio);
      this.canvas.height = Math.round(high * ratio);
      this.scale = scale * ratio;
      this.left = (this.canvas.width - (x1 - x0) * this.scale) / 2 - x0 * this.scale;
      this.low = this.canvas.height - EDGE * ratio + y0 * this.scale;
      this.ratio = ratio;
      this.work = canvasOf(this.canvas.width, this.canvas.height);
      this.states = [];
      this.done = 0;
      const pen = this.work.getContext("2d");
      pen.fillStyle = STOCK;
      pen.fillRect(this.x(x0), this.y(y1), (x1 - x0) * this.scale, (y1 - y0) * this.scale);
      pen.lineCap = pen.lineJoin = "round";
      pen.globalCompositeOperation = "darken";
      this.keep();
      this.ready = true;
      this.draw();
    }

    x(mm) { return this.left + mm * this.scale; }

    y(mm) { return this.low - mm * this.scale; }

    keep() {
      const copy = canvasOf(this.work.width, this.work.height);
      copy.getContext("2d").drawImage(this.work, 0, 0);
      this.states.push([this.done, copy]);
    }

    place(n) {
      return n < 0 ? this.data.start : this.moves.subarray(n * 5, n * 5 + 3);
    }

    level(from, to) {
      const low = Math.min(from[2], to[2]);
      if (low >= this.data.top - 1e-6) return -1;
      return Math.min(Math.round((this.data.top - low) / this.data.thick * LEVELS), LEVELS);
    }

    /* Half the width of the cutter that makes a move. */
    radius(move) {
      let wide = this.data.radii[0][1];
      for (const [first, radius] of this.data.radii) if (first <= move) wide = radius;
      return wide;
    }

    colour(level) {
      const share = level / LEVELS;
      const part = (n) => Math.round(PALE[n] + (DEEP[n] - PALE[n]) * share);
      return `rgb(${part(0)},${part(1)},${part(2)})`;
    }

    /* Cut everything up to a move, from where we are or from a stored state. */
    cutTo(move) {
      const pen = this.work.getContext("2d");
      if (move < this.done) {
        const [done, copy] = this.states.findLast((state) => state[0] <= move);
        pen.globalCompositeOperation = "copy";
        pen.drawImage(copy, 0, 0);
        pen.globalCompositeOperation = "darken";
        this.done = done;
      }
      const every = Math.max(Math.ceil(this.count / STATES), 1);
      while (this.done < move) {
        const next = Math.min((Math.floor(this.done / every) + 1) * every, move);
        this.stroke(pen, this.done, next);
        this.done = next;
        if (next % every === 0 && this.states[this.states.length - 1][0] < next) this.keep();
      }
    }

    stroke(pen, first, beyond) {
      let open = -1, length = 0, wide = 0;
      for (let n = first; n < beyond; n += 1) {
        const from = this.place(n - 1), to = this.place(n), level = this.level(from, to);
        const radius = this.radius(n);
        if (level !== open || length > 400 || radius !== wide) {
          if (open >= 0) pen.stroke();
          open = level;
          wide = radius;
          pen.lineWidth = 2 * wide * this.scale;
          length = 0;
          if (open >= 0) {
            pen.strokeStyle = this.colour(open);
            pen.beginPath();
            pen.moveTo(this.x(from[0]), this.y(from[1]));
          }
        }
        if (open >= 0) {
          pen.lineTo(this.x(to[0]) + 0.01, this.y(to[1]));
          length += 1;
        }
      }
      if (open >= 0) pen.stroke();
    }

    go(time) {
      this.now = Math.min(Math.max(time, 0), this.total);
      this.slider.value = this.now;
      if (!this.waiting) {
        this.waiting = true;
        requestAnimationFrame(() => { this.waiting = false; this.draw(); });
      }
    }

    play(on) {
      if (on && this.now >= this.total) this.now = 0;
      this.playing = on;
      this.button.textContent = on ? "Stop" : "Play";
      let before = performance.now();
      const step = (at) => {
        if (!this.playing) return;
        this.now = Math.min(this.now + (at - before) / 1000 * this.speed, this.total);
        before = at;
        this.slider.value = this.now;
        this.draw();
        if (this.now >= this.total) this.play(false); else requestAnimationFrame(step);
      };
      if (on) requestAnimationFrame(step);
    }

    draw() {
      if (!this.count) return;
      const move = this.moveAt(this.now);
      const from = this.place(move - 1), to = this.place(move), begun = this.endOf(move - 1);
      const length = this.endOf(move) - begun;
      const share = length > 0 ? Math.min((this.now - begun) / length, 1) : 1;
      const at = [0, 1, 2].map((n) => from[n] + (to[n] - from[n]) * share);
      this.cutTo(move);
      const pen = this.canvas.getContext("2d");
      pen.setTransform(1, 0, 0, 1, 0, 0);
      pen.clearRect(0, 0, this.canvas.width, this.canvas.height);
      pen.drawImage(this.work, 0, 0);
      const level = this.level(from, at);
      pen.lineCap = "round";
      if (level >= 0) {
        pen.globalCompositeOperation = "darken";
        pen.strokeStyle = this.colour(level);
        pen.lineWidth = 2 * this.radius(move) * this.scale;
        pen.beginPath();
        pen.moveTo(this.x(from[0]), this.y(from[1]));
        pen.lineTo(this.x(at[0]) + 0.01, this.y(at[1]));
        pen.stroke();
        pen.globalCompositeOperation = "source-over";
      }
      this.furniture(pen, at, this.moves[move * 5 + 4] > 0, this.radius(move));
      this.tell(move, at);
    }

    /* The blank's edge, work zero, and the cutter's disc to scale. */
    furniture(pen, at, cutting, wide) {
      const [x0, y0, x1, y1] = this.data.box, thin = this.ratio;
      pen.lineWidth = thin;
      pen.strokeStyle = QUIET;
      pen.setLineDash([14 * thin, 3 * thin, 2 * thin, 3 * thin]);
      pen.strokeRect(this.x(x0), this.y(y1), (x1 - x0) * this.scale, (y1 - y0) * this.scale);
      pen.setLineDash([]);
      pen.strokeStyle = INK;
      pen.beginPath();
      pen.arc(this.x(0), this.y(0), 4 * thin, 0, 2 * Math.PI);
      pen.moveTo(this.x(0), this.y(0));
      pen.lineTo(this.x(0) + 16 * thin, this.y(0));
      pen.moveTo(this.x(0), this.y(0));
      pen.lineTo(this.x(0), this.y(0) - 16 * thin);
      pen.stroke();
      const radius = Math.max(wide * this.scale, 3 * thin);
      const inside = at[2] < this.data.top;
      pen.beginPath();
      pen.arc(this.x(at[0]), this.y(at[1]), radius, 0, 2 * Math.PI);
      pen.fillStyle = inside ? "rgba(230,159,0,0.85)" : "rgba(255,255,255,0.75)";
      pen.fill();
      pen.lineWidth = 1.6 * thin;
      if (!cutting) pen.setLineDash([4 * thin, 3 * thin]);
      pen.stroke();
      pen.setLineDash([]);
    }

    tell(move, at) {
      const inch = this.data.units === "in", unit = inch ? " in" : " mm";
      const long = (mm) => (inch ? (mm / 25.4).toFixed(3) : mm.toFixed(2)).replace("-", "\u2212") + unit;
      const clock = (s) => `${Math.floor(s / 60)}:${String(Math.floor(s % 60)).padStart(2, "0")}`;
      const feed = this.moves[move * 5 + 4], deep = this.data.top - at[2];
      const words = {
        Time: `${clock(this.now)} of ${clock(this.total)}`,
        x: long(at[0]),
        y: long(at[1]),
        z: long(at[2]),
        "Below the top": deep > 0 ? long(deep) : "above it",
        Feed: feed > 0 ? `${(inch ? (feed / 25.4).toFixed(1) : feed.toFixed(0))}${unit}/min` : "rapid",
      };
      for (const name of Object.keys(words)) {
        if (this.told[name].textContent !== words[name]) this.told[name].textContent = words[name];
      }
      const line = this.lines[move] - 1;
      if (line === this.shown) return;
      this.shown = line;
      const first = Math.max(Math.min(line - (ROWS >> 1), this.text.length - ROWS), 0);
      this.rows.forEach(([row, number, words_], n) => {
        const index = first + n, there = index < this.text.length;
        number.textContent = there ? index + 1 : "";
        words_.data = there ? this.text[index] : "";
        row.className = index === line ? "now" : "";
      });
      this.slider.setAttribute("aria-valuetext", `${words.Time}, block ${line + 1}`);
    }
  }

  for (const place of document.querySelectorAll(".replay")) new Replay(place);
})();
