// Beside the picture: a gauge a tip line, a bar a tyre. One bar a run where two are played.

class Panel {
  constructor(host, page) {
    this.host = host;
    this.page = page;
    this.build();
  }

  build() {
    const { tracks } = this.page;
    this.host.replaceChildren();
    this.gauges = this.section("Distance to each tip line", "gauges");
    this.lines = tracks[0].facts.lines.map((line, k) => this.gauge(line, k));
    this.tyres = this.section("Load of each tyre", "tyres");
    this.tyres.classList.toggle("twins", tracks[0].facts.tyres.length > 4); // "front-left-outer"
    this.bars = tracks[0].facts.tyres.map((tyre, k) => this.bar(tyre, k));
  }

  section(title, name) {
    const section = document.createElement("section");
    section.className = name;
    const head = document.createElement("h2");
    head.textContent = this.page.say.text({ si: title, us: title.replace("tyre", "tire") });
    section.append(head);
    this.host.append(section);
    return section;
  }

  row(section, name, colour, kind = "") {
    const row = document.createElement("div");
    row.className = `row ${kind}`;
    const label = document.createElement("span");
    label.className = "name";
    label.textContent = name;
    const bars = this.page.tracks.map((_, run) => {
      const bar = document.createElement("div");
      bar.className = "bar";
      const fill = document.createElement("i");
      fill.style.background = colour;
      const zero = document.createElement("b");
      const value = document.createElement("output");
      const note = document.createElement("em");
      bar.append(fill, zero);
      const line = document.createElement("div");
      line.className = "line";
      if (this.page.tracks.length > 1) line.dataset.run = this.page.letter(run);
      line.append(bar, value, note);
      return { line, bar, fill, zero, value, note };
    });
    row.append(label, ...bars.map(({ line }) => line));
    section.append(row);
    return bars;
  }

  // A gauge runs from as far past the line as is looked at, on the left, to the distance at rest and more.
  gauge(line, k) {
    const values = this.page.tracks.flatMap((track) => track.column(`distance.${k}`)).filter(Number.isFinite);
    const high = Math.max(...values, 0.05);
    const low = -0.35 * high;
    const bars = this.row(this.gauges, line.name, line.colour, line.swing ? "swing" : "");
    for (const bar of bars) bar.zero.style.left = `${(100 * -low) / (high - low)}%`;
    return { bars, low, high };
  }

  bar(tyre, k) {
    const most = Math.max(...this.page.tracks.flatMap((track) => track.column(`load.${k}`)).filter(Number.isFinite));
    return { bars: this.row(this.tyres, this.page.say.text(tyre.name), this.page.colours.arrow), most };
  }

  draw(time) {
    const { say, tracks } = this.page;
    tracks.forEach((track, run) => {
      const distances = this.lines.map((_, k) => track.at(`distance.${k}`, time));
      const least = Math.min(...distances.filter((value, k) => Number.isFinite(value) && !track.facts.lines[k].swing));
      this.lines.forEach(({ bars, low, high }, k) => {
        const bar = bars[run];
        const value = distances[k];
        const known = Number.isFinite(value);
        const [a, b] = known ? [Math.min(value, 0), Math.max(value, 0)] : [0, 0];
        const share = (at) => (100 * (Math.min(Math.max(at, low), high) - low)) / (high - low);
        bar.fill.style.left = `${share(a)}%`;
        bar.fill.style.width = `${share(b) - share(a)}%`;
        bar.fill.className = known && value < 0 ? "past" : "";
        bar.value.textContent = known ? say.quantity("short", value) : "\u2013";
        const note = !known ? "" : value < 0 ? "past it" : !track.facts.lines[k].swing && value === least ? "nearest" : "";
        bar.note.textContent = note;
        bar.line.classList.toggle("worst", note !== "");
      });
      const fallen = track.at("fallen", time) > 0.5;
      const loads = this.bars.map((_, k) => track.at(`load.${k}`, time));
      const lightest = Math.min(...loads);
      this.bars.forEach(({ bars, most }, k) => {
        const bar = bars[run];
        const load = loads[k];
        bar.fill.style.width = `${fallen ? 0 : (100 * Math.max(load, 0)) / Math.max(most, 1)}%`;
        bar.value.textContent = fallen ? "\u2013" : say.quantity("force", Math.max(load, 0));
        const least = say.quantity("force", load) === say.quantity("force", lightest);
        const note = fallen ? "" : load > 0 ? (least ? "lightest" : "") : "off the floor";
        bar.note.textContent = note;
        bar.line.classList.toggle("worst", note !== "");
      });
    });
  }
}
