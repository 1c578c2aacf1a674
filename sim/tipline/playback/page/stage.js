// The scene of one run: its floor, truck and load, tip lines, balance point and tyre loads, at any time.

const BEYOND = 0.9; // how far a tip line is drawn past the contacts [m]
const AROUND = 8; // floor drawn round all that moves [m]
const NEAR = 3.5; // parts of the floor no farther from the truck are named [m]
const LEVEL = 0.002; // a floor that falls by less is not said to fall
const FALL = 1.1; // length of the arrow that says so, and how far beside truck and load it lies [m]
const FALL_CLEAR = 0.4;
const BESIDE = 2; // what is named of the floor is pointed at no farther from the truck's middle than this, if it can be [m]
const INWARD = 0.2; // and by this share of the way from a corner to its middle
const SHOWN = 5e-3; // less depth than this is not seen as a hole [m]

// An outline cut to a rectangle, so that nothing reaches farther than the floor is drawn.
function clipped(outline, low, high) {
  let kept = outline;
  for (const axis of [0, 1]) {
    for (const inside of [(p) => p[axis] - low[axis], (p) => high[axis] - p[axis]]) {
      const from = kept;
      kept = [];
      from.forEach((b, k) => {
        const a = from[(k + from.length - 1) % from.length];
        const [u, v] = [inside(a), inside(b)];
        if (u < 0 !== v < 0) kept.push([a[0] + ((b[0] - a[0]) * u) / (u - v), a[1] + ((b[1] - a[1]) * u) / (u - v)]);
        if (v >= 0) kept.push(b);
      });
    }
  }
  return kept;
}

class Stage {
  constructor(three, track, gltf, colours) {
    this.three = three;
    this.track = track;
    this.colours = colours;
    this.scene = new three.Scene();
    this.level = new three.Group(); // turned so that gravity points down the picture
    this.level.matrixAutoUpdate = false;
    this.scene.add(this.level);
    this.scratch = [0, 1, 2, 3].map(() => new three.Vector3());
    this.addBodies(gltf);
    this.pivot = this.bodies[0].position.clone();
    const { azimuth } = track.facts;
    this.toward = new three.Vector3(Math.cos(azimuth), Math.sin(azimuth), 0); // who looks first
    this.labels = [];
  }

  // Build all that needs to know how far the run goes.
  furnish(reach, grid) {
    this.addFloor(reach, grid);
    this.places = this.track.facts.places.map((place) => this.addPlace(place));
    this.marks = new Marks(this.three, this.track.facts, this.colours);
    this.level.add(this.marks.group);
    this.rope = this.addRope();
    this.ghosts = null;
    if (!this.track.ghosts) return;
    this.ghosts = new Ghosts(this.three, this.track.facts.ghosts, this.track.ghosts, this.colours);
    this.level.add(this.ghosts.group);
  }

  // -- what is drawn --------------------------------------------------------------------------------------------

  addBodies(gltf) {
    const { three } = this;
    const world = gltf.scene.getObjectByName("world");
    world.quaternion.identity(); // here z is up
    this.level.add(world);
    this.bodies = this.track.facts.bodies.map((name) => world.getObjectByName(three.PropertyBinding.sanitizeNodeName(name)));
    const { drawn, slide } = paint(three, this.bodies, this.colours);
    this.slide = slide;
    [, this.edges] = drawn;
    this.boxes = this.bodies.map((body) => boxOf(three, body));
    this.scene.add(...drawn);
    this.mixer = new three.AnimationMixer(world);
    const action = this.mixer.clipAction(gltf.animations[0]);
    action.setLoop(three.LoopOnce);
    action.clampWhenFinished = true;
    action.play();
    this.last = gltf.animations[0].duration - 1e-4; // at its very end an action stops for good
  }

  flat(outline, colour, z, order, options = {}) {
    const { three } = this;
    const shape = new three.Shape(outline.map(([x, y]) => new three.Vector2(x, y)));
    const material = new three.MeshBasicMaterial({ color: colour, side: three.DoubleSide, ...options });
    const mesh = new three.Mesh(new three.ShapeGeometry(shape), material);
    mesh.position.z = z;
    mesh.renderOrder = order;
    mesh.frustumCulled = false;
    this.level.add(mesh);
    return mesh;
  }

