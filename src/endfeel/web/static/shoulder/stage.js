// The drawn shoulder: shapes and scene come from the program as plain values; here they are only placed, lit and turned.
import { BufferAttribute, BufferGeometry, Group, Matrix4, Mesh, PerspectiveCamera, Quaternion, Scene, Vector3, WebGLRenderer } from "../vendor/three.min.js";
import { coloured, lamp, rgb, rim, skin, skinDepth, solid } from "./paint.js";
import { Rods, dashed } from "./tubes.js";

const LENS = 20;
const HAND = 0.72;
const DASH = 0.0016; // longer than on the page, where a shoulder is drawn larger
const RIM = { dark: "#4b4034", wide: 0.0010 };
const LAMP = "#f2a900";
const MOVE_MS = 1500;
const CHANGE_MS = 900;
const SETTLED_MS = 180;
const LOWEST = 0.0, HIGHEST = 1.35;

const ease = (share) => (share < 0.5 ? 2 * share * share : 1 - 2 * (1 - share) * (1 - share));
const vector = (list) => new Vector3(...list);
const quaternion = (list) => new Quaternion(...list);

const NAME_HIGH = 21; // pixels of a name beside a hand

export class Stage {
  // Raises an error where the browser has no WebGL.
  constructor(canvas, labels) {
    this.slow = isSoftware();
    const wanted = { antialias: !this.slow, alpha: true, powerPreference: "low-power" };
    const context = canvas.getContext("webgl2", wanted);
    if (!context) throw new Error("no WebGL here");
    this.canvas = canvas;
    this.labels = labels;
    this.renderer = new WebGLRenderer({ canvas, context, ...wanted });
    this.renderer.setClearColor(0x000000, 0);
    this.camera = new PerspectiveCamera(LENS, 4 / 3, 0.2, 12);
    this.world = new Scene();
    this.person = new Group();
    this.room = new Group();
    this.world.add(this.person, this.room);
    this.bones = new Map();
    this.hidden = new Set();
    this.share = 1;
    this.frames = 0;
    this.geometries = new Map();
    this.paints = new Map();
    this.still = matchMedia("(prefers-reduced-motion: reduce)");
  }

  // The shapes of a side: made once, used in every scene.
  build(shapes) {
    this.shapes = shapes;
    this.person.clear();
    this.bones.clear();
    this.geometries.clear();
    for (const one of shapes.shapes) {
      if (!this.geometries.has(one.shape)) this.geometries.set(one.shape, []);
      this.geometries.get(one.shape).push({ material: one.material, geometry: geometryOf(one) });
    }
    this.furniture = shapes.furniture.map((one) => ({ ...one, geometry: geometryOf(one) }));
  }

  // Puts a scene on the stage; from another one the bones travel there, when `moving`.
  async show(scene, moving = true) {
    const before = this.scene && this.scene.side === scene.side ? this.taken() : null;
    this.scene = scene;
    for (const bone of scene.bones) if (!this.bones.has(bone.id)) this.addBone(bone);
    this.furnish(scene);
    this.dress(scene);
    this.eye = this.eyeOf(scene);
    this.homeEye = { ...this.eye, target: this.eye.target.clone() };
    if (this.still.matches || !before || !moving) {
      this.person.quaternion.copy(quaternion(scene.person_turn));
      if (this.still.matches || !moving) return this.pose(1);
      this.pose(0);
      return this.play();
    }
    const goal = { ...this.eye, target: this.eye.target.clone() };
    await this.animate(CHANGE_MS, (share) => this.between(before, scene, goal, share));
    return this.play();
  }

  // The movement of the procedure, from its beginning to its end.
  play() {
    if (this.still.matches) return this.pose(1);
    return this.animate(MOVE_MS, (share) => this.pose(share));
  }

  // Everything as it stands at a share of the movement.
  pose(share) {
    this.share = share;
    for (const bone of this.scene.bones) {
      const group = this.bones.get(bone.id);
      group.quaternion.copy(quaternion(bone.turn)).slerp(quaternion(bone.end_turn), share);
      group.position.copy(vector(bone.place_m)).lerp(vector(bone.end_place_m), share);
    }
    this.scene.hands.forEach((hand, place) => this.placeHand(this.hands[place], hand, share));
    this.drawFibres(share);
    if (share > 0 && share < 1) this.drawMoving();
    else this.draw();
  }

