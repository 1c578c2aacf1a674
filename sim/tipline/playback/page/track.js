// One run: facts, arrays over time, and what an array holds between its samples.

class Track {
  constructor(facts, numbers, ghosts) {
    this.facts = facts;
    this.ghosts = ghosts;
    this.rows = new Map();
    let start = 0;
    for (const [name, width] of facts.series) {
      const size = width * facts.count;
      this.rows.set(name, { width, values: numbers.subarray(start, start + size) });
      start += size;
    }
    this.time = this.rows.get("time").values;
    this.end = facts.end;
  }

  has(name) {
    return this.rows.has(name);
  }

  // The last sample at or before a time.
  sample(time) {
    let low = 0;
    let high = this.time.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.time[middle] <= time + 1e-6) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  // One number at a time, straight between samples; where one of the two is missing, that of the nearer.
  at(name, time, column = 0) {
    const { width, values } = this.rows.get(name);
    const k = this.sample(time);
    const next = Math.min(k + 1, this.time.length - 1);
    const span = this.time[next] - this.time[k];
    const share = span > 0 ? Math.min(Math.max((time - this.time[k]) / span, 0), 1) : 0;
    const a = values[k * width + column];
    const b = values[next * width + column];
    if (Number.isFinite(a) && Number.isFinite(b)) return a + share * (b - a);
    return share < 0.5 ? a : b;
  }

  point(name, time, out, column = 0) {
    return out.set(this.at(name, time, column), this.at(name, time, column + 1), this.at(name, time, column + 2));
  }

  column(name, column = 0) {
    const { width, values } = this.rows.get(name);
    return Array.from({ length: this.time.length }, (_, k) => values[k * width + column]);
  }
}