  // Holes are left out of the floor where the stencil is set: places may lap over and come about at any time.
  addFloor(reach, grid) {
    const { three, track, colours } = this;
    const [[x0, y0], [x1, y1]] = reach;
    const step = grid;
    const low = [Math.floor((x0 - AROUND) / step) * step, Math.floor((y0 - AROUND) / step) * step];
    const high = [Math.ceil((x1 + AROUND) / step) * step, Math.ceil((y1 + AROUND) / step) * step];
    const open = { stencilWrite: true, stencilFunc: three.NotEqualStencilFunc, stencilRef: 1 };
    const { ramp } = track.facts;
    if (ramp) this.addRamp(low, high);
    else this.flat([low, [high[0], low[1]], high, [low[0], high[1]]], colours.floor, 0, -8, open);
    for (const [k, area] of track.facts.areas.entries()) {
      const outline = clipped(area.outline, low, high);
      if (area.kind !== "hole" && outline.length > 2) this.flat(outline, area.colour, 0.001 + 1e-4 * k, -7, open);
    }
    const points = [];
    for (let x = low[0]; x <= high[0] + 1e-6; x += step) points.push(...this.along([x, low[1]], [x, high[1]]));
    for (let y = low[1]; y <= high[1] + 1e-6; y += step) points.push(...this.along([low[0], y], [high[0], y]));
    const lines = new three.LineSegments(
      new three.BufferGeometry().setAttribute("position", new three.Float32BufferAttribute(points, 3)),
      new three.LineBasicMaterial({ color: colours.grid, ...open }),
    );
    lines.renderOrder = -6;
    this.level.add(lines);
    for (const { outline, height } of track.facts.raised) this.addRaised(clipped(outline, low, high), height);
  }

  height(x, y) {
    const { ramp } = this.track.facts;
    if (!ramp) return 0;
    const [rx, ry, c, s, steep, long] = ramp;
    return steep * Math.min(Math.max(c * (x - rx) + s * (y - ry), 0), long);
  }

  along(a, b) {
    const ramp = this.track.facts.ramp;
    const pieces = ramp ? 60 : 1;
    const points = [];
    for (let k = 0; k < pieces; k++) {
      for (const share of [k / pieces, (k + 1) / pieces]) {
        const [x, y] = [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];
        points.push(x, y, this.height(x, y) + 0.003);
      }
    }
    return points;
  }

  // The floor in strips square to the ramp, the ramp itself a little darker.
  addRamp(low, high) {
    const { three, colours } = this;
    const [rx, ry, c, s, , long] = this.track.facts.ramp;
    const far = Math.hypot(high[0] - low[0], high[1] - low[1]);
    for (const [from, to, colour] of [[-far, 0, colours.floor], [0, long, colours.ramp], [long, long + far, colours.floor]]) {
      const whole = [[from, -far], [to, -far], [to, far], [from, far]].map(([a, b]) => [rx + c * a - s * b, ry + s * a + c * b]);
      const corners = clipped(whole, low, high);
      if (corners.length < 3) continue;
      const points = corners.flatMap(([x, y]) => [x, y, this.height(x, y)]);
      const geometry = new three.BufferGeometry().setAttribute("position", new three.Float32BufferAttribute(points, 3));
      geometry.setIndex(corners.slice(2).flatMap((_, k) => [0, k + 1, k + 2]));
      const material = new three.MeshBasicMaterial({ color: colour, side: three.DoubleSide });
      const mesh = new three.Mesh(geometry, material);
      mesh.renderOrder = -8;
      this.level.add(mesh);
    }
    for (const at of [0, long]) this.edgeOfRamp(at, far, low, high);
  }

  // A line where the ramp begins or ends, so that it is not told by its colour alone.
  edgeOfRamp(at, far, low, high) {
    const { three } = this;
    const [rx, ry, c, s] = this.track.facts.ramp;
    const strip = [[at - 0.02, -far], [at + 0.02, -far], [at + 0.02, far], [at - 0.02, far]];
    const corners = clipped(strip.map(([a, b]) => [rx + c * a - s * b, ry + s * a + c * b]), low, high);
    if (corners.length < 3) return;
    const points = corners.flatMap(([x, y]) => [x, y, this.height(x, y) + 0.004]);
    const geometry = new three.BufferGeometry().setAttribute("position", new three.Float32BufferAttribute(points, 3));
    geometry.setIndex(corners.slice(2).flatMap((_, k) => [0, k + 1, k + 2]));
    const mesh = new three.Mesh(geometry, new three.MeshBasicMaterial({ color: this.colours.ink, side: three.DoubleSide }));
    mesh.renderOrder = -5;
    this.level.add(mesh);
  }

  addRaised(outline, height) {
    if (outline.length < 3) return;
    this.flat(outline, this.colours.raised, height, -5);
    this.level.add(this.walls(outline, this.colours.ink, height), this.rim(outline, height));
  }