  taken() {
    const bones = new Map([...this.bones].map(([id, group]) => [id, { turn: group.quaternion.clone(), place: group.position.clone() }]));
    return { bones, person: this.person.quaternion.clone(), eye: { ...this.eye, target: this.eye.target.clone() } };
  }

  between(before, scene, goal, share) {
    for (const bone of scene.bones) {
      const group = this.bones.get(bone.id);
      const from = before.bones.get(bone.id);
      if (!from) continue;
      group.quaternion.copy(from.turn).slerp(quaternion(bone.turn), share);
      group.position.copy(from.place).lerp(vector(bone.place_m), share);
    }
    this.person.quaternion.copy(before.person).slerp(quaternion(scene.person_turn), share);
    const turn = Math.atan2(Math.sin(goal.turn - before.eye.turn), Math.cos(goal.turn - before.eye.turn));
    this.eye.turn = before.eye.turn + share * turn;
    this.eye.height = before.eye.height + share * (goal.height - before.eye.height);
    this.eye.wide = before.eye.wide + share * (goal.wide - before.eye.wide);
    this.eye.target = before.eye.target.clone().lerp(goal.target, share);
    scene.hands.forEach((hand, place) => this.placeHand(this.hands[place], hand, 0));
    this.drawFibres(0);
    this.drawMoving();
  }

  animate(milliseconds, step) {
    this.running = (this.running || 0) + 1;
    const mine = this.running;
    return new Promise((done) => {
      const start = performance.now();
      const tick = (now) => {
        if (mine !== this.running) return done(false);
        const share = Math.min(1, Math.max(0, (now - start) / milliseconds));
        step(ease(share));
        if (share < 1) requestAnimationFrame(tick);
        else done(true);
      };
      requestAnimationFrame(tick);
    });
  }

  stop() {
    this.running = (this.running || 0) + 1;
  }

  turn(by, up = 0) {
    this.eye.turn += by;
    this.eye.height = Math.min(HIGHEST, Math.max(LOWEST, this.eye.height + up));
    this.drawMoving();
  }

  // Without a graphics card skin and the other arm, half of the work, are left out while something moves.
  drawMoving() {
    this.draw(this.slow);
    clearTimeout(this.settling);
    if (this.slow) this.settling = setTimeout(() => this.draw(), SETTLED_MS);
  }

  zoom(factor) {
    this.eye.wide = Math.min(1.6, Math.max(0.16, this.eye.wide * factor));
    this.draw();
  }

  home() {
    this.eye = { ...this.homeEye, target: this.homeEye.target.clone() };
    this.draw();
  }

  // Shows or hides a kind of part: a bone's id, `skin`, `fibres`, `hands`, `arrows`, `room`.
  setShown(part, shown) {
    if (shown) this.hidden.delete(part);
    else this.hidden.add(part);
    this.draw();
  }

  draw(coarse = false) {
    if (!this.scene) return;
    const wide = this.canvas.clientWidth || 640;
    const high = this.canvas.clientHeight || 480;
    const ratio = this.slow ? 1 : Math.min(window.devicePixelRatio || 1, 2);
    if (this.canvas.width !== Math.round(wide * ratio) || this.canvas.height !== Math.round(high * ratio)) {
      this.renderer.setPixelRatio(ratio);
      this.renderer.setSize(wide, high, false);
    }
    for (const [id, group] of this.bones) group.visible = !this.hidden.has(id) && !(coarse && id.startsWith("other_"));
    for (const mesh of this.skins) mesh.visible = !coarse && !this.hidden.has("skin");
    for (const [part, group] of [["fibres", this.fibres], ["hands", this.handGroup], ["arrows", this.arrows], ["lit", this.lamps]]) {
      if (group) group.visible = !this.hidden.has(part);
    }
    this.room.visible = !this.hidden.has("room");
    this.aim(wide / high);
    this.renderer.render(this.world, this.camera);
    this.frames += 1;
    this.writeLabels(wide, high);
  }

