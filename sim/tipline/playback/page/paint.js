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
  uniform float share;
  vec4 placed() { return projectionMatrix * modelViewMatrix * vec4(position + share * shift, 1.0); }`;

const SURFACE = `${PLACED}
  varying vec3 shade;
  void main() {
    vec3 outward = normalize(mat3(modelMatrix) * normal);
    vec3 sky = mix(${vector(BELOW)}, vec3(1.0), 0.5 + 0.5 * dot(outward, ${vector(UPWARD)}));
    float lamp = max(dot(outward, normalize(${vector(LAMP)})), 0.0);
    vec3 light = color.rgb * (${FROM_ABOVE.toFixed(2)} * sky + ${FROM_LAMP.toFixed(2)} * lamp);
    shade = mix(1.055 * pow(light, vec3(1.0 / 2.4)) - 0.055, 12.92 * light, step(light, vec3(0.0031308)));
    gl_Position = placed();
  }`;

const SHADED = "varying vec3 shade; void main() { gl_FragColor = vec4(shade, 1.0); }";
const EDGE = `${PLACED} void main() { gl_Position = placed(); }`;
const EVEN = "uniform vec3 ink; uniform float opacity; void main() { gl_FragColor = vec4(ink, opacity); }";

// Paint surfaces and edge lines below a node; gives the share by which what slides has slid, to be set at each time.
function paint(three, world, colours) {
  const share = { value: 0 };
  const surface = new three.ShaderMaterial({
    vertexShader: SURFACE, fragmentShader: SHADED, uniforms: { share }, vertexColors: true,
    polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1, // edge lines before the faces they bound
  });
  const edge = new three.ShaderMaterial({
    vertexShader: EDGE, fragmentShader: EVEN, transparent: true,
    uniforms: { share, ink: { value: new three.Color(colours.ink) }, opacity: { value: 0.55 } },
  });
  let sliding = null;
  world.traverse((node) => {
    if (!node.geometry) return;
    node.material = node.isMesh ? surface : edge;
    node.frustumCulled = false;
    node.geometry.computeBoundingBox(); // with all that it slides
    const [shift] = node.geometry.morphAttributes.position ?? [];
    if (!shift) return;
    node.geometry.setAttribute("shift", shift);
    node.geometry.morphAttributes = {};
    sliding = node;
  });
  return () => (share.value = sliding?.morphTargetInfluences[0] ?? 0);
}
