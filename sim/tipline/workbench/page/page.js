/* What the browser does by itself: views, fields brought up to date, sliders, files handed in. All else is asked. */
(() => {
  const all = (what) => [...document.querySelectorAll(what)];
  const bench = {};
  bench.view = (name) => {
    all("[data-view]").forEach((one) => { one.hidden = one.dataset.view !== name; });
    all("nav [data-to]").forEach((one) => one.setAttribute("aria-current", one.dataset.to === name));
    document.body.dataset.now = name;
    history.replaceState(null, "", "#" + name);
  };
  bench.begin = (views) => {
    const asked = location.hash.slice(1);
    bench.view(views.includes(asked) ? asked : views[0]);
  };
  bench.show = (values) => {
    for (const [key, told] of Object.entries(values)) {
      const field = all(".field").find((one) => one.dataset.key === key);
      if (!field) continue;
      const [text, slide] = [field.querySelector("[name]"), field.querySelector(".slide")];
      if (!told.problem && document.activeElement !== text) text.value = told.value;
      if (slide && told.now !== null && document.activeElement !== slide) slide.value = told.now;
      field.querySelector(".origin").textContent = told.origin;
      field.querySelector(".problem").textContent = told.problem;
      text.setAttribute("aria-invalid", told.problem ? "true" : "false");
    }
  };
  bench.play = (address, title) => {
    const frame = document.querySelector("#play");
    if (!frame || frame.getAttribute("src") === address) return;
    frame.src = address;
    frame.title = title;
    frame.hidden = false;
  };
  const slid = (slide) => {
    const at = slide.dataset.at ? JSON.parse(slide.dataset.at)[slide.value] : Number(slide.value);
    const said = String(Math.round(at * 1000) / 1000);
    return slide.dataset.unit ? said + " " + slide.dataset.unit : said;
  };
  const tell = (name, detail) => document.querySelector(".pages").dispatchEvent(new CustomEvent(name, { detail }));
  document.addEventListener("input", (event) => {
    const slide = event.target.closest(".slide");
    if (!slide) return;
    const text = slide.parentElement.querySelector("[name]");
    text.value = slid(slide);
    tell("set", { key: text.name, text: text.value });
  });
  document.addEventListener("change", async (event) => {
    const one = event.target;
    if (one.id === "hand-in" && one.files.length) {
      const file = one.files[0];
      const address = location.pathname + "/hand-in?name=" + encodeURIComponent(file.name);
      try {
        const answer = await fetch(address, { method: "POST", body: file });
        tell("handed", { words: answer.ok ? "" : await answer.text() });
      } catch {
        tell("handed", { words: "The file could not be handed in; it may be too large." });
      }
      one.value = "";
    } else if (one.name) {
      tell("set", { key: one.name, text: one.type === "checkbox" ? String(one.checked) : one.value });
    }
  });
  document.addEventListener("click", (event) => {
    const to = event.target.closest("[data-to]");
    if (to) bench.view(to.dataset.to);
    const button = event.target.closest("[data-do]");
    if (!button || button.disabled) return;
    const detail = { what: button.dataset.do, of: button.dataset.of || "" };
    if (detail.what === "sweep") detail.of = document.querySelector("#sweep").value;
    if (detail.what === "add-event") detail.of = document.querySelector("#add-event").value;
    if (detail.what === "pair") detail.of = JSON.stringify(all(".pick:checked").map((one) => one.value));
    if (detail.what === "answer") {
      const given = all("[name^='answer:']").map((one) => [one.name.slice(7), one.value]);
      detail.of = JSON.stringify(Object.fromEntries(given));
    }
    tell("ask", detail);
  });
  globalThis.bench = bench;
})();