  aim(aspect) {
    const { turn, height, wide, target } = this.eye;
    const tall = Math.max(wide / aspect, wide * 0.75 * (4 / 3) / Math.max(aspect, 4 / 3));
    const far = tall / (2 * Math.tan((LENS * Math.PI) / 360));
    const toward = new Vector3(Math.sin(turn) * Math.cos(height), Math.sin(height), Math.cos(turn) * Math.cos(height));
    this.camera.aspect = aspect;
    this.camera.near = Math.max(0.05, far - 1.2);
    this.camera.far = far + 1.6;
    this.camera.position.copy(target).addScaledVector(toward, far);
    this.camera.lookAt(target);
    this.camera.updateProjectionMatrix();
  }

  eyeOf(scene) {
    return { turn: scene.eye.turn_rad, height: scene.eye.height_rad, wide: scene.eye.wide_m, target: vector(scene.eye.target_m) };
  }

  paint(name, make) {
    if (!this.paints.has(name)) this.paints.set(name, make());
    return this.paints.get(name);
  }

  addBone(bone) {
    const group = new Group();
    for (const { material, geometry } of this.geometries.get(bone.shape) || []) {
      if (material === "skin" && this.slow && bone.id.startsWith("other_")) continue;
      if (material === "skin") {
        const depth = new Mesh(geometry, this.paint("skin depth", skinDepth));
        const front = new Mesh(geometry, this.paint("skin", () => skin(this.shapes.colours.skin)));
        depth.renderOrder = 10;
        front.renderOrder = 11;
        this.skins.push(depth, front);
        group.add(depth, front);
        continue;
      }
      group.add(new Mesh(geometry, this.paint(material, () => solid(this.shapes.colours[material]))));
      if (material !== "inside" && !this.slow) group.add(new Mesh(geometry, this.paint("rim", () => rim(RIM.dark, RIM.wide))));
    }
    this.bones.set(bone.id, group);
    this.person.add(group);
  }

  get skins() {
    if (!this.skinList) this.skinList = [];
    return this.skinList;
  }

  furnish(scene) {
    this.room.clear();
    for (const one of this.furniture) {
      if (one.position !== scene.position) continue;
      const mesh = new Mesh(one.geometry, this.paint(one.material, () => solid(this.shapes.colours[one.material], 0.1)));
      mesh.renderOrder = 1; // after the bones: what they cover need not be painted
      this.room.add(mesh);
    }
  }

  // Hands, arrows, lamps and the names beside them: they belong to one scene only.
  dress(scene) {
    for (const group of [this.handGroup, this.arrows, this.lamps, this.fibres]) {
      if (!group) continue;
      this.person.remove(group);
    }
    this.handGroup = new Group();
    this.arrows = new Group();
    this.lamps = new Group();
    this.fibres = new Group();
    const [{ geometry }] = this.geometries.get("hand");
    this.hands = scene.hands.map((hand) => {
      const group = new Group();
      const shape = hand.left_hand ? turnedOver(geometry) : geometry;
      group.add(new Mesh(shape, this.paint(`hand ${hand.role}`, () => solid(this.shapes.colours[hand.role]))));
      if (!this.slow) group.add(new Mesh(shape, this.paint("hand rim", () => rim("#1c1c1c", 0.0013))));
      this.handGroup.add(group);
      return group;
    });
    for (const arrow of scene.arrows) this.addArrow(arrow);
    for (const one of scene.lit) for (const point of one.points_m) this.addLamp(one, vector(point));
    this.person.add(this.handGroup, this.arrows, this.lamps, this.fibres);
    this.nameThings(scene);
  }

  placeHand(group, hand, share) {
    const mix = (name) => vector(hand[name]).lerp(vector(hand[`end_${name}`]), share);
    const up = mix("outward").normalize();
    const fingers = mix("fingers");
    fingers.addScaledVector(up, -fingers.dot(up)).normalize();
    group.matrixAutoUpdate = false;
    group.matrix.copy(new Matrix4().makeBasis(fingers, new Vector3().crossVectors(up, fingers), up)).setPosition(mix("point_m"));
    group.matrix.scale(new Vector3(HAND, HAND, HAND));
    group.matrixWorldNeedsUpdate = true;
  }

