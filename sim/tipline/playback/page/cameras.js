// Where one looks from. A camera stands for the first sample and later moves no more than keeps truck and load in the
// picture, so that a truck that rocks is seen to rock; a drag turns it into a free one.

const VIEW_ANGLE = 26; // vertical, in degrees: a long lens keeps verticals straight
const SEAT_ANGLE = 62;
const STAYS = 4; // a truck that travels less is held by a camera that stands still [m]
const EVENED = 0.5; // over this long a camera evens out its moves [s]
const ROOM = 0.75; // floor round the tyres that stays in the picture [m]
const CLOSE = 2; // width of a look at the cause [m]
const MARGIN = 1.1;
const STEPS = 160;

const VIEWS = [
  { name: "overview", key: "1", words: "Overview", hint: "from the side of the cause" },
  { name: "side", key: "2", words: "Side", hint: "square to the truck" },
  { name: "front", key: "3", words: "Front", hint: "from ahead" },
  { name: "above", key: "4", words: "Above", hint: "straight down" },
  { name: "cause", key: "5", words: "At the cause", hint: "close" },
  { name: "seat", key: "6", words: "From the seat", hint: "what the driver sees" },
];

class Cameras {
  constructor(three, stages) {
    this.three = three;
    this.stages = stages;
    this.name = "overview";
    this.free = false;
    this.camera = new three.PerspectiveCamera(VIEW_ANGLE, 1, 0.1, 400);
    this.camera.up.set(0, 0, 1);
    this.end = Math.max(...stages.map((stage) => stage.track.end));
    this.look();
    this.paths = new Map();
  }

  // Points round truck and load, level with gravity, at evenly spread times: of all runs, since one camera serves all.
  look() {
    const { three } = this;
    this.times = Array.from({ length: STEPS }, (_, k) => (k * this.end) / (STEPS - 1));
    this.points = this.times.map(() => []);
    this.ways = [];
    const low = [Infinity, Infinity];
    const high = [-Infinity, -Infinity];
    for (const stage of this.stages) {
      const way = this.times.map((time, k) => {
        stage.move(Math.min(time, stage.track.end));
        stage.bodies.forEach((body, b) => {
          for (const corner of stage.boxes[b]) this.points[k].push(corner.clone().applyMatrix4(body.matrixWorld));
        });
        stage.track.facts.tyres.forEach((_, t) => {
          const contact = stage.track.point(`contact.${t}`, time, new three.Vector3());
          for (const [x, y] of [[-ROOM, -ROOM], [ROOM, -ROOM], [-ROOM, ROOM], [ROOM, ROOM]]) {
            const spot = contact.clone().add(new three.Vector3(x, y, 0)).applyMatrix4(stage.level.matrix);
            if (Number.isFinite(spot.x)) this.points[k].push(spot);
          }
        });
        stage.track.facts.forces.forEach((_, f) => {
          const force = stage.track.point(`force.${f}`, time, new three.Vector3());
          const tail = stage.track.point(`point.${f}`, time, new three.Vector3());
          tail.addScaledVector(force, -1 / stage.track.facts.force_scale).applyMatrix4(stage.level.matrix);
          if (force.length() > 1) this.points[k].push(tail);
        });
        const fall = { way: new three.Vector3(), foot: new three.Vector3() };
        if (stage.layFall(time, fall)) {
          for (const far of [0, FALL]) this.points[k].push(fall.foot.clone().addScaledVector(fall.way, far).applyMatrix4(stage.level.matrix));
        }
        return stage.bodies[0].getWorldPosition(new three.Vector3());
      });
      this.ways.push(way);
    }
    for (const point of this.points.flat()) {
      low[0] = Math.min(low[0], point.x);
      low[1] = Math.min(low[1], point.y);
      high[0] = Math.max(high[0], point.x);
      high[1] = Math.max(high[1], point.y);
    }
    this.reach = [low, high];
    const first = this.ways[0].map((point) => point.clone().sub(this.ways[0][0]));
    const far = Math.max(...first.map((step) => step.length())) > STAYS;
    this.way = evened(first.map((step) => (far ? step : step.set(0, 0, 0)).toArray()), this.window());
  }

  window() {
    return Math.max(Math.round((EVENED / 2 / this.end) * (STEPS - 1)), 1);
  }

  // Which way back from the truck a camera stands, in the level world.
  back(name) {
    const { three } = this;
    const { azimuth, look } = this.stages[0].track.facts;
    const ahead = new three.Vector3(1, 0, 0).applyQuaternion(this.stages[0].bodies[0].quaternion);
    const heading = Math.atan2(ahead.y, ahead.x);
    const side = look[1] >= 0 ? 1 : -1;
    const [turn, rise] = {
      overview: [azimuth, 17], side: [heading + (side * Math.PI) / 2, 5], front: [heading, 7],
      above: [heading + Math.PI, 89.9], cause: [azimuth, 30],
    }[name];
    const up = (rise * Math.PI) / 180;
    return new three.Vector3(Math.cos(up) * Math.cos(turn), Math.cos(up) * Math.sin(turn), Math.sin(up));
  }

  // The way of a camera over the run: at each step where it stands, and how far back.
  path(name, aspect) {
    const key = `${name} ${aspect.toFixed(3)}`;
    if (!this.paths.has(key)) this.paths.set(key, this.laid(name, aspect));
    return this.paths.get(key);
  }