  walls(outline, colour, z) {
    const { three } = this;
    const points = [];
    outline.forEach(([x, y], k) => {
      const [u, v] = outline[(k + 1) % outline.length];
      points.push(x, y, 0, u, v, 0, u, v, z, x, y, 0, u, v, z, x, y, z);
    });
    const geometry = new three.BufferGeometry().setAttribute("position", new three.Float32BufferAttribute(points, 3));
    return new three.Mesh(geometry, new three.MeshBasicMaterial({ color: colour, side: three.DoubleSide }));
  }

  rim(outline, z) {
    const { three } = this;
    const points = outline.map(([x, y]) => new three.Vector3(x, y, z + 0.004));
    return new three.LineLoop(
      new three.BufferGeometry().setFromPoints(points),
      new three.LineBasicMaterial({ color: this.colours.ink }),
    );
  }

  // A hole or soft place: a cap that keeps the floor out of it, walls and a bottom that go down with it, its rim.
  addPlace(place) {
    const { three, colours } = this;
    const inside = place.kind === "hole" ? colours.hole : colours.soft;
    const cap = this.flat(place.outline, 0xffffff, 0, -9, {
      colorWrite: false, depthWrite: false, stencilWrite: true, stencilRef: 1,
      stencilFunc: three.AlwaysStencilFunc, stencilZPass: three.ReplaceStencilOp,
    });
    const pit = new three.Group();
    const bottom = this.flat(place.outline, inside, -1, -5);
    bottom.material.color.lerp(new three.Color(colours.floor), 0.3);
    pit.add(this.walls(place.outline, inside, -1), bottom);
    const rim = this.rim(place.outline, 0);
    this.level.add(pit, rim);
    return { cap, pit, rim };
  }

  addRope() {
    const { three } = this;
    if (!this.track.has("hook")) return null;
    const geometry = new three.CylinderGeometry(0.02, 0.02, 1, 8).translate(0, 0.5, 0);
    const rope = new three.Mesh(geometry, new three.MeshBasicMaterial({ color: this.colours.ink }));
    rope.frustumCulled = false;
    this.level.add(rope);
    return rope;
  }

  // -- where it is at one time ----------------------------------------------------------------------------------

  // Move the bodies alone.
  move(time) {
    const { three, track } = this;
    this.mixer.setTime(Math.min(Math.max(time, 0), this.last));
    this.slide();
    const [up, z] = this.scratch;
    track.point("gravity", time, up).negate().normalize();
    const turn = new three.Quaternion().setFromUnitVectors(up, z.set(0, 0, 1));
    const shift = this.pivot.clone().sub(this.pivot.clone().applyQuaternion(turn));
    this.level.matrix.compose(shift, turn, new three.Vector3(1, 1, 1));
    this.level.updateMatrixWorld(true);
  }

  pose(time, size, system) {
    this.move(time);
    this.posePlaces(time);
    this.poseMarks(time, size, system);
    this.poseRope(time);
    if (this.ghosts?.group.visible) this.ghosts.pose(time);
  }

  posePlaces(time) {
    this.track.facts.places.forEach((place, k) => {
      const depth = Math.max(this.track.at(`depth.${k}`, time), 0);
      const { cap, pit, rim } = this.places[k];
      cap.visible = pit.visible = depth > 1e-4;
      pit.scale.z = Math.max(depth, 1e-4);
      rim.visible = place.planned || depth > 1e-4;
    });
  }

  poseMarks(time, size, system) {
    const { track, marks } = this;
    const fallen = track.at("fallen", time) > 0.5;
    const [left, contact, a, b] = this.scratch;
    left.set(0, 1, 0).applyQuaternion(this.bodies[0].quaternion).setZ(0);
    if (left.length() > 0.2) left.normalize();
    track.facts.tyres.forEach((tyre, k) => {
      const arrow = marks.arrows[k];
      track.point(`contact.${k}`, time, contact);
      arrow.foot.copy(contact).addScaledVector(left, tyre.aside);
      arrow.foot.z = this.height(arrow.foot.x, arrow.foot.y);
      arrow.load = track.at(`load.${k}`, time);
      arrow.shown = !fallen && arrow.load > 0;
      marks.poseArrow(arrow, Math.max(arrow.load, 0) / track.facts.arrow[system], size);
    });
    track.facts.lines.forEach((line, k) => {
      const mark = marks.lines[k];
      track.point(`ends.${k}`, time, a);
      track.point(`ends.${k}`, time, b, 3);
      const long = a.distanceTo(b);
      mark.shown = Number.isFinite(long) && long > 1e-6;
      const over = line.swing || !mark.shown ? 0 : BEYOND / long;
      mark.ends[0].copy(a).addScaledVector(b, -over).addScaledVector(a, over);
      mark.ends[1].copy(b).addScaledVector(a, -over).addScaledVector(b, over);
      marks.poseLine(mark, 0.11 * size);
    });
    this.poseForces(time, size);
    track.point("balance", time, marks.balance.at);
    marks.balance.shown = Number.isFinite(marks.balance.at.x + marks.balance.at.y);
    marks.poseBalance(size);
    marks.posed();
  }