  addArrow(arrow) {
    const path = arrow.points_m.map(vector);
    const thin = arrow.role === "fossa";
    const radius = thin ? 0.0011 : 0.0070;
    const head = thin ? 0.006 : 0.030;
    const rods = new Rods(thin ? 6 : 12);
    const { body, from, to } = split(path, head);
    const colour = thin ? "#1d1d1d" : this.shapes.colours[arrow.role];
    const tint = rgb(colour).toArray();
    rods.add(body, body.map(() => radius), tint);
    rods.add([from, from.clone().lerp(to, 0.5), to], [radius * 2.4, radius * 1.22, 0.0002], tint);
    this.arrows.add(new Mesh(rods.geometry(), this.paint("arrow", coloured)));
    if (!thin && !this.slow) this.arrows.add(new Mesh(this.arrows.children.at(-1).geometry, this.paint("arrow rim", () => rim("#3a1206", 0.0014))));
  }

  addLamp(one, point) {
    const mesh = new Mesh(this.ball(), lamp(LAMP, 0.35 + 0.65 * one.probability));
    mesh.scale.setScalar(0.013 + 0.016 * one.probability);
    mesh.position.copy(point);
    mesh.renderOrder = 20;
    this.lamps.add(mesh);
  }

  ball() {
    if (!this.ballGeometry) {
      const rods = new Rods(16);
      const steps = Array.from({ length: 11 }, (_, step) => (Math.PI * step) / 10);
      rods.add(steps.map((angle) => new Vector3(0, 0, -Math.cos(angle))), steps.map((angle) => Math.max(Math.sin(angle), 0.01)), [1, 1, 1]);
      this.ballGeometry = rods.geometry();
      this.ballGeometry.computeVertexNormals();
    }
    return this.ballGeometry;
  }

  // Fibres at a share of the movement; which pattern each has follows the strain, also between the two ends.
  drawFibres(share) {
    for (const mesh of this.fibres.children) mesh.geometry.dispose();
    this.fibres.clear();
    const { strain_steps: steps, fibres, lit } = this.scene;
    const lamps = new Map();
    for (const one of lit) for (const band of one.bands) lamps.set(band, Math.max(one.probability, lamps.get(band) || 0));
    const rods = new Rods();
    const glow = new Rods(6);
    for (const fibre of fibres) {
      const step = steps[share < 0.5 ? fibre.step : fibre.end_step];
      const path = fibre.points_m.map((point, place) => vector(point).lerp(vector(fibre.end_points_m[place]), share));
      const radius = (step.wide_mm / 2) * 0.001;
      const pieces = dashed(path, step.dashes_mm.map((long) => long * (this.slow ? 1.5 * DASH : DASH)));
      const tint = rgb(step.colour).toArray();
      for (const piece of pieces) rods.add(piece, piece.map(() => radius), tint, pieces.length > 1 ? 3 : 5, false);
      if (lamps.has(fibre.band)) glow.add(path, path.map(() => 0.0022 + 0.0030 * lamps.get(fibre.band)), rgb(LAMP).toArray());
    }
    if (rods.points.length) this.fibres.add(new Mesh(rods.geometry(), this.paint("arrow", coloured)));
    if (glow.points.length) {
      const mesh = new Mesh(glow.geometry(), this.paint("fibre glow", () => lamp(LAMP, 0.5)));
      mesh.renderOrder = 19;
      this.fibres.add(mesh);
    }
  }

