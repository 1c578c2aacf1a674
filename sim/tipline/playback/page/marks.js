// The marks of a run as one surface: tip lines, tyre loads, balance point. It is drawn twice, the second time faintly
// over all that hides it: two calls, where three for each mark took longer than the truck itself.

const HEAD = 0.3; // length of an arrow's head [m]
const SIDES = 10; // of an arrow, which is round
const RINGS = [[0.06, 0], [0.06, 1], [0.132, 1], [0, 2]]; // its outline: radius [m], and where: 0 to 1 on the shaft, 1 to 2 on the head
const OUTLINE = 1.35; // how much wider what stands dark behind an arrow is
const DISCS = [[0.01, 0.16], [0.012, 0.11], [0.014, 0.05]]; // of the balance point: height and radius [m]
const ROUND = 24;
const PIECES = 9; // of a swing line
const BARE = 0.44; // part of each that is left out
const LIFT = 0.006; // of a tip line over the floor [m]
const SEEN_THROUGH = 0.28; // opacity of what is seen through the truck

class Marks {
  constructor(three, facts, colours) {
    this.three = three;
    this.points = [];
    this.tints = [];
    this.shown = []; // triangles that are seen through the truck too
    this.behind = []; // those that are not: inside out, so that only what looks past the arrow is seen of them
    this.lines = facts.lines.map((line) => this.line(line));
    this.arrows = facts.tyres.map(() => this.arrow(colours, colours.arrow));
    this.pushes = facts.forces.map(() => this.arrow(colours, colours.panel));
    this.fall = this.arrow(colours, colours.panel); // which way the floor falls
    this.balance = this.discs(colours);
    this.position = new three.BufferAttribute(new Float32Array(this.points.length), 3);
    const tint = new three.BufferAttribute(new Float32Array(this.tints), 4);
    const surface = (index, options) => {
      const geometry = new three.BufferGeometry().setAttribute("position", this.position).setAttribute("color", tint);
      const material = new three.MeshBasicMaterial({ vertexColors: true, ...options });
      const mesh = new three.Mesh(geometry.setIndex(index), material);
      mesh.frustumCulled = false;
      return mesh;
    };
    const solid = surface([...this.shown, ...this.behind], {});
    const faint = surface(this.shown, { transparent: true, depthTest: false, depthWrite: false });
    solid.renderOrder = 1;
    faint.renderOrder = 20;
    this.group = new three.Group();
    this.group.add(solid, faint);
  }

  // -- what there is: each begins at a point of its own ---------------------------------------------------------

  corners(count, colour, opacity) {
    const first = this.points.length / 3;
    const { r, g, b } = new this.three.Color(colour);
    for (let k = 0; k < count; k++) {
      this.points.push(0, 0, 0);
      this.tints.push(r, g, b, opacity);
    }
    return first;
  }

  line({ swing, colour }) {
    const dashes = swing ? PIECES : 1;
    const first = this.corners(4 * dashes, colour, SEEN_THROUGH);
    for (let k = 0; k < dashes; k++) this.shown.push(...[0, 1, 2, 0, 2, 3].map((corner) => first + 4 * k + corner));
    return { first, dashes, shown: false, ends: [new this.three.Vector3(), new this.three.Vector3()] };
  }

  arrow(colours, colour) {
    const count = SIDES * RINGS.length;
    const first = this.corners(count, colour, 1.7 * SEEN_THROUGH);
    const dark = this.corners(count, colours.ink, 1);
    for (let ring = 0; ring < RINGS.length - 1; ring++) {
      for (let k = 0; k < SIDES; k++) {
        const [a, b] = [ring * SIDES + k, ring * SIDES + ((k + 1) % SIDES)];
        const [d, c] = [a + SIDES, b + SIDES];
        this.shown.push(...[a, b, c, a, c, d].map((corner) => first + corner));
        this.behind.push(...[a, c, b, a, d, c].map((corner) => dark + corner));
      }
    }
    const [foot, tip, way] = [0, 0, 1].map((z) => new this.three.Vector3(0, 0, z));
    return { first, dark, shown: false, foot, tip, way };
  }

