// The pictures of all runs on the page, beside each other on one canvas: same clock, same camera.

const LEAST = 30; // pictures a second that are aimed at
const AMPLE = 50; // more than are needed: the next play begins finer
// How coarse they may become for it while they move: points for each of the page's across, and whether all lines are drawn.
const GRAINS = [[1, true], [0.8, true], [0.65, true], [0.65, false], [0.5, false]];
const JUDGED = 15; // pictures by which that is judged: a new grain costs a picture itself
const RESTS = 150; // so long after the last change a picture is drawn fine again [ms]
const NARROW = 320; // a picture with less has as few words as one for the back of a room [pixels]
const isSlow = isSoftware();

class Pictures {
  constructor(lib, page, gltfs) {
    const { three } = (this.lib = { three: lib.THREE, controls: lib.OrbitControls });
    three.ColorManagement.enabled = false; // colours go to the screen as they are
    this.page = page;
    this.canvas = page.find("view");
    // Without alpha and on whole pixels: else a browser that draws by software blends the whole picture once more.
    const context = this.canvas.getContext("webgl2", { alpha: false, antialias: !isSlow, stencil: true });
    this.gl = new three.WebGLRenderer({ canvas: this.canvas, context });
    this.gl.setPixelRatio(isSlow ? 1 : page.sharp());
    this.gl.outputColorSpace = three.LinearSRGBColorSpace;
    this.coarse = 0; // now, and what was needed when pictures last moved
    this.needed = 0;
    this.passed = [];
    this.gl.autoClear = false;
    this.gl.setClearColor(page.colours.sky); // by this, once a picture: a scene with a background clears a second time
    this.gltfs = gltfs;
    this.stageOf = new Map(); // by run; and cameras by the runs that are shown beside each other
    this.aimed = new Map();
    this.name = "overview";
    this.show(page.data.shown);
    this.controls = new this.lib.controls(this.cameras.camera, this.canvas);
    this.controls.enableDamping = false;
    this.controls.maxPolarAngle = Math.PI / 2 - 0.02;
    this.controls.addEventListener("start", () => {
      this.cameras.free = true;
      this.cameras.camera.up.set(0, 0, 1);
      page.showView();
    });
    this.controls.addEventListener("change", () => (page.stale = true));
    this.labels = [0, 1].map(() => new Labels(page.find("labels")));
    new ResizeObserver(() => (page.stale = page.late = true)).observe(this.canvas.parentElement);
    this.resize();
    this.point = new three.Vector3();
    this.leaders = new Leaders(three, page.colours.ink);
  }

  // Show these runs beside each other.
  show(runs) {
    const { page } = this;
    const { three } = this.lib;
    this.stages = runs.map((run) => {
      if (!this.stageOf.has(run)) this.stageOf.set(run, new Stage(three, page.all[run], this.gltfs[run], page.colours));
      return this.stageOf.get(run);
    });
    const key = runs.join(" ");
    if (!this.aimed.has(key)) this.aimed.set(key, new Cameras(three, this.stages));
    this.cameras = this.aimed.get(key);
    for (const stage of this.stages) {
      if (!stage.places) stage.furnish(this.cameras.reach, page.all[0].facts.grid[page.say.system]);
    }
    this.cameras.choose(this.name);
    if (this.controls) this.controls.object = this.cameras.camera;
  }

  resize() {
    this.head = bottomOf(this.canvas.parentElement, "cameras", "names");
    this.foot = this.page.find("outlines").offsetHeight;
    const box = this.canvas.parentElement.getBoundingClientRect();
    const [left, top] = [Math.ceil(box.left), Math.ceil(box.top)];
    this.canvas.style.left = `${left - box.left}px`;
    this.canvas.style.top = `${top - box.top}px`;
    const size = [Math.max(Math.floor(box.right) - left, 2), Math.max(Math.floor(box.bottom) - top, 2)];
    if (size.join() === this.size?.join()) return;
    this.size = size;
    this.gl.setSize(...this.size);
  }

  choose(name) {
    this.name = name;
    this.cameras.choose(name);
  }

  // From the seat one sees what the driver does: no marks and no words.
  seated() {
    return this.cameras.name === "seat" && !this.cameras.free;
  }

  viewed() {
    return this.cameras.free ? "" : this.cameras.name;
  }

  reword() {
    for (const labels of this.labels) labels.clear(); // those of a second run, which may be shown no more, too
    for (const labels of this.labels) labels.type = `${this.page.say.system} ${this.page.largeType()}`;
  }