  nameThings(scene) {
    this.named = [];
    this.labels.replaceChildren();
    const name = (words, kind, at, behind = false) => {
      const label = document.createElement("span");
      label.className = `drawn-name ${kind}`;
      label.textContent = words;
      this.labels.append(label);
      this.named.push({ label, kind, at, behind });
    };
    for (const level of scene.levels) name(level.name, "level", () => vector(level.point_m), true);
    scene.hands.forEach((hand) => name(`${hand.says}${hand.words ? `: ${hand.words}` : ""}`, hand.role,
      (share) => vector(hand.point_m).lerp(vector(hand.end_point_m), share).addScaledVector(vector(hand.outward), 0.065).addScaledVector(vector(hand.fingers), -0.15)));
    scene.lit.forEach((one, place) => one.points_m.slice(0, 1).forEach((point) => name(String(place + 1), "lit", () => vector(point))));
    scene.lit.forEach((one, place) => {
      if (!one.bands.length) return;
      const fibre = scene.fibres.findIndex((each) => one.bands.includes(each.band));
      if (fibre >= 0) name(String(place + 1), "lit", (share) => {
        const { points_m: start, end_points_m: end } = scene.fibres[fibre];
        const middle = Math.floor(start.length / 2);
        return vector(start[middle]).lerp(vector(end[middle]), share);
      });
    });
  }

  writeLabels(wide, high) {
    const back = new Vector3(-1, 0, 0).applyQuaternion(this.person.quaternion);
    const backSeen = back.dot(this.camera.position.clone().sub(this.eye.target)) > 0;
    const placed = [];
    for (const one of this.named || []) {
      const { label, at, behind } = one;
      const seen = this.person.localToWorld(at(this.share)).project(this.camera);
      const inside = Math.abs(seen.x) < 1 && Math.abs(seen.y) < 1;
      const hidden = !inside || (behind && !backSeen);
      if (label.hidden !== hidden) label.hidden = hidden;
      if (hidden) continue;
      const x = Math.round((seen.x * 0.5 + 0.5) * wide);
      one.half ||= label.offsetWidth / 2; // asked once: asking lays out the page
      const { half } = one;
      const kept = Math.min(Math.max(x, half + 4), wide - half - 4);
      const ofHand = one.kind !== "level" && one.kind !== "lit";
      let y = Math.round((0.5 - seen.y * 0.5) * high);
      for (const other of ofHand ? placed : []) { // the name of a hand never covers another: it goes below it
        if (Math.abs(kept - other.x) < half + other.half + 2 && Math.abs(y - other.y) < NAME_HIGH) y = other.y + NAME_HIGH;
      }
      if (ofHand) placed.push({ x: kept, y, half });
      label.style.transform = `translate(${kept}px, ${y}px) translate(-50%, -50%)`;
    }
  }
}

// Whether there is no graphics card: asked of a canvas of its own, because smoothing is chosen when one is made.
function isSoftware() {
  const gl = document.createElement("canvas").getContext("webgl2");
  const told = gl && gl.getExtension("WEBGL_debug_renderer_info");
  const name = told ? String(gl.getParameter(told.UNMASKED_RENDERER_WEBGL)) : "";
  gl?.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|software/i.test(name);
}

function geometryOf(one) {
  const made = new BufferGeometry();
  made.setAttribute("position", new BufferAttribute(Float32Array.from(one.points_mm, (value) => value * 0.001), 3));
  made.setIndex(one.triangles);
  made.computeVertexNormals();
  return made;
}

// The other hand: mirrored across the fingers.
function turnedOver(geometry) {
  const made = geometry.clone();
  const points = made.getAttribute("position");
  for (let place = 0; place < points.count; place += 1) points.setY(place, -points.getY(place));
  const index = Array.from(made.getIndex().array);
  for (let place = 0; place < index.length; place += 3) [index[place + 1], index[place + 2]] = [index[place + 2], index[place + 1]];
  made.setIndex(index);
  made.computeVertexNormals();
  return made;
}

// The shaft of an arrow up to its head, and the two ends of the head.
function split(path, head) {
  const body = [];
  const to = path.at(-1);
  for (const point of path) {
    if (point.distanceTo(to) <= head) break;
    body.push(point);
  }
  if (!body.length) body.push(path[0]);
  const near = body.at(-1);
  const from = near.clone().lerp(to, Math.max(0, 1 - head / near.distanceTo(to)));
  body.push(from);
  return { body, from, to };
}
