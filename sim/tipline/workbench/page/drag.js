/* Dragging on the side view: grips stand where the last answer said, and move with the pointer until the next one. */
(() => {
  const WAIT = 60; // [ms] between two values that are told while one drags
  const grips = new Map();
  const watch = new ResizeObserver(() => grips.forEach(place));
  let seen = null; // the last view of the drawing: metres to pixels
  let held = []; // what is being dragged: grip, its value, and where and at what scale it was taken
  const later = { key: new Map(), timer: 0 };

  const make = (tag, of, inside = "") => Object.assign(document.createElement(tag), { className: of, textContent: inside });
  const look = () => {
    const side = document.querySelector("#side");
    if (side) seen = side.getScreenCTM();
    return seen;
  };
  const words = (grip, value) => `${Number(value.toFixed(2))} ${grip.said.unit}`.trim();
  const nearest = (stops, value) =>
    stops.reduce((best, stop, place) => (Math.abs(stop - value) < Math.abs(stops[best] - value) ? place : best), 0);

  const place = (grip) => {
    const [map, said] = [look(), grip.said];
    if (!map) return;
    const moved = (grip.value - said.now) * said.per;
    const x = said.x + (said.along === "x" ? moved : 0);
    const z = said.z + (said.along === "z" ? moved : 0);
    const pane = grip.node.parentElement.getBoundingClientRect();
    grip.node.style.left = `${map.a * x + map.e - pane.left}px`;
    grip.node.style.top = `${map.f - map.d * z - pane.top}px`;
  };
  const paint = (grip) => {
    const [node, said] = [grip.node, grip.said];
    const text = words(grip, grip.value);
    node.setAttribute("aria-valuemin", said.stops[0]);
    node.setAttribute("aria-valuemax", said.stops[said.stops.length - 1]);
    node.setAttribute("aria-valuenow", grip.value);
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
    document.querySelector("#grips").append(node);
    return { node };
  };

  bench.grips = (list) => {
    watch.observe(document.querySelector("#grips"));
    const keys = new Set(list.map((data) => `${data.key} ${data.stops.length}`));
    for (const [key, grip] of grips)
      if (!keys.has(key) && !held.some((hold) => hold.grip === grip)) {
        grip.node.remove();
        grips.delete(key);
      }
    for (const data of list) {
      const key = `${data.key} ${data.stops.length}`;
      const grip = grips.get(key) || grown(data);
      grips.set(key, grip);
      grip.said = data;
      if (bench.fresh(data.key) || grip.value === undefined) grip.value = data.now;
      paint(grip);
    }
  };

  const flush = () => {
    const pending = [...later.key];
    later.key.clear();
    later.timer = pending.length ? setTimeout(flush, WAIT) : 0;
    pending.forEach(([key, text]) => bench.set(key, text));
  };
  const move = (grip, place) => {
    const value = grip.said.stops[Math.max(0, Math.min(grip.said.stops.length - 1, place))];
    if (value === grip.value) return;
    grip.value = value;
    bench.ahead(grip.said.key);
    paint(grip);
    later.key.set(grip.said.key, `${value} ${grip.said.unit}`.trim());
    if (!later.timer) flush();
  };

  const footOf = (grip) => [...grip.node.querySelectorAll("b")].pop()?.getBoundingClientRect();
  document.addEventListener("pointerdown", (event) => {
    const taken = event.target.closest("[data-grip]");
    const map = look();
    if (!taken || !map || event.button !== 0) return;
    if (event.pointerType === "touch" && !taken.classList.contains("grip")) return; // a finger there scrolls the page
    const keys = taken.dataset.grip.split(" ");
    const own = [...grips.values()].filter((grip) => keys.includes(grip.said.key));
    if (!own.length) return;
    event.preventDefault();
    own[0].node.focus({ preventScroll: true });
    own[0].node.setPointerCapture(event.pointerId);
    // an answer can make the head of the page a line higher, and the drawing smaller: a drag goes on as it was begun
    const start = { x: event.clientX, z: event.clientY, across: map.a, up: map.d };
    held = own.map((grip) => ({ grip, start, value: grip.value, slab: event.target.dataset.slab, foot: footOf(grip) }));
    own.forEach((grip) => grip.node.classList.add("held"));
    held.filter((hold) => hold.slab !== undefined).forEach((hold) => {
      const slab = Number(hold.slab);
      move(hold.grip, slab < hold.grip.value ? slab : slab + 1);
    });
  });
  document.addEventListener("pointermove", (event) => {
    for (const { grip, start, value, foot } of held) {
      const said = grip.said;
      if (said.along === "stack") {
        const count = Math.round((foot.bottom - event.clientY) / foot.height);
        if (Math.abs(start.z - event.clientY) > 0.6 * foot.height) move(grip, count);
      } else {
        const moved = { x: (event.clientX - start.x) / start.across, z: (start.z - event.clientY) / start.up };
        move(grip, nearest(said.stops, value + moved[said.along] / said.per));
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
    const here = nearest(grip.said.stops, grip.value);
    const off = grip.said.stops[here] - grip.value; // typed between two stops: the first step goes to the next one
    const first = Math.abs(step) < 1e6 && off * step > 1e-9 ? here : here + step;
    move(grip, first);
  });
})();
