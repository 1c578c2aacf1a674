// The page: one clock for the runs that are shown, pictures, panel and charts that follow it, and what moves the clock.

const SPEEDS = [0.1, 0.25, 0.5, 1, 2];
const STEP = 0.02; // of the step keys [s]
const READ = 0.2; // while it plays, figures change no faster than they can be read [s]
const HELD = 1.5; // a moment's words stay for so long [s]
const TOGETHER = 0.03; // moments no farther apart are told in one [s]

// Each side has a dash of its own, so that curves are told apart without their colours.
const dashOf = (line) => ["front", "back", "left", "right"].indexOf(line.side);

class Page {
  constructor(data, tracks) {
    this.data = data;
    this.all = tracks;
    this.colours = data.colours;
    this.say = new Wording(data.rules, data.system);
    this.speed = 1;
    this.spread = tracks.some((track) => track.ghosts);
    this.asks = false; // whether to stop before the outcome
    this.find = (id) => document.getElementById(id);
  }

  start(pictures) {
    this.pictures = pictures;
    this.stills = pictures ? null : new Stills(document.querySelectorAll("#stills figure"));
    this.show(this.data.shown);
    this.buildCameras();
    this.buildControls();
    this.listen();
    this.before = performance.now();
    const frame = (now) => {
      this.tick((now - this.before) / 1000);
      this.before = now;
      requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }

  // Show these of the runs, beside each other, from the start.
  show(runs) {
    this.runs = runs;
    this.tracks = runs.map((run) => this.all[run]);
    this.end = Math.max(...this.tracks.map((track) => track.end));
    this.ask = Math.min(...this.tracks.map((track) => track.facts.ask));
    this.outcomeShown = false;
    this.playing = false;
    document.body.classList.toggle("pair", runs.length > 1);
    this.pictures?.show(runs);
    this.find("time").max = String(this.end);
    this.wordEverything();
    this.play(false);
    this.seek(0);
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

  // Nothing later than this is shown, while a class is asked what happens.
  hiddenAfter() {
    return this.asks && !this.outcomeShown ? this.ask : this.end;
  }

  // Whether runs of the spread are drawn too: not while a class is asked, whom they would tell the ending.
  spreads() {
    return this.spread && !(this.asks && !this.outcomeShown);
  }

  // -- the clock ------------------------------------------------------------------------------------------------

  seek(time) {
    this.time = Math.min(Math.max(time, 0), this.hiddenAfter());
    this.stale = true;
    this.late = true;
  }

  play(wanted = !this.playing) {
    if (wanted && this.time >= this.hiddenAfter() - 1e-6) {
      if (this.time < this.end - 1e-6) this.reveal();
      else this.seek(0);
    }
    this.playing = wanted;
    this.find("play").textContent = wanted ? "Pause" : "Play";
    this.find("play").setAttribute("aria-pressed", String(wanted));
    this.late = true;
    this.stale = true;
  }

  // The class has answered: what comes is shown from now on.
  reveal() {
    this.outcomeShown = true;
    this.wordEverything();
  }

  setSpeed(speed) {
    this.speed = speed;
    this.find("speed").value = String(speed);
    this.stale = true;
  }

  tick(passed) {
    if (this.playing) {
      const to = this.time + Math.min(passed, 0.25) * this.speed;
      this.time = Math.min(to, this.hiddenAfter());
      this.stale = true;
      if (to >= this.hiddenAfter()) this.play(false);
    }
    if (this.stale || this.pictures?.rests()) {
      this.stale = false;
      this.draw();
    }
  }

  draw() {
    const now = performance.now() / 1000;
    const fresh = !this.playing || this.late || now - this.read >= READ;
    this.pictures?.draw(this.time, fresh);
    for (const strip of this.strips) strip.draw(this.time);
    if (!fresh) return;
    this.read = now;
    this.late = false;
    this.panel.draw(this.time);
    this.stills?.show(this.runs, this.time, this.hiddenAfter());
    this.find("clock").textContent = `${this.time.toFixed(2)} s`;
    this.find("time").value = String(this.time);
    this.find("time").setAttribute("aria-valuetext", `${this.time.toFixed(2)} seconds`);
    this.find("slow").textContent = this.speed === 1 ? "" : `${this.speed} × true speed`;
    this.drawCaptions();
  }

  // What had happened last, in words; the runs one below the other.
  drawCaptions() {
    const waits = this.asks && !this.outcomeShown && this.time >= this.ask - 1e-6;
    const text = waits ? "What happens next? Space goes on." : this.tracks.map((track, run) => this.happened(track, run)).join("\n");
    if (this.find("happened").textContent !== text) this.find("happened").textContent = text;
    const beside = this.beside();
    if (this.find("beside").textContent !== beside) this.find("beside").textContent = beside;
  }

  // How long there had been until nothing could have stopped it, and how long people take.
  beside() {
    const rows = this.tracks.flatMap(({ facts: { no_return: lost, left } }, run) => {
      if (left === null || left < 0.05 || this.time < lost - 1e-6) return [];
      return [`${this.tracks.length > 1 ? `${this.letter(run)}: ` : ""}${left.toFixed(2)} s`];
    });
    return rows.length ? `From the first sign until nothing could have stopped it: ${rows.join(", ")}. ${this.data.reaction}` : "";
  }

  happened(track, run) {
    const { marks, moments, start_words: start } = track.facts;
    const past = (rows) => rows.filter((row) => row.time <= this.time + 1e-6);
    const moment = past(moments).at(-1);
    const held = moment && (this.time - moment.time <= HELD * Math.max(this.speed, 0.25) || moment.kind === "outcome");
    const mark = past(marks).at(-1) ?? moment;
    const last = held ? moment : mark;
    const together = last ? past(held || mark === moment ? moments : marks).filter((row) => last.time - row.time <= TOGETHER) : [];
    const rows = this.tracks.length > 1 ? together.slice(0, 1) : together; // a line a run
    const words = rows.length ? `${rows[0].time.toFixed(2)} s: ${rows.map((row) => this.say.text(row.text)).join("; ")}` : start;
    return this.tracks.length > 1 ? `${this.letter(run)}  ${words}` : words;
  }

  // -- what is on the page --------------------------------------------------------------------------------------

  lead() {
    if (this.asks && !this.outcomeShown) return [[...new Set(this.tracks.map((track) => track.facts.title))].join(" / "), "What happens next?"];
    if (this.tracks.length > 1) {
      const ends = this.tracks.map((track, run) => `${this.letter(run)}: ${this.say.text(track.facts.outcome)}`);
      return [ends.join(". "), this.say.text(this.data.changed?.[this.runs.join(" ")] ?? "")];
    }
    const { heading, sentences } = this.tracks[0].facts;
    return [this.say.text(heading), sentences.map(([, words]) => this.say.text(words)).join(" ")];
  }

  wordEverything() {
    const { facts } = this.tracks[0];
    document.body.classList.toggle("asking", this.asks && !this.outcomeShown); // when nothing may tell the ending
    const [lead, said] = this.lead();
    this.find("lead").textContent = lead;
    this.find("said").textContent = said;
    this.find("estimate").textContent = this.say.text(facts.estimate);
    this.find("marking").textContent = [...new Set(this.tracks.flatMap((track) => track.facts.marking))]
      .filter((words) => words !== "DEMO").join(" \u00b7 ");
    for (const element of document.querySelectorAll(".demo")) element.hidden = !this.tracks.some((track) => track.facts.demo);
    for (const sheet of document.querySelectorAll(".handout")) sheet.hidden = sheet.dataset.system !== this.say.system;
    this.panel = new Panel(this.find("panel"), this);
    this.buildStrips();
    this.buildMarks();
    this.nameRuns();
    this.showSpread();
    this.pictures?.reword();
    this.stale = true;
    this.late = true;
  }

  // What outlines are drawn, and in how many of them the truck stayed up.
  showSpread() {
    const spreads = this.tracks.filter((track) => track.ghosts);
    const names = (track) => (this.tracks.length > 1 ? `${this.letter(this.tracks.indexOf(track))}: ` : "");
    this.find("outlines").textContent = spreads.map((track) => names(track) + this.say.text(track.facts.ghosts.said)).join("\n");
    this.find("outlines").hidden = !spreads.length || !this.spreads();
    this.find("spread").hidden = !spreads.length;
    this.find("spread").setAttribute("aria-pressed", String(this.spread));
  }

  nameRuns() {
    const host = this.find("names");
    host.replaceChildren();
    if (this.tracks.length < 2) return;
    this.tracks.forEach((track, run) => {
      const name = document.createElement("span");
      name.textContent = `${this.letter(run)}: ${this.say.text(this.data.names?.[this.runs[run]] ?? track.facts.title)}`;
      name.style.left = `${(100 * run) / this.tracks.length}%`;
      name.style.maxWidth = `${100 / this.tracks.length}%`;
      host.append(name);
    });
  }

  buildStrips() {
    const host = this.find("charts");
    host.replaceChildren();
    const marks = this.tracks[0].facts.marks.map((mark) => mark.time);
    const { facts } = this.tracks[0];
    const pair = this.tracks.length > 1;
    const common = { end: this.end, marks: pair ? [] : marks };
    const distances = (track, run) => ({
      ...common, time: track.time, title: `Distance to tip line${pair ? `, ${this.letter(run)}` : ""}`, kind: "short", zero: true,
      curves: facts.lines.map((line, k) => ({
        name: line.swing ? line.name : line.side, colour: line.colour, dash: dashOf(line), thin: line.swing,
        values: track.column(`distance.${k}`), swing: line.swing,
      })).filter((curve) => !pair || !curve.swing),
    });
    const plans = this.tracks.map(distances);
    const apart = pair ? this.data.apart?.[this.runs.join(" ")] : null;
    if (apart) {
      plans.push({
        ...common, time: apart.time, title: "Farther from it in B than in A", kind: "short", zero: true,
        curves: facts.lines.filter((line) => !line.swing && apart.lines[line.side]).map((line) => ({
          name: line.side, colour: line.colour, dash: dashOf(line), values: apart.lines[line.side].map((value) => value ?? NaN),
        })),
      });
    }
    if (!pair) {
      plans.push({
        ...common, time: this.tracks[0].time, title: { si: "Tyre load", us: "Tire load" }, kind: "force",
        curves: facts.tyres.map((tyre, k) => ({
          name: tyre.name, colour: this.colours.cycle[k % this.colours.cycle.length], dash: k,
          values: this.tracks[0].column(`load.${k}`),
        })),
      });
    }
    this.strips = plans.map((plan) => new Strip(host, plan, this));
  }

  buildMarks() {
    const host = this.find("marks");
    host.replaceChildren();
    this.tracks.forEach((track, run) => {
      for (const mark of track.facts.marks) {
        if (mark.time > this.hiddenAfter()) continue;
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
      }
    });
  }

  buildCameras() {
    const host = this.find("cameras");
    for (const view of VIEWS) {
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
    for (const value of SPEEDS) speed.append(new Option(value === 1 ? "true" : `${value} ×`, String(value)));
    const acts = {
      first: () => this.seek(0), back: () => this.step(-STEP), play: () => this.play(), on: () => this.step(STEP),
      next: () => this.next(), units: () => this.swapUnits(), room: () => this.swapRoom(), keys: () => this.swapKeys(),
      seated: () => this.fromSeat(), spread: () => this.swapSpread(), asking: () => this.swapAsking(),
    };
    for (const [id, act] of Object.entries(acts)) this.find(id).addEventListener("click", act);
    speed.addEventListener("change", () => this.setSpeed(Number(speed.value)));
    this.find("time").addEventListener("input", (event) => this.seek(Number(event.target.value)));
    this.setSpeed(1);
  }

  step(by) {
    this.play(false);
    this.seek(Math.round((this.time + by) / STEP) * STEP);
  }

  // To the next thing that happens.
  next() {
    const rows = this.tracks.flatMap((track) => [...track.facts.marks, ...track.facts.moments]);
    const times = rows.map((row) => row.time).sort((a, b) => a - b);
    this.play(false);
    this.seek(times.find((time) => time > this.time + 1e-3) ?? this.end);
  }

  // As the driver has it: from the seat, at true speed, from the start.
  fromSeat() {
    this.view("seat");
    this.setSpeed(1);
    this.seek(0);
    this.play(true);
  }

  swapAsking(on = !this.asks) {
    this.asks = on;
    this.outcomeShown = false;
    this.find("asking").setAttribute("aria-pressed", String(on));
    this.play(false);
    this.wordEverything();
    this.seek(Math.min(this.time, this.hiddenAfter()));
  }

  swapSpread() {
    this.spread = !this.spread;
    this.showSpread();
    this.stale = true;
  }

  swapUnits() {
    this.say.system = this.say.system === "si" ? "us" : "si";
    this.find("units").textContent = this.say.system === "si" ? "US units" : "SI units";
    this.wordEverything();
  }

  swapRoom() {
    const on = document.body.classList.toggle("room");
    this.find("room").setAttribute("aria-pressed", String(on));
    (on ? document.querySelector("aside") : this.find("caption")).append(this.find("beside"));
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
      n: () => this.next(), s: () => this.fromSeat(), q: () => this.swapAsking(),
      g: () => this.swapSpread(), u: () => this.swapUnits(), r: () => this.swapRoom(),
      "?": () => this.swapKeys(), Escape: () => (this.find("help").hidden = true), ...views,
    };
  }
}
