// A lesson: steps that arrow keys walk through, each with its runs, a text, and choices where a class is asked.

class Lesson extends Page {
  start(pictures) {
    document.body.classList.add("lesson");
    this.steps = this.data.lesson.steps;
    this.chosen = new Map(); // by pair and run, what the class chose
    super.start(pictures);
    this.find("onward").addEventListener("click", () => this.walk(1));
    this.find("backward").addEventListener("click", () => this.walk(-1));
    this.find("notes").addEventListener("click", () => this.openNotes());
    this.go(0);
  }

  walk(by) {
    this.go(Math.min(Math.max(this.step_ + by, 0), this.steps.length - 1));
  }

  // Begin a step. What is asked stops before the outcome; what is told goes on from there, from outside.
  go(number) {
    const step = this.steps[number];
    this.step_ = number;
    if (step.runs && step.runs.join() !== this.runs.join()) this.show(step.runs);
    if (step.view) this.view(step.view);
    this.asks = step.kind === "ask" || step.kind === "before";
    this.outcomeShown = false;
    this.setSpeed(step.kind === "ask" ? 1 : 0.5);
    this.wordEverything();
    this.seek(step.kind === "outcome" ? this.ask : 0);
    this.play(step.kind !== "before" && step.kind !== "seated");
    this.drawStep();
    this.drawNotes();
  }

  // The next step shows what comes, not the play button.
  reveal() {
    if (this.steps[this.step_].kind === "ask") this.walk(1);
    else super.reveal();
  }

  lead() {
    const step = this.steps?.[this.step_ ?? 0];
    if (!step) return [this.data.lesson.title, ""];
    if (step.kind === "beside") return [this.say.text(step.title), this.say.text(this.data.changed[this.runs.join(" ")])];
    const name = this.data.names?.[this.runs[0]];
    return [this.say.text(step.title), step.kind === "seated" ? "" : `This run: ${this.say.text(name)}`];
  }

  wordEverything() {
    super.wordEverything();
    if (!this.steps || this.step_ === undefined) return;
    this.drawStep();
    this.drawNotes();
  }

  happened(track, run) {
    const waits = this.asks && this.time >= this.ask - 1e-6;
    return waits ? "What happens next? The right arrow goes on." : super.happened(track, run);
  }

  drawCaptions() {
    const text = this.tracks.map((track, run) => this.happened(track, run)).join("\n");
    this.find("happened").textContent = text;
    this.find("beside").textContent = this.asks ? "" : this.beside();
  }

  drawStep() {
    const step = this.steps[this.step_];
    const host = this.find("lesson");
    host.replaceChildren();
    const add = (name, text, kind = "") => {
      const element = document.createElement(name);
      element.textContent = text;
      element.className = kind;
      host.append(element);
      return element;
    };
    add("p", `${this.step_ + 1} of ${this.steps.length}`, "count");
    add("p", this.say.text(step.text), "text");
    for (const point of step.points ?? []) add("p", this.say.text(point), "point");
    if (step.source) add("p", this.say.text(step.source), "source");
    const key = `${step.runs?.join()}`;
    (step.choices ?? []).forEach((choice, number) => {
      const button = add("button", `${"abcdef"[number]}) ${this.say.text(choice.text)}`, "choice");
      button.type = "button";
      const chosen = this.chosen.get(key) === number;
      button.setAttribute("aria-pressed", String(chosen));
      if (step.kind === "ask") {
        button.addEventListener("click", () => {
          this.chosen.set(key, number);
          this.drawStep();
        });
        return;
      }
      button.disabled = true;
      if (chosen) button.textContent += " (chosen)";
      const right = step.right === number;
      if (right) button.textContent = `✓ ${button.textContent}`;
      button.classList.toggle("right", right);
      if (!right) add("p", `Confuses: ${this.say.text(choice.confuses)}`, chosen ? "confuses chosen" : "confuses");
    });
    document.body.classList.toggle("choosing", Boolean(step.choices ?? step.points));
    this.find("backward").disabled = this.step_ === 0;
    this.find("onward").disabled = this.step_ === this.steps.length - 1;
  }

  // Presenter's notes in a window of their own, which follows and leads: arrow keys walk from there too.
  openNotes() {
    this.notes = window.open("", "notes", "width=640,height=480");
    try {
      this.notes.onkeydown = (event) => {
        const by = { ArrowRight: 1, PageDown: 1, ArrowLeft: -1, PageUp: -1 }[event.key];
        if (by) this.walk(by);
      };
    } catch { // pop-ups are not allowed, or this page is shown by others, who keep it apart from all windows
      this.notes?.close();
      this.notes = null;
      const words = "The notes have no window here. Open lesson.html from its folder in a browser, and allow its pop-ups.";
      const line = Object.assign(document.createElement("p"), { textContent: words });
      line.setAttribute("role", "alert");
      this.find("lesson").prepend(line);
      return;
    }
    this.drawNotes();
  }

  drawNotes() {
    if (!this.notes || this.notes.closed) return;
    const step = this.steps[this.step_];
    const paper = this.notes.document;
    paper.documentElement.lang = "en";
    paper.title = `Notes: ${this.data.lesson.title}`;
    paper.body.replaceChildren();
    Object.assign(paper.body.style, { font: "1.25rem/1.4 system-ui, sans-serif", margin: "1rem", color: this.colours.ink });
    const add = (name, text, host = paper.body) => {
      const element = Object.assign(paper.createElement(name), { textContent: text });
      host.append(element);
      return element;
    };
    add("h1", `${this.step_ + 1} of ${this.steps.length}: ${this.say.text(step.title)}`);
    const write = (words, host = paper.body) => words && add("p", words, host);
    write(this.say.text(step.text));
    write(this.say.text(step.notes));
    if (step.source) write(this.say.text(step.source));
    const next = this.steps[this.step_ + 1];
    const coming = next && `Next: ${this.say.text(next.title)}. ${next.kind === "ask" ? "The question." : this.say.text(next.text)}`;
    const after = step.after ? this.say.text(step.after) : "";
    if (step.kind !== "before" && step.kind !== "ask") return [after, coming].forEach((words) => write(words));
    // Who sits in the room may see this window too: what tells the outcome is unfolded by the presenter alone.
    const folded = add("details", "");
    add("summary", "What comes (tells the outcome)", folded);
    return [coming, after].forEach((words) => write(words, folded));
  }

  keys(event) {
    const keys = super.keys(event);
    const letters = Object.fromEntries([..."abcdef"].map((letter, number) => [letter, () => {
      const button = document.querySelectorAll("#lesson .choice")[number];
      if (button && !button.disabled) button.click();
    }]));
    return {
      ...keys, ...letters,
      ArrowRight: () => this.walk(1), ArrowLeft: () => this.walk(-1),
      PageDown: () => this.walk(1), PageUp: () => this.walk(-1),
      w: () => this.openNotes(), q: () => {},
    };
  }
}
