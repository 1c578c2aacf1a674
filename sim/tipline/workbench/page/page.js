/* What the browser does by itself: views, fields brought up to date, sliders, files handed in. All else is asked. */
(() => {
  const all = (what) => [...document.querySelectorAll(what)];
  const bench = {};
  const tell = (name, detail) => document.querySelector(".pages").dispatchEvent(new CustomEvent(name, { detail }));
  const sent = new Map(); // by key the number of the change told last, and of the last one that is shown
  let [count, shown] = [0, 0];
  bench.set = (key, text) => {
    count = Math.max(count + 1, Date.now());
    sent.set(key, count);
    tell("set", { key, text, number: count });
  };
  bench.ahead = (key) => sent.set(key, Infinity);
  bench.fresh = (key) => !(sent.get(key) > shown);
  bench.view = (name) => {
    all("[data-view]").forEach((view) => { view.hidden = view.dataset.view !== name; });
    all("nav [data-to]").forEach((button) => button.setAttribute("aria-current", button.dataset.to === name));
    document.body.dataset.now = name;
    history.replaceState(null, "", "#" + name);
  };
  bench.begin = (views) => {
    const wanted = location.hash.slice(1);
    bench.view(views.includes(wanted) ? wanted : views[0]);
  };
  bench.show = (values, grips, number) => {
    shown = number;
    for (const field of all(".field")) {
      const [key, value] = [field.dataset.key, values[field.dataset.key]];
      if (!value) continue;
      const [text, slide] = [field.querySelector("[name]"), field.querySelector(".slide")];
      if (bench.fresh(key)) {
        if (!value.problem && document.activeElement !== text) text.value = value.value;
        if (slide && value.now !== null) {
          slide.value = value.now;
          slide.setAttribute("aria-valuetext", value.value);
        }
      }
      field.querySelector(".origin").textContent = value.origin;
      field.querySelector(".problem").textContent = value.problem;
      if (value.problem && field.closest("details")) field.closest("details").open = true;
      text.setAttribute("aria-invalid", value.problem ? "true" : "false");
    }
    bench.grips(grips);
  };
  let left = null; // what had the focus last: where it was made anew, the new one takes it, and what is being typed there
  const begun = new WeakSet(); // fields that were changed and have not been told: what is typed, until it is done
  const finish = (field) => queueMicrotask(() => { // a field that is taken out of the page is left too, with half a text
    if (!field.isConnected || !begun.delete(field) || !field.name) return;
    bench.set(field.name, field.type === "checkbox" ? String(field.checked) : field.value);
  });
  document.addEventListener("input", (event) => { begun.add(event.target); });
  const folds = new Map(); // by part of a form whether it is open: it stays so where the form is made anew
  const met = new WeakSet();
  document.addEventListener("toggle", ({ target }) => {
    const fold = target.isConnected && target.querySelector(":scope > [data-fold]");
    if (fold) folds.set(fold.dataset.fold, target.open);
  }, true);
  new MutationObserver(() => all("[data-fold]").filter((fold) => !met.has(fold)).forEach((fold) => {
    met.add(fold);
    if (folds.has(fold.dataset.fold)) fold.parentElement.open = folds.get(fold.dataset.fold);
  })).observe(document, { childList: true, subtree: true });
  document.addEventListener("focusin", (event) => { left = event.target; });
  document.addEventListener("focusout", (event) => finish(event.target));
  document.addEventListener("keyup", (event) => { if (event.key === "Enter") finish(event.target); });
  new MutationObserver(() => {
    if (!left || left.isConnected || document.activeElement !== document.body) return;
    const old = left;
    const marks = (old.name ? ["name"] : ["data-fold", "data-do", "data-of", "data-from"]).filter((mark) => old.hasAttribute(mark));
    const own = marks.length && document.querySelector(marks.map((mark) => `[${mark}="${CSS.escape(old.getAttribute(mark))}"]`).join(""));
    if (!own) return;
    own.focus({ preventScroll: true });
    if (own.type !== "text" || old.type !== "text") return;
    if (begun.delete(old)) {
      own.value = old.value;
      begun.add(own);
    }
    own.setSelectionRange(old.selectionStart, old.selectionEnd, old.selectionDirection);
  }).observe(document, { childList: true, subtree: true });
  bench.play = (address, title) => {
    const frame = document.querySelector("#play");
    if (!frame || frame.getAttribute("src") === address) return;
    frame.src = address;
    frame.title = title;
    frame.hidden = false;
  };
  const ticked = new Set(); // results to be played in step: the list is drawn anew while one chooses
  new MutationObserver(() => all(".pick").forEach((box) => { box.checked = ticked.has(box.value); }))
    .observe(document, { childList: true, subtree: true });
  const slid = (slide) => {
    const said = String(Math.round(JSON.parse(slide.dataset.at)[slide.value] * 1000) / 1000);
    return slide.dataset.unit ? said + " " + slide.dataset.unit : said;
  };
  document.addEventListener("input", (event) => {
    const slide = event.target.closest(".slide");
    if (!slide) return;
    const text = slide.parentElement.querySelector("[name]");
    text.value = slid(slide);
    slide.setAttribute("aria-valuetext", text.value);
    bench.set(text.name, text.value);
  });
  document.addEventListener("change", async (event) => {
    const field = event.target;
    if (field.classList.contains("hand-in") && field.files.length) {
      const file = field.files[0];
      const address = location.pathname + "/hand-in?name=" + encodeURIComponent(file.name);
      try {
        const answer = await fetch(address, { method: "POST", body: file });
        tell("handed", { words: answer.ok ? "" : await answer.text() });
      } catch {
        tell("handed", { words: "The file could not be handed in; it may be too large." });
      }
      field.value = "";
    } else if (field.classList.contains("pick")) {
      ticked[field.checked ? "add" : "delete"](field.value);
    } else {
      finish(field);
    }
  });
  document.addEventListener("click", (event) => {
    const to = event.target.closest("[data-to]");
    if (to) bench.view(to.dataset.to);
    const button = event.target.closest("[data-do]");
    if (!button || button.disabled) return;
    if (button.dataset.do === "show") bench.view("run"); // at once: an answer that comes late would take one back to it
    const detail = { what: button.dataset.do, of: button.dataset.of || "" };
    if (button.dataset.from) detail.of = document.getElementById(button.dataset.from).value;
    if (detail.what === "add-event") detail.of = document.querySelector("#add-event").value;
    if (detail.what === "pair") detail.of = JSON.stringify(all(".pick:checked").map((box) => box.value));
    if (detail.what === "answer") {
      const given = all("[name^='answer:']").map((field) => [field.name.slice(7), field.value]);
      detail.of = JSON.stringify(Object.fromEntries(given));
    }
    tell("ask", detail);
  });
  globalThis.bench = bench;
})();
