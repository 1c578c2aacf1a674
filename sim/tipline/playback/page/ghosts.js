// Runs of a spread as faint outlines of truck and load: full lines where the truck stayed up, dashed where it did not.

const EDGES = [[0, 1], [2, 3], [4, 5], [6, 7], [0, 2], [1, 3], [4, 6], [5, 7], [0, 4], [1, 5], [2, 6], [3, 7]];
const PIECES = { up: [[0, 1]], down: [[0, 0.2], [0.4, 0.6], [0.8, 1]] };
const FAINT = 0.35;

class Ghosts {
  constructor(three, facts, places, colours) {
    Object.assign(this, { three, facts, places });
    this.group = new three.Group();
    this.corners = facts.boxes.map(([low, high]) =>
      [0, 1, 2, 3, 4, 5, 6, 7].map((k) => [k & 1 ? high[0] : low[0], k & 2 ? high[1] : low[1], k & 4 ? high[2] : low[2]]));
    this.sets = Object.keys(PIECES).map((name) => {
      const runs = facts.up.flatMap((up, run) => (up === (name === "up") ? [run] : []));
      const size = runs.length * facts.boxes.length * EDGES.length * PIECES[name].length * 6;
      const points = new three.BufferAttribute(new Float32Array(size), 3);
      const colour = name === "up" ? colours.ink : colours.warn;
      const material = new three.LineBasicMaterial({ color: colour, transparent: true, opacity: FAINT });
      const lines = new three.LineSegments(new three.BufferGeometry().setAttribute("position", points), material);
      lines.frustumCulled = false;
      this.group.add(lines);
      return { runs, points, pieces: PIECES[name] };
    });
    this.placed = [0, 1, 2, 3, 4, 5, 6, 7].map(() => new three.Vector3());
    this.spot = new three.Vector3();
    this.turn = new three.Quaternion();
  }

  // Where a box of a run is at a time: straight between two places that are told.
  place(run, box, time) {
    const { facts: { apart, times, boxes, unit }, places } = this;
    const at = Math.min(Math.max(time / apart, 0), times - 1);
    const k = Math.min(Math.floor(at), Math.max(times - 2, 0));
    const share = at - k;
    const from = ((run * times + k) * boxes.length + box) * 7;
    const to = times > 1 ? from + boxes.length * 7 : from;
    const value = (i) => places[from + i] + share * (places[to + i] - places[from + i]);
    this.spot.set(value(0), value(1), value(2)).multiplyScalar(unit);
    this.turn.set(value(3), value(4), value(5), value(6)).normalize();
  }

  pose(time) {
    for (const { runs, points, pieces } of this.sets) {
      let next = 0;
      for (const run of runs) {
        this.corners.forEach((corners, box) => {
          this.place(run, box, time);
          corners.forEach((corner, k) => this.placed[k].set(...corner).applyQuaternion(this.turn).add(this.spot));
          for (const [a, b] of EDGES) {
            for (const piece of pieces) {
              for (const share of piece) {
                for (const axis of ["x", "y", "z"]) {
                  points.array[next++] = this.placed[a][axis] + share * (this.placed[b][axis] - this.placed[a][axis]);
                }
              }
            }
          }
        });
      }
      points.needsUpdate = true;
    }
  }
}