  laid(name, aspect) {
    const { three } = this;
    this.stages[0].move(0);
    const back = this.back(name);
    const right = new three.Vector3(0, 0, 1).cross(back).normalize();
    const up = back.clone().cross(right);
    const half = Math.tan((VIEW_ANGLE * Math.PI) / 360);
    const slopes = [(half * aspect) / MARGIN, half / MARGIN];
    const shown = this.points.map((points, k) => points.map((point) => {
      const local = point.clone().sub(new three.Vector3(...this.way[k]));
      return [local.dot(right), local.dot(up), local.dot(back)];
    }));
    const bracket = (points, axis) => {
      const most = Math.max(...points.map((p) => p[axis] + p[2] * slopes[axis]));
      const least = Math.min(...points.map((p) => p[axis] - p[2] * slopes[axis]));
      return [(most + least) / 2, (most - least) / (2 * slopes[axis])];
    };
    const [u, wide] = bracket(shown[0], 0);
    const [v, tall] = bracket(shown[0], 1);
    const start = Math.max(wide, tall);
    let place = [u, v];
    const steps = shown.map((points) => {
      const far = Math.max(start, bracket(points, 0)[1], bracket(points, 1)[1]);
      place = place.map((at, axis) => {
        const low = Math.max(...points.map((p) => p[axis] - (far - p[2]) * slopes[axis]));
        const high = Math.min(...points.map((p) => p[axis] + (far - p[2]) * slopes[axis]));
        return Math.min(Math.max(at, Math.min(low, high)), Math.max(low, high));
      });
      return [...place, far];
    });
    const wideness = this.window();
    const most = steps.map((step, k) => [step[0], step[1],
      Math.max(...steps.slice(Math.max(k - wideness, 0), k + wideness + 1).map((near) => near[2]))]);
    return { back, right, up, steps: evened(most, wideness) };
  }

  between(rows, time) {
    const at = Math.min(Math.max((time / this.end) * (STEPS - 1), 0), STEPS - 1);
    const k = Math.min(Math.floor(at), STEPS - 2);
    return rows[k].map((value, i) => value + (at - k) * (rows[k + 1][i] - value));
  }

  choose(name) {
    this.name = name;
    this.free = false;
  }

  // Put the camera where it is at a time, for a picture of this size of which `head` and `foot` are covered by buttons and
  // words [pixels]; `stage` is whose seat or cause is looked at.
  aim(time, { width, height, head, foot }, stage, controls) {
    const { three, camera } = this;
    const free = Math.max(height - head - foot, 2);
    const aspect = width / free;
    camera.aspect = aspect;
    camera.setViewOffset(width, free, 0, -head, width, height);
    camera.fov = this.name === "seat" && !this.free ? SEAT_ANGLE : VIEW_ANGLE;
    const way = new three.Vector3(...this.between(this.way, time));
    if (this.free) {
      const step = way.clone().sub(this.since ?? way);
      camera.position.add(step);
      controls.target.add(step);
    } else {
      camera.up.set(0, 0, 1);
      if (this.name === "seat") this.sit(stage);
      else if (this.name === "cause") this.near(stage, time);
      else this.stand(time, aspect, way);
      if (this.name !== "seat") controls.target.copy(this.focus);
      camera.lookAt(this.focus);
    }
    this.since = way;
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld(true);
  }

  stand(time, aspect, way) {
    const { back, right, up, steps } = this.path(this.name, aspect);
    const [u, v, far] = this.between(steps, time);
    const spot = right.clone().multiplyScalar(u).addScaledVector(up, v).add(way);
    const depth = this.depth(back);
    this.focus = spot.clone().addScaledVector(back, depth);
    this.camera.position.copy(spot).addScaledVector(back, far);
    if (this.name === "above") this.camera.up.copy(up);
  }

  // How far towards the camera the middle of the truck lies at the start: what a drag turns about.
  depth(back) {
    const depths = this.points[0].map((point) => point.dot(back));
    return (Math.min(...depths) + Math.max(...depths)) / 2;
  }

  near(stage, time) {
    const back = this.back("cause");
    this.focus = stage.track.point("cause", time, new this.three.Vector3()).applyMatrix4(stage.level.matrix);
    this.focus.z += 0.15 * CLOSE;
    const far = CLOSE / 2 / Math.tan((VIEW_ANGLE * Math.PI) / 360);
    this.camera.position.copy(this.focus).addScaledVector(back, far);
  }

  // The eyes go with the frame: its lean is what the driver feels first.
  sit(stage) {
    const { three, camera } = this;
    const frame = stage.bodies[0].matrixWorld;
    const eye = new three.Vector3(...(stage.track.facts.seat ?? [-1, 0, 1.8]));
    this.focus = eye.clone().add(new three.Vector3(4, 0, -0.35)).applyMatrix4(frame);
    camera.position.copy(eye.applyMatrix4(frame));
    camera.up.set(0, 0, 1).transformDirection(frame);
  }

  // How large marks are drawn, so that they look alike near and far.
  markSize(controls) {
    const far = this.camera.position.distanceTo(this.free ? controls.target : this.focus);
    return Math.min(Math.max((2 * far * Math.tan((VIEW_ANGLE * Math.PI) / 360)) / 10, 0.4), 2);
  }
}

// The corners of the box round what is drawn of a body, in its own axes.
function boxOf(three, body) {
  const box = new three.Box3();
  body.traverse((node) => {
    if (node.geometry) box.union(node.geometry.boundingBox);
  });
  if (box.isEmpty()) return [];
  const [a, b] = [box.min, box.max];
  return [0, 1, 2, 3, 4, 5, 6, 7].map((k) => new three.Vector3(k & 1 ? a.x : b.x, k & 2 ? a.y : b.y, k & 4 ? a.z : b.z));
}

// The mean of each row's neighbours.
function evened(rows, wide) {
  return rows.map((row, k) => row.map((_, i) => {
    const near = Array.from({ length: 2 * wide + 1 }, (_, j) => rows[Math.min(Math.max(k + j - wide, 0), rows.length - 1)][i]);
    return near.reduce((sum, value) => sum + value, 0) / near.length;
  }));
}
