// The page: one clock for all runs on it, pictures, panel and charts that follow it, and what moves the clock.

const SPEEDS = [0.1, 0.25, 0.5, 1, 2];
const STEP = 0.02; // of the step keys [s]
const FEW = 3; // runs beside each other at most

class Page {
  constructor(data, tracks) {
    this.data = data;
    this.tracks = tracks;
    this.colours = data.colours;
    this.say = new Wording(data.rules, data.system);
    this.time = 0;
    this.playing = false;
    this.speed = 1;
    this.end = Math.max(...tracks.map((track) => track.end));
    this.stale = true;
    this.find = (id) => document.getElementById(id);
  }

  start(pictures) {
    this.pictures = pictures;
    this.buildCameras();
    this.buildControls();
    this.listen();
    this.wordEverything();
    this.seek(0);
    this.before = performance.now();
    const frame = (now) => {
      this.tick((now - this.before) / 1000);
      this.before = now;
      requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }

  // -- what is asked of it by its parts -------------------------------------------------------------------------

  letter(run) {
    return "AB"[run];
  }

  sharp() {
    return Math.min(window.devicePixelRatio || 1, 2);
  }

  largeType() {
    return document.body.classList.contains("room");
  }

  hiddenAfter() {
    return this.end;
  }

  // -- the clock ------------------------------------------------------------------------------------------------

  seek(time) {
    this.time = Math.min(Math.max(time, 0), this.end);
    this.stale = true;
  }

  play(wanted = !this.playing) {
    if (wanted && this.time >= this.end - 1e-6) this.seek(0);
    this.playing = wanted;
    this.find("play").textContent = wanted ? "Pause" : "Play";
    this.find("play").setAttribute("aria-pressed", String(wanted));
  }

  setSpeed(speed) {
    this.speed = speed;
    this.find("speed").value = String(speed);
    this.stale = true;
  }

  tick(passed) {
    if (this.playing) {
      const to = this.time + Math.min(passed, 0.25) * this.speed;
      this.seek(to);
      if (to >= this.end) this.play(false);
    }
    if (this.stale || this.pictures?.moving()) {
      this.stale = false;
      this.draw();
    }
  }

  draw() {
    this.pictures?.draw(this.time);
    this.panel.draw(this.time);
    for (const strip of this.strips) strip.draw(this.time);
    this.find("clock").textContent = `${this.time.toFixed(2)} s`;
    this.find("time").value = String(this.time);
    this.find("time").setAttribute("aria-valuetext", `${this.time.toFixed(2)} seconds`);
    this.find("slow").textContent = this.speed === 1 ? "" : `${this.speed} × true speed`;
    this.drawCaptions();
  }

  // What had happened last, in words; the runs one below the other.
  drawCaptions() {
    const lines = this.tracks.map((track, run) => {
      const past = track.facts.marks.filter((mark) => mark.time <= this.time + 1e-6);
      const last = past.at(-1);
      const words = last ? `${last.time.toFixed(2)} s: ${this.say.text(last.text)}` : track.facts.start_words;
      return this.tracks.length > 1 ? `${this.letter(run)}  ${words}` : words;
    });
    const text = lines.join("\n");
    if (this.find("caption").textContent !== text) this.find("caption").textContent = text;
  }

  // -- what is on the page --------------------------------------------------------------------------------------

  wordEverything() {
    const { facts } = this.tracks[0];
    document.title = this.data.title;
    this.find("lead").textContent = this.say.text(this.data.lead);
    this.find("said").textContent = this.say.text(this.data.said);
    this.find("estimate").textContent = this.say.text(facts.estimate);
    for (const element of document.querySelectorAll("[data-words]")) {
      element.textContent = this.say.text({ si: element.dataset.words, us: element.dataset.words.replaceAll("tyre", "tire") });
    }
    this.panel = new Panel(this.find("panel"), this);
    this.buildStrips();
    this.buildMarks();
    this.pictures?.reword();
    this.stale = true;
  }

  buildStrips() {
    const host = this.find("charts");
    host.replaceChildren();
    const marks = this.tracks[0].facts.marks.map((mark) => mark.time);
    const { facts } = this.tracks[0];
    const cycle = this.colours.cycle;
    const common = { end: this.end, marks };
    this.strips = [];
    this.tracks.forEach((track, run) => {
      const of = this.tracks.length > 1 ? `, ${this.letter(run)}` : "";
      this.strips.push(new Strip(host, {
        ...common, time: track.time, title: `Distance to tip line${of}`, kind: "short", zero: true,
        curves: facts.lines.filter((line) => this.tracks.length < 2 || !line.swing).map((line) => ({
          name: line.swing ? line.name : line.side, colour: line.colour, dash: line.swing ? 1 : 0,
          values: track.column(`distance.${facts.lines.indexOf(line)}`),
        })),
      }, this));
    });
    if (this.tracks.length === 1) {
      const track = this.tracks[0];
      this.strips.push(new Strip(host, {
        ...common, time: track.time, title: "Tyre load", kind: "force",
        curves: facts.tyres.map((tyre, k) => ({
          name: tyre.name, colour: cycle[k % cycle.length], dash: k, values: track.column(`load.${k}`),
        })),
      }, this));
    }
  }

  buildMarks() {
    const host = this.find("marks");
    host.replaceChildren();
    this.tracks.forEach((track, run) => {
      track.facts.marks.forEach((mark) => {
        const button = document.createElement("button");
        const words = `${mark.time.toFixed(2)} s: ${this.say.text(mark.text)}`;
        button.type = "button";
        button.className = mark.cause ? "mark cause" : "mark";
        button.style.left = `${(100 * mark.time) / this.end}%`;
        button.title = this.tracks.length > 1 ? `${this.letter(run)}  ${words}` : words;
        button.setAttribute("aria-label", button.title);
        button.tabIndex = -1;
        button.addEventListener("click", () => this.seek(mark.time));
        host.append(button);
      });
    });
  }

  buildCameras() {
    const host = this.find("cameras");
    for (const view of VIEWS) {
      if (view.name === "seat" && !this.tracks[0].facts.seat) continue;
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = view.words;
      button.title = `${view.hint} (${view.key})`;
      button.dataset.view = view.name;
      button.addEventListener("click", () => this.view(view.name));
      host.append(button);
    }
    this.view("overview");
  }

  view(name) {
    this.pictures?.choose(name);
    this.showView();
    this.stale = true;
  }

  showView() {
    const now = this.pictures?.viewed();
    for (const button of this.find("cameras").children) {
      button.setAttribute("aria-pressed", String(button.dataset.view === now));
    }
  }

  buildControls() {
    const speed = this.find("speed");
    for (const value of SPEEDS) speed.append(new Option(value === 1 ? "true speed" : `${value} ×`, String(value)));
    const acts = {
      first: () => this.seek(0), back: () => this.step(-STEP), play: () => this.play(), on: () => this.step(STEP),
      next: () => this.next(), units: () => this.swapUnits(), room: () => this.swapRoom(), keys: () => this.swapKeys(),
    };
    for (const [id, act] of Object.entries(acts)) this.find(id).addEventListener("click", act);
    speed.addEventListener("change", () => this.setSpeed(Number(speed.value)));
    this.find("time").max = String(this.end);
    this.find("time").addEventListener("input", (event) => this.seek(Number(event.target.value)));
    this.setSpeed(1);
  }

  step(by) {
    this.play(false);
    this.seek(Math.round((this.time + by) / STEP) * STEP);
  }

  // To the next thing that happens.
  next() {
    const times = this.tracks.flatMap((track) => track.facts.marks.map((mark) => mark.time)).sort((a, b) => a - b);
    this.play(false);
    this.seek(times.find((time) => time > this.time + 1e-3) ?? this.end);
  }

  swapUnits() {
    this.say.system = this.say.system === "si" ? "us" : "si";
    this.find("units").textContent = this.say.system === "si" ? "US units" : "SI units";
    this.wordEverything();
  }

  swapRoom() {
    const on = document.body.classList.toggle("room");
    this.find("room").setAttribute("aria-pressed", String(on));
    this.pictures?.reword();
    for (const strip of this.strips) strip.redraw();
    this.stale = true;
  }

  swapKeys() {
    const help = this.find("help");
    help.hidden = !help.hidden;
  }

  listen() {
    document.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.target.matches("select, input:not([type=range]), textarea")) return;
      if (event.key === " " && event.target.matches("button")) event.target.blur();
      const act = this.keys(event)[event.key];
      if (!act) return;
      event.preventDefault();
      act();
    });
    window.addEventListener("resize", () => (this.stale = true));
  }

  keys(event) {
    const views = Object.fromEntries(VIEWS.map((view) => [view.key, () => this.view(view.name)]));
    const slower = SPEEDS[Math.max(SPEEDS.indexOf(this.speed) - 1, 0)];
    const faster = SPEEDS[Math.min(SPEEDS.indexOf(this.speed) + 1, SPEEDS.length - 1)];
    const far = event.shiftKey ? 10 : 1;
    return {
      " ": () => this.play(), Home: () => this.seek(0), End: () => this.seek(this.end),
      ArrowLeft: () => this.step(-STEP * far), ArrowRight: () => this.step(STEP * far),
      ",": () => this.step(-STEP), ".": () => this.step(STEP),
      "-": () => this.setSpeed(slower), "+": () => this.setSpeed(faster),
      n: () => this.next(), u: () => this.swapUnits(), r: () => this.swapRoom(),
      "?": () => this.swapKeys(), Escape: () => (this.find("help").hidden = true), ...views,
    };
  }
}