  discs(colours) {
    const firsts = [colours.ink, colours.panel, colours.ink].map((colour) => {
      const first = this.corners(ROUND + 1, colour, 2 * SEEN_THROUGH);
      for (let k = 0; k < ROUND; k++) this.shown.push(first, first + 1 + k, first + 1 + ((k + 1) % ROUND));
      return first;
    });
    return { firsts, shown: false, at: new this.three.Vector3() };
  }

  // -- where it is ----------------------------------------------------------------------------------------------

  put(number, x, y, z) {
    this.position.setXYZ(number, x, y, z);
  }

  // What is not shown lies in one point, of which nothing is drawn.
  fold(first, count) {
    for (let k = 0; k < count; k++) this.put(first + k, 0, 0, 0);
  }

  // From a foot on, so long, upwards if nothing else is said; its head keeps its shape.
  poseArrow(arrow, long, size) {
    const { first, dark, foot, tip, way } = arrow;
    tip.copy(foot).addScaledVector(way, long);
    if (!arrow.shown) return [first, dark].forEach((start) => this.fold(start, SIDES * RINGS.length));
    const head = Math.min(HEAD * size, long);
    const wide = Math.max(head / HEAD, 1e-3);
    const across = new this.three.Vector3(1, 0, 0);
    if (Math.abs(way.x) > 0.9) across.set(0, 1, 0);
    across.addScaledVector(way, -across.dot(way)).normalize();
    const [u, v] = [across, way.clone().cross(across)];
    RINGS.forEach(([radius, at], ring) => {
      const on = at <= 1 ? at * (long - head) : long;
      for (let k = 0; k < SIDES; k++) {
        const turn = (2 * Math.PI * k) / SIDES;
        const [a, b] = [radius * wide * Math.cos(turn), radius * wide * Math.sin(turn)];
        for (const [start, more] of [[first, 1], [dark, OUTLINE]]) {
          const [x, y, z] = ["x", "y", "z"].map((axis) => foot[axis] + on * way[axis] + more * (a * u[axis] + b * v[axis]));
          this.put(start + ring * SIDES + k, x, y, z);
        }
      }
    });
  }

  // A strip from end to end, in dashes where it has more than one.
  poseLine(line, wide) {
    const { first, dashes, ends: [from, to] } = line;
    if (!line.shown) return this.fold(first, 4 * dashes);
    const [x, y, z] = [to.x - from.x, to.y - from.y, to.z - from.z];
    const long = Math.hypot(x, y) || 1;
    const [aside, ahead] = [(-y / long) * (wide / 2), (x / long) * (wide / 2)];
    for (let k = 0; k < dashes; k++) {
      const ends = dashes > 1 ? [k / dashes, (k + 1 - BARE) / dashes] : [0, 1];
      [[ends[0], -1], [ends[1], -1], [ends[1], 1], [ends[0], 1]].forEach(([share, side], corner) => {
        const [u, v] = [from.x + share * x + side * aside, from.y + share * y + side * ahead];
        this.put(first + 4 * k + corner, u, v, from.z + share * z + LIFT);
      });
    }
    return undefined;
  }

  poseBalance(size) {
    const { firsts, at, shown } = this.balance;
    firsts.forEach((first, disc) => {
      if (!shown) return this.fold(first, ROUND + 1);
      const [up, radius] = DISCS[disc];
      this.put(first, at.x, at.y, at.z + up);
      for (let k = 0; k < ROUND; k++) {
        const turn = (2 * Math.PI * k) / ROUND;
        this.put(first + 1 + k, at.x + size * radius * Math.cos(turn), at.y + size * radius * Math.sin(turn), at.z + up);
      }
      return undefined;
    });
  }

  posed() {
    this.position.needsUpdate = true;
  }
}
