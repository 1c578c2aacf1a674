// Words over the picture: tyre loads, places, tip lines, the balance point. They keep clear of each other and, where the
// picture has room beside the truck, of the truck: there they stand in two columns, each with a line to its point.

const CLEAR = 14; // between truck and words [pixels]
const CLOSE_UP = 0.6; // a truck that fills more of the picture has its words where their points are
const STAYS_ASIDE = 0.2; // of the truck's width: so far past its middle a label stays on its side

class Labels {
  constructor(host) {
    this.host = host;
    this.elements = new Map();
  }

  // `wanted`: {key, text, x, y, colour, kind}, the most needed first; `frame`: left, right, top, bottom, and `truck`: from
  // where to where it reaches with its arrows, and where its middle is [pixels]. Gives lines to be drawn from labels to their points, x and y of both ends.
  // Texts change where `fresh`: each that does is drawn anew by the browser.
  show(wanted, frame, truck, fresh) {
    const [left, right, top, bottom] = frame;
    const near = wanted.filter(({ x, y }) => x > left - 40 && x < right + 40 && y > top - 80 && y < bottom + 40);
    const rows = near.map((label) => ({ ...label, element: this.element(label, fresh) }));
    const aside = truck[1] - truck[0] < CLOSE_UP * (right - left);
    const placed = aside ? this.inColumns(rows, frame, truck) : nearest(rows, frame);
    const used = new Set();
    for (const { key, element, box } of placed) {
      const spot = `translate(${Math.round(box[0])}px, ${Math.round(box[1])}px)`;
      if (element.spot !== spot) element.style.transform = element.spot = spot;
      element.hidden = false;
      used.add(key);
    }
    for (const [key, element] of this.elements) if (!used.has(key)) element.hidden = true;
    if (!aside) return [];
    return placed.flatMap(({ box, x, y }) => [box[0] > x ? box[0] : Math.min(box[0] + box[2], x), box[1] + box[3] / 2, x, y]);
  }

  inColumns(rows, [left, right, top, bottom], truck) {
    const middle = truck[2];
    for (const { x, element } of rows) {
      const past = (x - middle) / (truck[1] - truck[0] || 1);
      if (element.hidden || Math.abs(past) > STAYS_ASIDE || !element.side) element.side = past < 0 ? -1 : 1;
    }
    const columns = [-1, 1].map((side) => rows.filter(({ element }) => element.side === side));
    const wide = columns.map((column) => Math.max(0, ...column.map(({ element }) => element.wide)));
    const narrow = wide[0] + wide[1] + CLEAR > right - left; // no room for two side by side: each below the other
    return (narrow ? [columns.flat()] : columns).flatMap((column) => {
      const tall = Math.max(0, ...column.map(({ element }) => element.tall)) + 4;
      const levels = apart(column.map(({ y }) => y), tall, top + tall / 2, bottom - tall / 2);
      return column.flatMap((row, k) => {
        const { wide, tall: own, side } = row.element;
        const x = side < 0 ? Math.max(truck[0] - CLEAR - wide, left + 2) : Math.min(truck[1] + CLEAR, right - wide - 2);
        const y = levels[k] - own / 2;
        return y < top ? [] : [{ ...row, box: [x, y, wide, own] }];
      });
    });
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

// Each above its point, or in the nearest free place.
function nearest(rows, frame) {
  const boxes = [];
  return rows.flatMap((row) => {
    const { wide, tall } = row.element;
    const box = free([row.x - wide / 2, row.y - tall - 6, wide, tall], boxes, frame);
    if (!box) return [];
    boxes.push(box);
    return [{ ...row, box }];
  });
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
