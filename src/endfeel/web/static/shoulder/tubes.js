// Round rods along paths of points, as plain arrays: arrows, and fibres whose pattern says how taut they are.
import { BufferAttribute, BufferGeometry, Vector3 } from "../vendor/three.min.js";

const SIDES = 6;

// Collects corners, normals, colours and triangles of many rods into one geometry.
export class Rods {
  constructor(sides = SIDES) {
    this.sides = sides;
    this.points = [];
    this.normals = [];
    this.tints = [];
    this.triangles = [];
  }

  // A rod along points (Vector3) with a radius at each; tint is [r, g, b]. Thin ones may stay open at their ends.
  add(path, radii, tint, sides = this.sides, closed = true) {
    const first = this.points.length / 3;
    const along = new Vector3();
    let across = null;
    path.forEach((point, place) => {
      along.subVectors(path[Math.min(place + 1, path.length - 1)], path[Math.max(place - 1, 0)]).normalize();
      if (!across) across = new Vector3(Math.abs(along.x) < 0.8 ? 1 : 0, Math.abs(along.x) < 0.8 ? 0 : 1, 0);
      across.addScaledVector(along, -across.dot(along)).normalize();
      const thick = new Vector3().crossVectors(along, across);
      for (let step = 0; step < sides; step += 1) {
        const angle = (2 * Math.PI * step) / sides;
        const normal = across.clone().multiplyScalar(Math.cos(angle)).addScaledVector(thick, Math.sin(angle));
        this.points.push(point.x + radii[place] * normal.x, point.y + radii[place] * normal.y, point.z + radii[place] * normal.z);
        this.normals.push(normal.x, normal.y, normal.z);
        this.tints.push(...tint);
      }
    });
    for (let ring = 0; ring + 1 < path.length; ring += 1) {
      for (let step = 0; step < sides; step += 1) {
        const a = first + ring * sides + step;
        const b = first + ring * sides + ((step + 1) % sides);
        this.triangles.push(a, b, b + sides, a, b + sides, a + sides);
      }
    }
    if (!closed) return;
    this.cap(first, path[0], along.subVectors(path[0], path[1]).normalize().clone(), tint, sides, true);
    const last = path.length - 1;
    this.cap(first + last * sides, path[last], along.subVectors(path[last], path[last - 1]).normalize().clone(), tint, sides, false);
  }

  cap(ring, point, normal, tint, sides, start) {
    const middle = this.points.length / 3;
    this.points.push(point.x, point.y, point.z);
    this.normals.push(normal.x, normal.y, normal.z);
    this.tints.push(...tint);
    for (let step = 0; step < sides; step += 1) {
      const a = ring + step;
      const b = ring + ((step + 1) % sides);
      if (start) this.triangles.push(middle, b, a);
      else this.triangles.push(middle, a, b);
    }
  }

  geometry() {
    const made = new BufferGeometry();
    made.setAttribute("position", new BufferAttribute(new Float32Array(this.points), 3));
    made.setAttribute("normal", new BufferAttribute(new Float32Array(this.normals), 3));
    made.setAttribute("tint", new BufferAttribute(new Float32Array(this.tints), 3));
    made.setIndex(this.triangles);
    return made;
  }
}

// The stretches of a path that a pattern of dashes and gaps leaves standing; no pattern leaves all of it.
export function dashed(path, dashes) {
  if (!dashes.length) return [path];
  const pieces = [];
  let piece = [path[0]];
  let drawing = true;
  let place = 0;
  let left = dashes[0];
  for (let step = 0; step + 1 < path.length; step += 1) {
    let from = path[step];
    const to = path[step + 1];
    let long = from.distanceTo(to);
    while (long > left) {
      from = from.clone().lerp(to, left / long);
      long -= left;
      if (drawing) pieces.push([...piece, from]);
      drawing = !drawing;
      piece = [from];
      place = (place + 1) % dashes.length;
      left = dashes[place];
    }
    left -= long;
    if (drawing) piece.push(to);
  }
  if (drawing && piece.length > 1) pieces.push(piece);
  return pieces;
}
