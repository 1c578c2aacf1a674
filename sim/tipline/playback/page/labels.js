// Words over the picture: tyre loads, places, tip lines, the balance point. They keep clear of each other.

class Labels {
  constructor(host) {
    this.host = host;
    this.elements = new Map();
  }

  // `wanted`: {key, text, x, y, colour, kind}, the most needed first; each stands above its point, or the nearest free
  // place in `frame`: left, right, top, bottom [pixels]. Texts change where `fresh`: each that does is drawn anew by the browser.
  show(wanted, frame, fresh) {
    const [left, right, top, bottom] = frame;
    const used = new Set();
    const boxes = [];
    for (const label of wanted) {
      const { key, x, y } = label;
      if (!(x > left - 40 && x < right + 40 && y > top - 80 && y < bottom + 40)) continue;
      const element = this.element(label, fresh);
      const box = free([x - element.wide / 2, y - element.tall - 6, element.wide, element.tall], boxes, frame);
      if (!box) continue;
      boxes.push(box);
      element.style.transform = `translate(${Math.round(box[0])}px, ${Math.round(box[1])}px)`;
      element.hidden = false;
      used.add(key);
    }
    for (const [key, element] of this.elements) if (!used.has(key)) element.hidden = true;
  }

  clear() {
    for (const element of this.elements.values()) element.hidden = true;
  }

  element({ key, text, colour, kind }, fresh) {
    let element = this.elements.get(key);
    if (!element) {
      element = document.createElement("span");
      this.elements.set(key, element);
      this.host.append(element);
    } else if (!fresh && !element.hidden) return element;
    const look = `${kind} ${text} ${colour} ${this.type}`;
    if (element.look === look) return element;
    element.look = look;
    element.className = `label ${kind}`;
    element.textContent = text;
    element.style.borderColor = element.style.color = colour;
    element.hidden = false;
    element.wide = element.offsetWidth;
    element.tall = element.offsetHeight;
    return element;
  }
}

// The nearest place up, down or aside of where a box is wanted that meets no other; none if there is none near.
function free([x, y, wide, tall], boxes, [left, right, top, bottom]) {
  const tries = [[0, 0], [0, -1], [0, 1], [0, -2], [0.6, -1], [-0.6, -1], [0.6, 1], [-0.6, 1], [1, 0], [-1, 0], [0, 2], [0, -3], [0, 3]];
  for (const [across, up] of tries) {
    const box = [
      Math.min(Math.max(x + across * wide, left + 2), right - wide - 2),
      Math.min(Math.max(y + up * (tall + 2), top + 2), bottom - tall - 2),
      wide, tall,
    ];
    if (box[0] >= left && box[1] >= top && boxes.every((other) => apartFrom(box, other))) return box;
  }
  return null;
}

const apartFrom = (a, b) => a[0] + a[2] <= b[0] || b[0] + b[2] <= a[0] || a[1] + a[3] <= b[1] || b[1] + b[3] <= a[1];
