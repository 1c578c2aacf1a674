// Strip charts over time: curves drawn once, a cursor over them at each frame; a drag moves the time.

const DASHES = [[], [6, 3], [2, 2], [8, 3, 2, 3], [4, 2], [10, 4, 3, 4]];
const SAMPLE = 20; // of a curve's line before its name [pixels]

class Strip {
  // `curves`: {name, values (one a sample), colour, dash}; `kind` as the rules of numbers have it.
  constructor(host, { title, kind, time, end, curves, zero = false, marks = [] }, page) {
    Object.assign(this, { title, kind, time, end, curves, zero, marks, page });
    this.figure = document.createElement("figure");
    this.caption = document.createElement("figcaption");
    this.canvas = document.createElement("canvas");
    this.canvas.setAttribute("role", "img");
    this.cursor = document.createElement("b");
    this.frame = document.createElement("div");
    this.frame.append(this.canvas, this.cursor);
    this.figure.append(this.caption, this.frame);
    host.append(this.figure);
    new ResizeObserver(() => this.redraw()).observe(this.figure);
    dragged(this.canvas, (x) => page.seek(((x - this.left) / this.wide) * this.end));
  }

  redraw() {
    const box = this.frame.getBoundingClientRect();
    if (box.width < 40 || box.height < 30) return;
    this.scale = this.page.sharp();
    this.canvas.width = Math.round(box.width * this.scale);
    this.canvas.height = Math.round(box.height * this.scale);
    this.size = [box.width, box.height];
    this.type = this.page.largeType() ? 18 : 12;
    this.caption.textContent = `${this.page.say.text(this.title)} [${this.page.say.unit(this.kind)}]`;
    this.canvas.setAttribute("aria-label", this.caption.textContent);
    this.lay();
    this.draw(this.page.time);
  }

  shown(values) {
    const per = this.page.say.rules[this.kind][this.page.say.system].per;
    return values.map((value) => value / per);
  }

  lay() {
    const [width, height] = this.size;
    const pen = this.canvas.getContext("2d");
    pen.setTransform(this.scale, 0, 0, this.scale, 0, 0);
    pen.clearRect(0, 0, width, height);
    pen.font = `${this.type}px system-ui, sans-serif`;
    const rows = this.curves.map((curve) => this.shown(curve.values));
    const all = rows.flat().filter(Number.isFinite);
    let [low, high] = [Math.min(0, ...all), Math.max(0, ...all)];
    if (!this.zero) low = 0;
    if (!(high > low)) high = low + 1;
    const room = 0.06 * (high - low);
    [low, high] = [low < 0 ? low - room : low, high + room];
    const ticks = nice(low, high, Math.max(Math.floor(height / 32), 2));
    const names = Math.max(...this.curves.map((curve) => pen.measureText(this.page.say.text(curve.name)).width));
    this.left = Math.max(...ticks.map((tick) => pen.measureText(this.page.say.spaced(this.kind, String(tick))).width)) + 8;
    this.wide = width - this.left - names - SAMPLE - 14;
    this.top = this.type / 2 + 1;
    this.tall = height - this.top - this.type - 8;
    const x = (time) => this.left + (time / this.end) * this.wide;
    const y = (value) => this.top + ((high - value) / (high - low)) * this.tall;
    this.y = y;
    this.x = x;
    pen.textBaseline = "middle";
    pen.textAlign = "right";
    for (const tick of ticks) {
      pen.strokeStyle = tick === 0 ? this.page.colours.ink : this.page.colours.edge;
      pen.lineWidth = tick === 0 ? 1 : 0.5;
      line(pen, [this.left, y(tick)], [this.left + this.wide, y(tick)]);
      pen.fillStyle = this.page.colours.muted;
      pen.fillText(this.page.say.spaced(this.kind, String(tick)), this.left - 4, y(tick));
    }
    pen.textAlign = "center";
    for (const tick of nice(0, this.end, Math.max(Math.floor(this.wide / 60), 2))) {
      pen.fillText(`${tick}\u00a0s`, x(tick), height - this.type / 2 - 1);
    }
    pen.strokeStyle = this.page.colours.muted;
    pen.lineWidth = 0.75;
    pen.setLineDash([2, 3]);
    for (const mark of this.marks) if (mark <= this.page.hiddenAfter()) line(pen, [x(mark), this.top], [x(mark), this.top + this.tall]);
    const ends = [];
    const look = (curve) => {
      pen.strokeStyle = pen.fillStyle = curve.colour;
      pen.setLineDash(DASHES[curve.dash % DASHES.length]);
      pen.lineWidth = curve.thin ? 1 : 1.75;
    };
    this.curves.forEach((curve, c) => {
      look(curve);
      pen.beginPath();
      let drawn = false;
      let last = null;
      rows[c].forEach((value, k) => {
        if (Number.isFinite(value) && this.time[k] <= this.page.hiddenAfter()) {
          drawn ? pen.lineTo(x(this.time[k]), y(value)) : pen.moveTo(x(this.time[k]), y(value));
          last = y(value);
        }
        drawn = Number.isFinite(value) && this.time[k] <= this.page.hiddenAfter();
      });
      pen.stroke();
      ends.push(last ?? this.top);
    });
    pen.textAlign = "left";
    apart(ends, this.type + 1, this.top + this.type / 2, this.top + this.tall).forEach((at, c) => {
      const from = this.left + this.wide + 6;
      look(this.curves[c]);
      line(pen, [from, at], [from + SAMPLE, at]);
      pen.fillText(this.page.say.text(this.curves[c].name), from + SAMPLE + 4, at);
    });
    pen.setLineDash([]);
  }

  // Only the cursor moves: the curves stay as they are.
  draw(time) {
    if (!this.size) return;
    if (this.hidden !== this.page.hiddenAfter()) {
      this.hidden = this.page.hiddenAfter();
      this.lay();
    }
    this.cursor.style.height = `${this.tall}px`;
    this.cursor.style.transform = `translate(${this.x(time).toFixed(1)}px, ${this.top}px)`;
  }
}

function line(pen, [x0, y0], [x1, y1]) {
  pen.beginPath();
  pen.moveTo(x0, y0);
  pen.lineTo(x1, y1);
  pen.stroke();
}

// Round numbers between two ends, about `count` of them.
function nice(low, high, count) {
  const rough = (high - low) / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].find((part) => part * power >= rough) * power;
  const ticks = [];
  for (let k = Math.ceil(low / step); k * step <= high + 1e-9; k++) ticks.push(Math.round(k * step * 1e6) / 1e6 || 0);
  return ticks;
}

// Positions moved as little as their order allows until they are apart.
function apart(wanted, gap, low, high) {
  const order = wanted.map((_, k) => k).sort((a, b) => wanted[a] - wanted[b] || a - b);
  const placed = [];
  for (const k of order) placed.push(Math.max(Math.min(Math.max(wanted[k], low), high), (placed.at(-1) ?? -Infinity) + gap));
  for (let k = placed.length - 1; k >= 0; k--) placed[k] = Math.min(placed[k], (placed[k + 1] ?? high + gap) - gap);
  const result = [];
  order.forEach((k, i) => (result[k] = placed[i]));
  return result;
}

// Tell how far from its left edge an element is pressed or dragged.
function dragged(element, tell) {
  const at = (event) => tell(event.clientX - element.getBoundingClientRect().left);
  element.addEventListener("pointerdown", (event) => {
    element.setPointerCapture(event.pointerId);
    at(event);
  });
  element.addEventListener("pointermove", (event) => {
    if (element.hasPointerCapture(event.pointerId)) at(event);
  });
}
