// Quantities and texts as they are read, in the system of units that is chosen. The rules come with the page.

class Wording {
  constructor(rules, system) {
    this.rules = rules;
    this.system = system;
  }

  // A text that stands in both systems, or in one for both.
  text(words) {
    return typeof words === "string" ? words : words[this.system];
  }

  number(kind, value) {
    const { per, steps } = this.rules[kind][this.system];
    const amount = value / per;
    const [, step, digits] = steps.find(([below]) => below === null || Math.abs(amount) < below);
    return this.spaced(kind, (Math.round(amount / step) * step || 0).toFixed(digits)); // never "-0"
  }

  // With commas between thousands where the unit has them.
  spaced(kind, text) {
    if (!this.rules[kind][this.system].commas) return text;
    const [whole, part] = text.split(".");
    const grouped = whole.replace(/\B(?=(\d{3})+$)/g, ",");
    return part === undefined ? grouped : `${grouped}.${part}`;
  }

  unit(kind) {
    return this.rules[kind][this.system].unit;
  }

  quantity(kind, value) {
    return Number.isFinite(value) ? `${this.number(kind, value)}\u00a0${this.unit(kind)}` : "\u2013";
  }
}
