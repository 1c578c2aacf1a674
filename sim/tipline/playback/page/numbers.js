// Quantities and texts as they are read, in the system of units that is chosen. The rules come with the page.

const FEET = 914.4; // from here on inches become feet [mm], as in texts

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

  // How deep or high a place of the floor is: whole mm; in inches or feet as few digits as tell such a mm, so that it
  // reads here as in the sentences about it.
  depth(value) {
    if (this.system === "si") return this.quantity("short", value);
    const whole = Math.round(value * 1e3);
    const [per, unit] = whole < FEET ? [25.4, "in"] : [304.8, "ft"];
    const there = whole / per;
    const digits = String(whole).replace(/0+$/, "").length;
    const off = Math.min(0.5 / per, (digits <= 1 ? 0.02 : 0.01) * there) + 1e-9;
    const texts = Array.from({ length: Math.max(3, digits) }, (_, k) => String(Number(there.toPrecision(k + 1))));
    return `${texts.find((text) => Math.abs(Number(text) - there) <= off) ?? texts.at(-1)}\u00a0${unit}`;
  }

  quantity(kind, value) {
    return Number.isFinite(value) ? `${this.number(kind, value)}\u00a0${this.unit(kind)}` : "\u2013";
  }
}