  draw(time, fresh) {
    this.adapt();
    if (fresh) this.resize();
    const [width, height] = this.size;
    const part = width / this.stages.length;
    this.gl.setScissorTest(false);
    this.gl.clear();
    this.gl.setScissorTest(true);
    this.stages.forEach((stage, run) => {
      const now = Math.min(time, stage.track.end);
      stage.move(now);
      this.cameras.aim(now, { width: part, height, head: this.head, foot: this.foot }, stage, this.controls);
      const size = this.cameras.markSize(this.controls);
      if (stage.ghosts) stage.ghosts.group.visible = this.page.spreads();
      stage.pose(now, size, this.page.say.system);
      stage.marks.group.visible = !this.seated();
      this.gl.setViewport(run * part, 0, part, height);
      this.gl.setScissor(run * part, 0, part, height);
      this.gl.render(stage.scene, this.cameras.camera);
      const frame = [run * part, (run + 1) * part, this.head, height - this.foot];
      const wanted = this.wanted(stage, now, run * part, part, height);
      const lines = this.labels[run].show(wanted, frame, this.reach(stage, wanted, run * part, part, height), fresh);
      this.leaders.draw(this.gl, lines, run * part, part, height);
    });
  }

  // Where the processor draws alone and cannot keep up, pictures are drawn coarser while they move.
  adapt() {
    const now = performance.now();
    const passed = now - (this.drawn ?? -Infinity);
    this.drawn = now;
    if (!isSlow) return;
    const moves = this.page.playing || passed < RESTS;
    if (!moves) this.passed = [];
    else if (passed < 500) this.judge(passed);
    this.coarsen(moves ? this.needed : 0);
  }

  judge(passed) {
    this.passed.push(passed);
    if (this.passed.length < JUDGED) return;
    this.usual = this.passed.sort((a, b) => a - b)[JUDGED >> 1];
    this.passed = [];
    if (this.usual > 1000 / LEAST) this.needed = Math.min(this.needed + 1, GRAINS.length - 1);
  }

  // Whether what was drawn coarser has come to rest, and is to be drawn fine once more.
  rests() {
    if (!this.coarse || this.page.playing || performance.now() - this.drawn < RESTS) return false;
    if (this.usual < 1000 / AMPLE) this.needed = Math.max(this.needed - 1, 0);
    return true;
  }

  coarsen(step) {
    for (const stage of this.stages) {
      stage.edges.visible = GRAINS[step][1];
      stage.ghosts?.thin(!GRAINS[step][1]);
    }
    if (step === this.coarse) return;
    this.coarse = step;
    this.gl.setPixelRatio(GRAINS[step][0]);
  }

  // Where a point of a stage's own world is on the page, in pixels.
  spot(stage, point, left, width, height) {
    this.point.copy(point).applyMatrix4(stage.level.matrix).project(this.cameras.camera);
    const behind = this.point.z > 1;
    const inside = Math.abs(this.point.x) < 1.1;
    return behind || !inside ? null : [left + ((this.point.x + 1) / 2) * width, ((1 - this.point.y) / 2) * height];
  }

  // From where to where the truck and all arrows reach across, as high up as there are words, and where
  // the middle of the truck is [pixels].
  reach(stage, wanted, left, width, height) {
    const highest = Math.min(...wanted.map(({ y }) => y)) - 0.1 * height;
    let [from, to] = [Infinity, -Infinity];
    stage.bodies.forEach((body, k) => {
      const corners = stage.boxes[k].map((corner) => {
        this.point.copy(corner).applyMatrix4(body.matrixWorld).project(this.cameras.camera);
        return [left + ((this.point.x + 1) / 2) * width, ((1 - this.point.y) / 2) * height];
      });
      if (!corners.some(([, y]) => y > highest)) return;
      from = Math.min(from, ...corners.map(([x]) => x));
      to = Math.max(to, ...corners.map(([x]) => x));
    });
    const middle = (from + to) / 2;
    const { arrows, pushes, fall } = stage.marks;
    const ends = [...arrows, ...pushes, fall].filter(({ shown }) => shown).flatMap(({ foot, tip }) => [foot, tip]);
    for (const [x] of ends.map((end) => this.spot(stage, end, left, width, height)).filter(Boolean)) {
      [from, to] = [Math.min(from, x - CLEAR), Math.max(to, x + CLEAR)];
    }
    return [Math.max(from, left), Math.min(to, left + width), middle];
  }

  // What moves the truck and has no place in the floor: pushes, wind, the fall of the floor, a ramp.
  addCauses(stage, add) {
    const { say, colours } = this.page;
    const { facts } = stage.track;
    const { pushes, fall } = stage.marks;
    pushes.forEach((push, k) => {
      if (push.shown) add(`push ${k}`, `${facts.forces[k]}, ${say.quantity("force", push.load)}`, push.foot, colours.ink, "place");
    });
    if (fall.shown) add("fall", `the floor falls ${say.quantity("slope", fall.slope)}`, fall.foot, colours.ink, "place");
    if (facts.ramp) add("ramp", say.text(facts.ramp_words), stage.onRamp(this.point), colours.ink, "place");
  }

