// The pictures of all runs on the page, beside each other on one canvas: same clock, same camera.

const LEAST = 30; // pictures a second that are aimed at
const GRAINS = [1, 0.8, 0.65]; // how coarse they may become for it
const JUDGED = 20; // pictures by which that is judged: a new grain costs a picture itself
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
    this.coarse = 0;
    this.passed = [];
    this.gl.autoClear = false;
    this.gltfs = gltfs;
    this.made = new Map(); // a stage a run, and cameras for each set of runs that was shown
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
  }

  // Show these runs beside each other.
  show(runs) {
    const { page } = this;
    const { three } = this.lib;
    this.stages = runs.map((run) => {
      if (!this.made.has(run)) this.made.set(run, new Stage(three, page.all[run], this.gltfs[run], page.colours));
      return this.made.get(run);
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
    this.head = bottomOf("cameras", "names");
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
    this.gl.setScissorTest(true);
    this.stages.forEach((stage, run) => {
      const now = Math.min(time, stage.track.end);
      stage.move(now);
      this.cameras.aim(now, { width: part, height, head: this.head, foot: this.foot }, stage, this.controls);
      const size = this.cameras.markSize(this.controls);
      if (stage.ghosts) stage.ghosts.group.visible = this.page.spreads();
      stage.pose(now, size, this.page.say.system);
      this.gl.setViewport(run * part, 0, part, height);
      this.gl.setScissor(run * part, 0, part, height);
      this.gl.clear();
      this.gl.render(stage.scene, this.cameras.camera);
      const frame = [run * part, (run + 1) * part, this.head, height - this.foot];
      this.labels[run].show(this.wanted(stage, now, run * part, part, height), frame, fresh);
    });
  }

  // Where the processor draws alone and cannot keep up, pictures are drawn coarser while they move.
  adapt() {
    const now = performance.now();
    const passed = now - (this.drawn ?? now);
    this.drawn = now;
    if (!isSlow) return;
    if (!this.page.playing) this.coarsen(0);
    else if (passed < 500) {
      this.passed.push(passed);
      if (this.passed.length < JUDGED) return;
      const slow = this.passed.sort((a, b) => a - b)[JUDGED / 2] > 1000 / LEAST;
      this.passed = [];
      if (slow) this.coarsen(Math.min(this.coarse + 1, GRAINS.length - 1));
    }
  }

  coarsen(step) {
    if (step === this.coarse) return;
    this.coarse = step;
    this.gl.setPixelRatio(GRAINS[step]);
  }

  // Where a point of a stage's own world is on the page, in pixels.
  spot(stage, point, left, width, height) {
    this.point.copy(point).applyMatrix4(stage.level.matrix).project(this.cameras.camera);
    const behind = this.point.z > 1;
    const inside = Math.abs(this.point.x) < 1.1;
    return behind || !inside ? null : [left + ((this.point.x + 1) / 2) * width, ((1 - this.point.y) / 2) * height];
  }

  wanted(stage, time, left, width, height) {
    const { page } = this;
    const { facts } = stage.track;
    const ink = page.colours.ink;
    const list = [];
    const add = (key, text, point, colour, kind) => {
      const at = this.spot(stage, point, left, width, height);
      if (at) list.push({ key, text, x: at[0], y: at[1], colour, kind });
    };
    const standing = stage.arrows.filter((arrow) => arrow.both.visible);
    const lightest = Math.min(...standing.map((arrow) => arrow.load));
    stage.arrows.forEach((arrow, k) => {
      const light = arrow.load === lightest;
      if (!arrow.both.visible || (page.largeType() && !light)) return;
      const text = page.say.quantity("force", arrow.load) + (light ? ", lightest" : "");
      add(`tyre ${k}`, text, arrow.tip, ink, light ? "tyre light" : "tyre");
    });
    facts.places.forEach((place, k) => {
      const depth = stage.track.at(`depth.${k}`, time);
      if (depth <= SHOWN / 10) return;
      const text = `${page.say.text(place.name)}, ${page.say.quantity("short", depth)} deep`;
      add(`place ${k}`, text, stage.places[k].near, page.colours.hole, "place");
    });
    if (page.largeType()) return list;
    if (stage.balance.visible) add("balance", "balance point", stage.balance.position, ink, "plain");
    facts.lines.forEach((line, k) => {
      if (line.swing || !stage.lines[k].both.visible) return;
      add(`line ${k}`, `${line.side} tip line`, stage.lines[k].ends[0], line.colour, "plain");
    });
    if (stage.track.has("rope") && stage.rope?.visible && Math.abs(stage.track.at("rope", time)) < 1) {
      add("rope", "rope slack", stage.track.point("hook", time, this.point).clone(), ink, "plain");
    }
    return list;
  }
}

// How far down what stands at the upper edge of the picture reaches [pixels].
function bottomOf(...ids) {
  const shown = ids.flatMap((id) => [...document.getElementById(id).children]);
  return Math.max(0, ...shown.map((one) => (one.offsetHeight ? one.offsetTop + one.offsetHeight + one.offsetParent.offsetTop : 0)));
}

// Whether pictures are drawn by the processor alone, where smoothed edges cost half the frames.
function isSoftware() {
  const gl = document.createElement("canvas").getContext("webgl");
  const told = gl?.getExtension("WEBGL_debug_renderer_info");
  const name = told ? String(gl.getParameter(told.UNMASKED_RENDERER_WEBGL)) : "";
  gl?.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|basic render|software/i.test(name);
}

function canDraw() {
  const gl = document.createElement("canvas").getContext("webgl2");
  gl?.getExtension("WEBGL_lose_context")?.loseContext();
  return Boolean(gl);
}
