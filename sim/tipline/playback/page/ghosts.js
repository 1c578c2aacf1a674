// Runs of a spread as faint outlines of truck and load: full lines where the truck stayed up, dashed where it did not.
// All boxes are one set of lines drawn as often as there are boxes; at each time only their places change.

const EDGES = [[4, 5], [6, 7], [4, 6], [5, 7], [0, 4], [1, 5], [2, 6], [3, 7], [0, 1], [2, 3], [0, 2], [1, 3]]; // those below last
const ABOVE = 8;
const CORNERS = EDGES.flat().map((corner) => [corner & 1, (corner >> 1) & 1, corner >> 2]);
const DASHES_AN_EDGE = 2.5;
const FAINT = 0.35;

const OUTLINED = `
  attribute vec3 low;
  attribute vec3 wide;
  attribute vec3 spot;
  attribute vec4 turn;
  attribute vec4 look;
  attribute float along;
  varying float share;
  varying vec4 seen;
  void main() {
    vec3 corner = low + position * wide;
    corner += 2.0 * cross(turn.xyz, cross(turn.xyz, corner) + turn.w * corner);
    share = along;
    seen = look;
    gl_Position = projectionMatrix * modelViewMatrix * vec4(corner + spot, 1.0);
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
    const shape = new three.InstancedBufferGeometry();
    shape.setAttribute("position", new three.Float32BufferAttribute(CORNERS.flat(), 3));
    shape.setAttribute("along", new three.Float32BufferAttribute(CORNERS.map((_, k) => k % 2), 1));
    shape.instanceCount = up.length * boxes.length;
    const each = (name, width, values) => {
      const attribute = new three.InstancedBufferAttribute(new Float32Array(values ?? width * shape.instanceCount), width);
      shape.setAttribute(name, attribute);
      return attribute;
    };
    const looks = up.map((stayed) => [...new three.Color(stayed ? colours.ink : colours.warn), stayed ? 0 : 1]);
    each("low", 3, up.flatMap(() => boxes.flatMap(([low]) => low)));
    each("wide", 3, up.flatMap(() => boxes.flatMap(([low, high]) => high.map((value, axis) => value - low[axis]))));
    each("look", 4, looks.flatMap((look) => boxes.flatMap(() => look)));
    this.spot = each("spot", 3);
    this.turn = each("turn", 4);
    this.group = new three.LineSegments(
      shape, new three.ShaderMaterial({ vertexShader: OUTLINED, fragmentShader: DASHED, transparent: true, depthWrite: false }),
    );
    this.group.frustumCulled = false;
  }

  // Without the edges below, which tell least, where pictures are drawn coarsely.
  thin(on) {
    this.group.geometry.setDrawRange(0, on ? 2 * ABOVE : Infinity);
  }

  // Where each box is at a time: straight between two places that are told.
  pose(time) {
    const { facts: { apart, times, boxes, unit, up }, places, spot, turn } = this;
    const at = Math.min(Math.max(time / apart, 0), times - 1);
    const k = Math.min(Math.floor(at), Math.max(times - 2, 0));
    const share = at - k;
    const size = 7 * boxes.length;
    for (let run = 0; run < up.length; run++) {
      for (let box = 0; box < boxes.length; box++) {
        const from = (run * times + k) * size + 7 * box;
        const to = times > 1 ? from + size : from;
        const value = (i) => places[from + i] + share * (places[to + i] - places[from + i]);
        const [x, y, z, w] = [value(3), value(4), value(5), value(6)];
        const long = Math.hypot(x, y, z, w);
        const number = run * boxes.length + box;
        spot.setXYZ(number, unit * value(0), unit * value(1), unit * value(2));
        turn.setXYZW(number, x / long, y / long, z / long, w / long);
      }
    }
    spot.needsUpdate = turn.needsUpdate = true;
  }
}
