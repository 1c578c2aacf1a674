/* Dragging on the drawings: grips stand where the last answer said, and move with the pointer until the next one. */
(() => {
  const WAIT = 60; // [ms] between two values that are told while one drags
  const grips = new Map();
  const watch = new ResizeObserver(() => grips.forEach(place));
  const seen = {}; // the last view of each drawing: metres to pixels
  const LAYERS = { side: "#grips", plan: "#grips-above" };
  let held = []; // what is being dragged: grip, its value, and where and at what scale it was taken
  const later = { key: new Map(), timer: 0 };

  const make = (tag, of, inside = "") => Object.assign(document.createElement(tag), { className: of, textContent: inside });
  const look = (view) => {
    const drawing = document.querySelector(`#${view}`);
    if (drawing) seen[view] = drawing.getScreenCTM();
    return seen[view];
  };
  const near = (value) => Number(value.toFixed(3));
  // what is typed for a value: of a place its own words, in the plane both figures
  const typed = ({ said }, value) => {
    if (said.along === "places") return said.texts[value];
    if (said.along === "plane") return value.map((part) => `${near(part)} ${said.unit}`).join(" x ");
    return `${value} ${said.unit}`.trim();
  };
  const words = (grip, value) => {
    const said = grip.said;
    if (said.along === "places" || said.along === "plane") return typed(grip, value);
    return `${Number(value.toFixed(2))} ${said.unit}`.trim();
  };
  const nearest = (stops, value) =>
    stops.reduce((best, stop, place) => (Math.abs(stop - value) < Math.abs(stops[best] - value) ? place : best), 0);

  const where = ({ said, value }) => {
    if (said.along === "places") return said.places[value];
    if (said.along === "plane") return value.map((part) => part * said.per);
    const moved = (value - said.now) * said.per;
    return [said.x + (said.along === "x" ? moved : 0), said.z + (said.along === "z" ? moved : 0)];
  };
  const place = (grip) => {
    const [map, said] = [look(grip.said.view), grip.said];
    if (!map) return;
    const [x, z] = where(grip);
    const pane = grip.node.parentElement.getBoundingClientRect();
    grip.node.style.left = `${map.a * x + map.e - pane.left}px`;
    grip.node.style.top = `${map.f - map.d * z - pane.top}px`;
  };
  const paint = (grip) => {
    const [node, said] = [grip.node, grip.said];
    const text = words(grip, grip.value);
    const flat = said.along === "plane"; // told to a reader by its first figure, and by both in words
    node.setAttribute("aria-valuemin", flat ? said.ends[0] : said.stops[0]);
    node.setAttribute("aria-valuemax", flat ? said.ends[2] : said.stops[said.stops.length - 1]);
    node.setAttribute("aria-valuenow", flat ? grip.value[0] : grip.value);
    node.dataset.mark = said.mark;
    node.setAttribute("aria-valuetext", text);
    node.querySelector(".tag").textContent = `${said.label} ${text}`;
    node.querySelectorAll("b").forEach((slab) => slab.classList.toggle("on", Number(slab.dataset.slab) < grip.value));
    place(grip);
  };
  const grown = (data) => {
    const node = make("div", `grip ${data.along}`);
    for (const [name, value] of Object.entries({ role: "slider", tabindex: 0, "aria-label": data.label, "aria-describedby": "drag-hint", "aria-orientation": data.along === "x" ? "horizontal" : "vertical" }))
      node.setAttribute(name, value);
    node.dataset.grip = data.key;
    if (data.along === "stack")
      for (let slab = data.stops.length - 2; slab >= 0; slab--) {
        const key = make("b", "", String(slab + 1));
        key.dataset.slab = slab;
        key.setAttribute("aria-hidden", "true");
        node.append(key);
      }
    const tag = make("span", "tag");
    tag.setAttribute("aria-hidden", "true");
    node.append(tag);
    document.querySelector(LAYERS[data.view]).append(node);
    return { node };
  };

  bench.grips = (list) => {
    Object.values(LAYERS).forEach((layer) => watch.observe(document.querySelector(layer)));
    const own = (data) => `${data.view} ${data.key} ${data.stops.length}`;
    const keys = new Set(list.map(own));
    for (const [key, grip] of grips)
      if (!keys.has(key) && !held.some((hold) => hold.grip === grip)) {
        grip.node.remove();
        grips.delete(key);
      }
    for (const data of list) {
      const key = own(data);
      const grip = grips.get(key) || grown(data);
      grips.set(key, grip);
      grip.said = data;
      if (bench.fresh(data.key) || grip.value === undefined) grip.value = data.along === "plane" ? [data.now, data.aside] : data.now;
      paint(grip);
    }
  };

  const flush = () => {
    const pending = [...later.key];
    later.key.clear();
    later.timer = pending.length ? setTimeout(flush, WAIT) : 0;
    pending.forEach(([key, text]) => bench.set(key, text));
  };
  const put = (grip, value) => {
    if (String(value) === String(grip.value)) return;
    grip.value = value;
    bench.ahead(grip.said.key);
    paint(grip);
    later.key.set(grip.said.key, typed(grip, value));
    if (!later.timer) flush();
  };
  const move = (grip, place) => put(grip, grip.said.stops[Math.max(0, Math.min(grip.said.stops.length - 1, place))]);
  const shift = (grip, from, by) => { // in the plane: to whole steps, within the ends
    const said = grip.said;
    put(grip, from.map((part, axis) => {
      const whole = by[axis] ? near(Math.round((part + by[axis]) / said.step) * said.step) : part;
      return Math.max(said.ends[axis], Math.min(said.ends[axis + 2], whole));
    }));
  };

  const footOf = (grip) => [...grip.node.querySelectorAll("b")].pop()?.getBoundingClientRect();
  document.addEventListener("pointerdown", (event) => {
    const taken = event.target.closest("[data-grip]");
    if (!taken || event.button !== 0) return;
    if (event.pointerType === "touch" && !taken.classList.contains("grip")) return; // a finger there scrolls the page
    const keys = taken.dataset.grip.split(" ");
    const own = [...grips.values()].filter((grip) => keys.includes(grip.said.key));
    const map = own.length && look(own[0].said.view);
    if (!map) return;
    event.preventDefault();
    own[0].node.focus({ preventScroll: true });
    own[0].node.setPointerCapture(event.pointerId);
    // an answer can make the head of the page a line higher, and the drawing smaller: a drag goes on as it was begun
    const start = { x: event.clientX, z: event.clientY, across: map.a, up: map.d };
    held = own.map((grip) => ({ grip, start, value: grip.value, at: where(grip), slab: event.target.dataset.slab, foot: footOf(grip) }));
    own.forEach((grip) => grip.node.classList.add("held"));
    held.filter((hold) => hold.slab !== undefined).forEach((hold) => {
      const slab = Number(hold.slab);
      move(hold.grip, slab < hold.grip.value ? slab : slab + 1);
    });
  });
  document.addEventListener("pointermove", (event) => {
    for (const { grip, start, value, at, foot } of held) {
      const said = grip.said;
      if (said.along === "stack") {
        const count = Math.round((foot.bottom - event.clientY) / foot.height);
        if (Math.abs(start.z - event.clientY) > 0.6 * foot.height) move(grip, count);
      } else {
        const moved = { x: (event.clientX - start.x) / start.across, z: (start.z - event.clientY) / start.up };
        if (said.along === "plane") shift(grip, value, [moved.x / said.per, moved.z / said.per]);
        else if (said.along === "places") {
          const off = said.places.map(([x, z]) => Math.hypot(x - at[0] - moved.x, z - at[1] - moved.z));
          move(grip, off.indexOf(Math.min(...off)));
        } else move(grip, nearest(said.stops, value + moved[said.along] / said.per));
      }
    }
  });
  const drop = () => {
    held.forEach(({ grip }) => grip.node.classList.remove("held"));
    held = [];
    if (later.timer) {
      clearTimeout(later.timer);
      flush();
    }
  };
  document.addEventListener("pointerup", drop);
  document.addEventListener("pointercancel", drop);

  const STEPS = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 5, PageDown: -5, Home: -1e6, End: 1e6 };
  document.addEventListener("keydown", (event) => {
    const node = event.target.closest(".grip");
    const step = STEPS[event.key];
    if (!node || !step) return;
    event.preventDefault();
    const grip = [...grips.values()].find((other) => other.node === node);
    if (grip.said.along === "plane") {
      const by = step * grip.said.step;
      if (Math.abs(step) < 1e6) shift(grip, grip.value, /Left|Right/.test(event.key) ? [by, 0] : [0, by]);
      return;
    }
    const here = nearest(grip.said.stops, grip.value);
    const off = grip.said.stops[here] - grip.value; // typed between two stops: the first step goes to the next one
    const first = Math.abs(step) < 1e6 && off * step > 1e-9 ? here : here + step;
    move(grip, first);
  });
})();