  // Parts of the floor and what stands out of it, by name, unless a place in it is named already.
  addParts(stage, named, add) {
    const { say, colours } = this.page;
    const { areas, raised } = stage.track.facts;
    areas.forEach((area, k) => {
      const spot = named.has(say.text(area.name)) ? null : stage.spotOn(area.outline, this.point);
      if (spot) add(`area ${k}`, say.text(area.name), spot, colours.ink, "plain");
    });
    raised.forEach(({ outline, height }, k) => {
      const spot = stage.spotOn(outline, this.point);
      if (spot) add(`raised ${k}`, `threshold, ${say.depth(height)} high`, spot.setZ(height), colours.ink, "place");
    });
  }

  wanted(stage, time, left, width, height) {
    const { page } = this;
    if (this.seated()) return [];
    const few = page.largeType() || width < NARROW;
    const { facts } = stage.track;
    const ink = page.colours.ink;
    const list = [];
    const add = (key, text, point, colour, kind) => {
      const at = this.spot(stage, point, left, width, height);
      if (at) list.push({ key, text, x: at[0], y: at[1], colour, kind });
    };
    const { arrows, balance, lines } = stage.marks;
    const fallen = stage.track.at("fallen", time) > 0.5;
    const least = page.say.quantity("force", Math.max(Math.min(...arrows.map((arrow) => arrow.load)), 0));
    arrows.forEach((arrow, k) => {
      const load = page.say.quantity("force", Math.max(arrow.load, 0));
      const light = load === least; // as read: of two that read the same both are
      if (fallen || (few && !light)) return;
      const text = arrow.shown ? load + (light ? ", lightest" : "") : "off the floor";
      add(`tyre ${k}`, text, arrow.tip, ink, light ? "tyre light" : "tyre");
    });
    facts.places.forEach((place, k) => {
      const depth = stage.track.at(`depth.${k}`, time);
      if (depth <= SHOWN / 10) return;
      const text = `${page.say.text(place.name)}, ${page.say.depth(depth)} deep`;
      add(`place ${k}`, text, stage.spotOn(place.outline, this.point, true), page.colours.hole, "place");
    });
    this.addCauses(stage, add);
    if (few) return list;
    this.addParts(stage, new Set(list.filter(({ kind }) => kind === "place").map(({ text }) => text.split(",")[0])), add);
    if (balance.shown) add("balance", "balance point", balance.at, ink, "plain");
    facts.lines.forEach((line, k) => {
      if (line.swing || !lines[k].shown) return;
      add(`line ${k}`, `${line.side} tip line`, lines[k].ends[0], line.colour, "plain");
    });
    if (stage.track.has("rope") && stage.rope?.visible && Math.abs(stage.track.at("rope", time)) < 1) {
      add("rope", "rope slack", stage.track.point("hook", time, this.point).clone(), ink, "plain");
    }
    return list;
  }
}

// Lines from words to their points, in pixels over the picture.
class Leaders {
  constructor(three, colour) {
    this.scene = new three.Scene();
    this.camera = new three.OrthographicCamera(0, 1, 0, 1, -1, 1);
    this.points = new three.BufferAttribute(new Float32Array(3 * 2 * 40), 3);
    const shape = new three.BufferGeometry().setAttribute("position", this.points);
    this.lines = new three.LineSegments(shape, new three.LineBasicMaterial({ color: colour, depthTest: false }));
    this.lines.frustumCulled = false;
    this.scene.add(this.lines);
  }

  // `ends`: x and y of both ends of each.
  draw(gl, ends, left, width, height) {
    const count = Math.min(ends.length / 2, this.points.count);
    if (!count) return;
    for (let k = 0; k < count; k++) this.points.setXYZ(k, ends[2 * k], ends[2 * k + 1], 0);
    this.points.needsUpdate = true;
    this.lines.geometry.setDrawRange(0, count);
    Object.assign(this.camera, { left, right: left + width, top: 0, bottom: height });
    this.camera.updateProjectionMatrix();
    gl.render(this.scene, this.camera);
  }
}

// How far down what stands at the upper edge of the picture reaches [pixels].
function bottomOf(stage, ...ids) {
  const top = stage.getBoundingClientRect().top;
  const shown = ids.flatMap((id) => [...document.getElementById(id).children]).filter((element) => element.offsetHeight);
  return Math.max(0, ...shown.map((element) => element.getBoundingClientRect().bottom - top));
}

// Whether pictures are drawn by the processor alone, where smoothed edges cost half the frames.
function isSoftware() {
  const gl = document.createElement("canvas").getContext("webgl");
  const names = gl?.getExtension("WEBGL_debug_renderer_info");
  const name = names ? String(gl.getParameter(names.UNMASKED_RENDERER_WEBGL)) : "";
  gl?.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|basic render|software/i.test(name);
}

function canDraw() {
  const gl = document.createElement("canvas").getContext("webgl2");
  gl?.getExtension("WEBGL_lose_context")?.loseContext();
  return Boolean(gl);
}
