// How bodies are painted. Light is worked out at corners and not at every pixel, which a processor that draws alone
// pays for; colours leave as the screen shows them, so that nothing is converted pixel by pixel.

const UPWARD = [0, 0, 1];
const LAMP = [-3, 5, 9];
const FROM_ABOVE = 0.51; // share of light from the sky, as much of it from below as the floor throws back
const FROM_LAMP = 0.48;
const BELOW = [0.323, 0.305, 0.271]; // what the floor throws back, linear in light

const vector = (values) => `vec3(${values.map((value) => value.toFixed(6)).join(", ")})`;

const PLACED = `
  attribute vec3 shift;
  attribute float body;
  uniform float share;
  uniform mat4 places[BODIES];
  mat4 place() { return places[int(body + 0.5)]; }
  vec4 placed() { return projectionMatrix * viewMatrix * place() * vec4(position + share * shift, 1.0); }`;

const SURFACE = `${PLACED}
  varying vec3 shade;
  void main() {
    vec3 outward = normalize(mat3(place()) * normal);
    vec3 sky = mix(${vector(BELOW)}, vec3(1.0), 0.5 + 0.5 * dot(outward, ${vector(UPWARD)}));
    float lamp = max(dot(outward, normalize(${vector(LAMP)})), 0.0);
    vec3 light = color.rgb * (${FROM_ABOVE.toFixed(2)} * sky + ${FROM_LAMP.toFixed(2)} * lamp);
    shade = mix(1.055 * pow(light, vec3(1.0 / 2.4)) - 0.055, 12.92 * light, step(light, vec3(0.0031308)));
    gl_Position = placed();
  }`;

const SHADED = "varying vec3 shade; void main() { gl_FragColor = vec4(shade, 1.0); }";
const EDGE = `${PLACED} void main() { gl_Position = placed(); }`;
const EVEN = "uniform vec3 ink; uniform float opacity; void main() { gl_FragColor = vec4(ink, opacity); }";

// Draw all surfaces of the bodies as one, and all their edge lines: two calls and not two a body. What the file holds of
// each body stays where it is, unseen: its place is the body's. Gives what is drawn, and what tells it at each time by
// which share that which slides has slid.
function paint(three, bodies, colours) {
  const uniforms = { share: { value: 0 }, places: { value: bodies.map((body) => body.matrixWorld) } };
  const defines = { BODIES: bodies.length };
  const surface = new three.ShaderMaterial({
    vertexShader: SURFACE, fragmentShader: SHADED, uniforms, defines, vertexColors: true,
    polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1, // edge lines before the faces they bound
  });
  const edge = new three.ShaderMaterial({
    vertexShader: EDGE, fragmentShader: EVEN, transparent: true, defines,
    uniforms: { ...uniforms, ink: { value: new three.Color(colours.ink) }, opacity: { value: 0.55 } },
  });
  const parts = { surface: [], edge: [] };
  let sliding = null;
  bodies.forEach((body, number) => {
    body.traverse((node) => {
      if (!node.geometry) return;
      node.geometry.computeBoundingBox(); // with all that it slides
      node.visible = false;
      if (node.morphTargetInfluences) sliding = node;
      parts[node.isMesh ? "surface" : "edge"].push({ number, geometry: node.geometry });
    });
  });
  const drawn = [new three.Mesh(joined(three, parts.surface), surface), new three.LineSegments(joined(three, parts.edge), edge)];
  for (const node of drawn) node.frustumCulled = false;
  return { drawn, slide: () => (uniforms.share.value = sliding?.morphTargetInfluences[0] ?? 0) };
}

// Parts as one geometry whose points know their body.
function joined(three, parts) {
  const whole = new three.BufferGeometry();
  const counts = parts.map(({ geometry }) => geometry.getAttribute("position").count);
  const total = counts.reduce((sum, count) => sum + count, 0);
  const gather = (name, width, kind, of, normalized = false) => {
    const values = new kind(width * total);
    let start = 0;
    parts.forEach((part, k) => {
      const own = of(part);
      if (typeof own === "number") values.fill(own, start, start + width * counts[k]);
      else if (own) values.set(own.array, start);
      start += width * counts[k];
    });
    whole.setAttribute(name, new three.BufferAttribute(values, width, normalized));
  };
  gather("position", 3, Float32Array, ({ geometry }) => geometry.getAttribute("position"));
  gather("shift", 3, Float32Array, ({ geometry }) => geometry.morphAttributes.position?.[0]);
  gather("body", 1, Float32Array, ({ number }) => number);
  if (parts[0]?.geometry.hasAttribute("normal")) {
    gather("normal", 3, Float32Array, ({ geometry }) => geometry.getAttribute("normal"));
    gather("color", 4, Uint16Array, ({ geometry }) => geometry.getAttribute("color"), true);
  }
  const index = [];
  let first = 0;
  parts.forEach(({ geometry }, k) => {
    for (const corner of geometry.index.array) index.push(first + corner);
    first += counts[k];
  });
  return whole.setIndex(index);
}