  // Pushes and wind end where they meet the truck; before it lies, on the floor, which way that falls.
  poseForces(time, size) {
    const { track, marks } = this;
    marks.pushes.forEach((push, k) => {
      track.point(`force.${k}`, time, push.way);
      push.load = push.way.length();
      push.shown = push.load > 1;
      if (push.shown) push.way.divideScalar(push.load);
      const long = push.load / track.facts.force_scale;
      track.point(`point.${k}`, time, push.foot).addScaledVector(push.way, -long);
      marks.poseArrow(push, long, size);
    });
    const { fall } = marks;
    fall.slope = track.at("slope", time);
    fall.shown = this.layFall(time, fall);
    marks.poseArrow(fall, FALL, size);
  }

  // Lay an arrow along the floor's fall beside truck and load, on the side from which one looks first, so that they hide it
  // from there no more than from above. Whether the floor falls at all.
  layFall(time, { way, foot }) {
    const { three, track } = this;
    if (!(track.at("slope", time) > LEVEL)) return false;
    track.point("gravity", time, way).setZ(0).normalize();
    const [frame] = this.bodies;
    const aside = new three.Vector3(0, 1, 0).applyQuaternion(frame.quaternion).setZ(0).normalize();
    if (aside.dot(this.toward) < 0) aside.negate();
    const corner = new three.Vector3();
    const out = (body) => (own) => corner.copy(own).applyQuaternion(body.quaternion).add(body.position).sub(frame.position).dot(aside);
    const reach = Math.max(...this.bodies.flatMap((body, k) => this.boxes[k].map(out(body))));
    foot.copy(frame.position).addScaledVector(aside, reach + FALL_CLEAR + (Math.abs(way.dot(aside)) * FALL) / 2);
    foot.addScaledVector(way, -FALL / 2);
    foot.z = this.height(foot.x, foot.y) + 0.1;
    return true;
  }

  // The part of the ramp that is nearest to the truck, on the side from which one looks first.
  onRamp(out) {
    const [rx, ry, c, s, , long] = this.track.facts.ramp;
    const { x, y } = this.bodies[0].position;
    const along = Math.min(Math.max(c * (x - rx) + s * (y - ry), Math.min(0.5, long / 2)), Math.max(long - 0.5, long / 2));
    const aside = c * (y - ry) - s * (x - rx) + (this.track.facts.look[1] >= 0 ? 1.8 : -1.8);
    out.set(rx + c * along - s * aside, ry + s * along + c * aside, 0);
    return out.setZ(this.height(out.x, out.y));
  }

  // Where a part of the floor is pointed at: near the truck and on the side from which one looks first, where truck and load
  // hide it least. Null where none of it is near, unless it is to be found `anywhere`.
  spotOn(outline, out, anywhere = false) {
    const { x, y } = this.bodies[0].position;
    const within = [BESIDE, NEAR].map((far) => clipped(outline, [x - far, y - far], [x + far, y + far]));
    const corners = [...within, anywhere ? outline : []].find((part) => part.length > 2);
    if (!corners) return null;
    const mean = [0, 1].map((axis) => corners.reduce((sum, corner) => sum + corner[axis], 0) / corners.length);
    const towards = ([u, v]) => u * this.toward.x + v * this.toward.y;
    const corner = corners.reduce((a, b) => (towards(b) > towards(a) ? b : a));
    const [u, v] = corner.map((value, axis) => value + INWARD * (mean[axis] - value));
    return out.set(u, v, this.height(u, v));
  }

  poseRope(time) {
    if (!this.rope) return;
    const [top, low, y] = this.scratch;
    this.track.point("hook", time, top);
    this.track.point("load_top", time, low);
    this.rope.visible = Number.isFinite(top.x + low.x);
    if (!this.rope.visible) return;
    const way = low.clone().sub(top);
    this.rope.position.copy(top);
    this.rope.scale.set(1, way.length(), 1);
    this.rope.quaternion.setFromUnitVectors(y.set(0, 1, 0), way.normalize());
  }
}
