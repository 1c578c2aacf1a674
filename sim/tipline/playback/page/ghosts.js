// Runs of a spread as faint outlines of truck and load: full lines where the truck stayed up, dashed where it did not.
// All boxes are one set of lines whose ends are worked out here: drawn as instances of one box, each is a call of its own
// to a processor that draws alone.

const EDGES = [[4, 5], [6, 7], [4, 6], [5, 7], [0, 4], [1, 5], [2, 6], [3, 7], [0, 1], [2, 3], [0, 2], [1, 3]]; // those below last
const ENDS = EDGES.flat();
const ABOVE = 8;
const DASHES_AN_EDGE = 2.5;
const FAINT = 0.35;

const OUTLINED = `
  attribute vec4 look;
  attribute float along;
  varying float share;
  varying vec4 seen;
  void main() {
    share = along;
    seen = look;
    gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
  }`;
const DASHED = `
  varying float share;
  varying vec4 seen;
  void main() {
    if (seen.a > 0.5 && fract(share * ${DASHES_AN_EDGE.toFixed(1)}) > 0.5) discard;
    gl_FragColor = vec4(seen.rgb, ${FAINT.toFixed(2)});
  }`;

class Ghosts {
  constructor(three, facts, places, colours) {
    Object.assign(this, { facts, places });
    const { up, boxes } = facts;
    this.count = up.length * boxes.length;
    const shape = new three.BufferGeometry();
    const each = (name, width, values) => {
      const attribute = new three.BufferAttribute(new Float32Array(values), width);
      shape.setAttribute(name, attribute);
      return attribute;
    };
    const looks = up.flatMap((stayed) => boxes.map(() => [...new three.Color(stayed ? colours.ink : colours.warn), stayed ? 0 : 1]));
    const ends = (values) => EDGES.flatMap(() => looks.flatMap(values)); // edge by edge, of all boxes each
    each("look", 4, ends((look) => [...look, ...look]));
    each("along", 1, ends(() => [0, 1]));
    this.position = each("position", 3, 3 * 2 * EDGES.length * this.count);
    [this.place, this.corners] = [new Float64Array(7), new Float64Array(24)];
    this.group = new three.LineSegments(
      shape, new three.ShaderMaterial({ vertexShader: OUTLINED, fragmentShader: DASHED, transparent: true, depthWrite: false }),
    );
    this.group.frustumCulled = false;
  }

  // Without the edges below, which tell least, where pictures are drawn coarsely.
  thin(on) {
    this.group.geometry.setDrawRange(0, on ? 2 * ABOVE * this.count : Infinity);
  }

  // Where each box is at a time: straight between two places that are told.
  pose(time) {
    const { facts: { apart, times, boxes, unit, up }, places, place, corners, position, count } = this;
    const at = Math.min(Math.max(time / apart, 0), times - 1);
    const k = Math.min(Math.floor(at), Math.max(times - 2, 0));
    const share = at - k;
    const size = 7 * boxes.length;
    for (let number = 0; number < count; number++) {
      const [run, box] = [Math.floor(number / boxes.length), number % boxes.length];
      const from = (run * times + k) * size + 7 * box;
      const to = times > 1 ? from + size : from;
      for (let i = 0; i < 7; i++) place[i] = (places[from + i] + share * (places[to + i] - places[from + i])) * (i < 3 ? unit : 1);
      cornersOf(boxes[box], place, corners);
      for (let end = 0; end < ENDS.length; end++) {
        const start = 3 * (2 * (end >> 1) * count + 2 * number + (end & 1));
        for (let axis = 0; axis < 3; axis++) position.array[start + axis] = corners[3 * ENDS[end] + axis];
      }
    }
    position.needsUpdate = true;
  }
}

// The corners of a box that is turned and then moved: where to, and a quaternion of any length.
function cornersOf([low, high], [px, py, pz, x, y, z, w], out) {
  const two = 2 / (x * x + y * y + z * z + w * w);
  for (let corner = 0; corner < 8; corner++) {
    const a = (corner & 1 ? high : low)[0];
    const b = (corner & 2 ? high : low)[1];
    const c = (corner & 4 ? high : low)[2];
    out[3 * corner] = px + a + two * (b * (x * y - w * z) + c * (x * z + w * y) - a * (y * y + z * z));
    out[3 * corner + 1] = py + b + two * (a * (x * y + w * z) + c * (y * z - w * x) - b * (x * x + z * z));
    out[3 * corner + 2] = pz + c + two * (a * (x * z - w * y) + b * (y * z + w * x) - c * (x * x + y * y));
  }
}
