// Unpack what the page carries and start it.

async function tracksOf(count) {
  return Promise.all(Array.from({ length: count }, async (_, run) => {
    const facts = JSON.parse(asText(await unpacked(`facts.${run}`)));
    const ghosts = facts.ghosts ? new Int16Array(await unpacked(`ghosts.${run}`)) : null;
    return new Track(facts, new Float32Array(await unpacked(`series.${run}`)), ghosts);
  }));
}

async function bodiesOf(lib, count) {
  const loader = new lib.GLTFLoader();
  return Promise.all(Array.from({ length: count }, async (_, run) => loader.parseAsync(await unpacked(`bodies.${run}`), "")));
}

async function main() {
  const data = JSON.parse(asText(await unpacked("page")));
  const tracks = await tracksOf(data.runs);
  const page = data.lesson ? new Lesson(data, tracks) : new Page(data, tracks);
  let pictures = null;
  if (canDraw()) {
    const lib = await library();
    pictures = new Pictures(lib, page, await bodiesOf(lib, data.runs));
  } else {
    document.body.classList.add("flat");
    // The charts have the picture's place where there is no still for it.
    if (!document.querySelector("#stills img")) document.getElementById("stage").append(document.getElementById("charts"));
  }
  page.start(pictures);
  // For whoever looks into the page from outside: where bodies are, what is shown.
  window.replay = {
    page,
    seek: (time) => {
      page.play(false);
      page.seek(time);
      page.tick(0);
    },
    position: (body, run = 0) => pictures.stages[run].bodies[body].position.toArray(),
    turn: (body, run = 0) => pictures.stages[run].bodies[body].quaternion.toArray(),
  };
  document.body.dataset.ready = "yes";
}

main().catch((error) => {
  document.getElementById("lead").textContent = "This page could not be started in this browser.";
  document.getElementById("said").textContent = String(error);
  document.body.dataset.ready = "no";
  throw error;
});
