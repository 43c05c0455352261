// What the surfaces are painted with. Light is reckoned at the corners, not at every point of the page: so a computer
// without a graphics card turns the shoulder fluently, too.
import { BackSide, FrontSide, ShaderMaterial, Vector3 } from "../vendor/three.min.js";

const LIGHT = `
  vec3 n = normalize(normalMatrix * normal);
  vec4 seen = modelViewMatrix * vec4(position, 1.0);
  float key = max(dot(n, vec3(-0.42, 0.60, 0.68)), 0.0);
  float fill = max(dot(n, vec3(0.75, -0.10, 0.55)), 0.0);
  float away = 1.0 - max(n.z, 0.0);
  float light = (0.57 + 0.08 * n.y + 0.40 * key + 0.13 * fill) * (1.0 - edge * away * away * away);`;

export function rgb(hex) {
  const number = parseInt(hex.slice(1), 16);
  return new Vector3((number >> 16) / 255, ((number >> 8) & 255) / 255, (number & 255) / 255);
}

// A matt solid.
export function solid(hex, edge = 0.36) {
  return new ShaderMaterial({
    uniforms: { colour: { value: rgb(hex) }, edge: { value: edge } },
    vertexShader: `uniform vec3 colour; uniform float edge; varying vec3 shade; void main() {${LIGHT}
      shade = colour * light; gl_Position = projectionMatrix * seen; }`,
    fragmentShader: "varying vec3 shade; void main() { gl_FragColor = vec4(shade, 1.0); }",
  });
}

// A solid whose corners have colours of their own.
export function coloured() {
  return new ShaderMaterial({
    vertexShader: `attribute vec3 tint; varying vec3 shade; void main() { float edge = 0.3; ${LIGHT}
      shade = tint * (0.35 + 0.65 * light); gl_Position = projectionMatrix * seen; }`,
    fragmentShader: "varying vec3 shade; void main() { gl_FragColor = vec4(shade, 1.0); }",
  });
}

// A dark rim: the same surface a little larger, seen from inside.
export function rim(hex, wide) {
  return new ShaderMaterial({
    side: BackSide,
    uniforms: { colour: { value: rgb(hex) }, wide: { value: wide } },
    vertexShader: `uniform float wide; void main() {
      gl_Position = projectionMatrix * modelViewMatrix * vec4(position + wide * normal, 1.0); }`,
    fragmentShader: "uniform vec3 colour; void main() { gl_FragColor = vec4(colour, 1.0); }",
  });
}

// Skin: clear where it faces the eye, denser towards its edge. Its depth is laid down first, so that only what lies in
// front is painted and shapes that pass through each other show no inner walls.
export function skinDepth() {
  return new ShaderMaterial({
    colorWrite: false, transparent: true,
    vertexShader: `invariant gl_Position; void main() { vec4 seen = modelViewMatrix * vec4(position, 1.0);
      gl_Position = projectionMatrix * seen; }`,
    fragmentShader: "void main() { gl_FragColor = vec4(1.0); }",
  });
}

export function skin(hex) {
  return new ShaderMaterial({
    transparent: true, depthWrite: false, side: FrontSide,
    uniforms: { colour: { value: rgb(hex) } },
    vertexShader: `invariant gl_Position; uniform vec3 colour; varying vec4 shade; void main() { float edge = 0.0; ${LIGHT}
      float rim = 1.0 - abs(dot(n, normalize(-seen.xyz)));
      shade = vec4(colour * (0.55 + 0.5 * light), 0.13 + 0.62 * rim * rim * rim);
      gl_Position = projectionMatrix * seen; }`,
    fragmentShader: "varying vec4 shade; void main() { gl_FragColor = shade; }",
  });
}

// A lamp that shines through what lies before it; brighter the more probable.
export function lamp(hex, bright) {
  return new ShaderMaterial({
    transparent: true, depthTest: false, depthWrite: false,
    uniforms: { colour: { value: rgb(hex) }, bright: { value: bright } },
    vertexShader: `varying float face; void main() {
      face = normalize(normalMatrix * normal).z; gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`,
    fragmentShader: `uniform vec3 colour; uniform float bright; varying float face; void main() {
      float f = clamp(face, 0.0, 1.0); gl_FragColor = vec4(colour, bright * f * f * (0.35 + 0.65 * f)); }`,
  });
}
