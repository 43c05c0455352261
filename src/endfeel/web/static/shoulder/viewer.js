// Puts the drawn shoulder into its figure. One stage serves the whole page: when the page shows another test, the same
// bones travel there. Where the browser cannot draw in three dimensions, the still picture stands instead.
const TURN = Math.PI / 12;
const PIXEL = 0.009;
let stage = null;
let canvas = null;
let labels = null;
let shapesShown = "";
let figure = null;
let missing = false;

document.documentElement.dataset.drawnShoulder = "ready";
const soon = () => requestAnimationFrame(() => setTimeout(look));  // first the words, then the picture
document.addEventListener("endfeel:shown", soon);
document.addEventListener("endfeel:before", () => width.disconnect());  // what leaves the page is not drawn once more
document.addEventListener("toggle", soon, true);
addEventListener("submit", () => stage?.stop(), true);  // what is being saved goes before what moves
matchMedia("(prefers-reduced-motion: reduce)").addEventListener("change", () => stage?.pose(1));
const width = new ResizeObserver(() => stage?.draw());
look();

// The figure that is on the page and can be seen; folded ones wait.
function look() {
  const found = [...document.querySelectorAll("[data-drawn]")].find((one) => !one.closest("details:not([open])"));
  if (!found || found.dataset.state) return;
  found.dataset.state = "coming";
  show(found).catch((error) => {
    console.info("The shoulder stands still:", error.message);
    still(found);
  });
}

async function show(found) {
  if (missing) return still(found);
  figure = found;
  const [scene, made] = await Promise.all([asked(found.dataset.scene), ready()]);
  if (!made) return still(found);
  if (!found.isConnected) return undefined;
  found.querySelector(".drawn-stage").replaceChildren(canvas, labels);
  for (const part of found.querySelectorAll(".drawn-tools, .drawn-told")) part.hidden = false;
  if (shapesShown !== found.dataset.shapes) {
    stage.build(await asked(found.dataset.shapes));
    shapesShown = found.dataset.shapes;
  }
  tell(found, scene);
  if (!found.drawn) bind(found);
  found.drawn = stage;
  width.disconnect();
  width.observe(found.querySelector(".drawn-stage"));
  stage.draw();
  const what = found.dataset.scene.replace(/&key=.*/, "");
  const shown = stage.show(scene, found.what !== what);  // the same test is lit anew and does not move again
  found.what = what;
  found.dataset.state = "drawn";
  await shown;
  found.dataset.state = "standing";
  const share = found.querySelector("[data-share]");
  if (share) share.value = "100";
  return undefined;
}

async function ready() {
  if (stage) return stage;
  try {
    const { Stage } = await import("./stage.js");
    canvas = document.createElement("canvas");
    canvas.className = "drawn-canvas";
    canvas.tabIndex = 0;
    canvas.setAttribute("role", "img");
    labels = document.createElement("div");
    labels.className = "drawn-names";
    labels.setAttribute("aria-hidden", "true");
    stage = new Stage(canvas, labels);
    byTouch(canvas);
  } catch (error) {
    missing = true;
    console.info("No drawing in three dimensions:", error.message);
  }
  return stage;
}

async function asked(address) {
  const answer = await fetch(address, { headers: { Accept: "application/json" } });
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
  return answer.json();
}

function still(found) {
  found.dataset.state = "still";
  if (!found.dataset.still) return;
  const picture = document.createElement("img");
  picture.src = found.dataset.still;
  picture.alt = found.dataset.stillWords;
  picture.className = "drawn-still";
  found.querySelector(".drawn-stage").replaceChildren(picture);
}

function tell(found, scene) {
  const words = found.querySelector(".drawn-words");
  if (words) words.textContent = scene.words;
  canvas.setAttribute("aria-label", scene.words);
  const legend = found.querySelector(".drawn-legend");
  const used = new Set(scene.fibres.flatMap((one) => [one.step, one.end_step]));
  legend?.replaceChildren(...scene.strain_steps.map((step, place) => ({ step, place })).filter(({ place }) => used.has(place)).map(({ step }) => {
    const item = document.createElement("li");
    item.append(sample(step), ` ${step.words}${step.range === "none" ? "" : `, ${step.range}`}`);
    return item;
  }));
  const lit = found.querySelector(".drawn-lit");
  lit?.replaceChildren(...scene.lit.map((one) => {
    const item = document.createElement("li");
    item.textContent = `${one.name}, ${Math.round(100 * one.probability)} %`;
    return item;
  }));
  if (lit) lit.hidden = !scene.lit.length;
}

// A short piece of a pattern, for the legend.
function sample(step) {
  const space = "http://www.w3.org/2000/svg";
  const picture = document.createElementNS(space, "svg");
  picture.setAttribute("viewBox", "0 0 36 10");
  picture.setAttribute("width", "36");
  picture.setAttribute("height", "10");
  picture.setAttribute("aria-hidden", "true");
  const draw = (wide, colour, dashes) => {
    const line = document.createElementNS(space, "line");
    const told = { x1: 1, y1: 5, x2: 35, y2: 5, stroke: colour, "stroke-width": wide, ...(dashes ? { "stroke-dasharray": dashes } : {}) };
    for (const [name, value] of Object.entries(told)) line.setAttribute(name, value);
    picture.append(line);
  };
  const scale = 2.45;
  draw(step.wide_mm * scale, step.colour, step.dashes_mm.map((one) => one * scale).join(" "));
  if (step.double) draw((step.wide_mm * scale) / 3, "#ffffff", "");
  return picture;
}

function bind(found) {
  found.querySelector(".drawn-tools")?.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if (button.dataset.turn) stage.turn(-Number(button.dataset.turn) * TURN);
    if (button.dataset.zoom) stage.zoom(Number(button.dataset.zoom));
    if ("home" in button.dataset) stage.home();
    if ("play" in button.dataset) play(found);
  });
  found.querySelector("[data-share]")?.addEventListener("input", (event) => {
    stage.stop();
    stage.pose(Number(event.target.value) / 100);
  });
}

// With reduced motion nothing moves by itself: beginning and end take turns.
async function play(found) {
  const share = found.querySelector("[data-share]");
  if (stage.still.matches) stage.pose(stage.share < 0.5 ? 1 : 0);
  else await stage.play();
  if (share) share.value = String(Math.round(100 * stage.share));
}

// One finger, or the mouse, turns; a finger that moves up or down scrolls the page.
function byTouch(surface) {
  let last = null;
  surface.addEventListener("pointerdown", (event) => {
    last = { x: event.clientX, y: event.clientY };
    surface.setPointerCapture(event.pointerId);
  });
  surface.addEventListener("pointermove", (event) => {
    if (!last) return;
    const across = event.clientX - last.x;
    const down = event.pointerType === "mouse" ? event.clientY - last.y : 0;
    last = { x: event.clientX, y: event.clientY };
    stage.turn(-across * PIXEL, down * PIXEL);
  });
  for (const end of ["pointerup", "pointercancel"]) surface.addEventListener(end, () => { last = null; });
  surface.addEventListener("keydown", (event) => {
    const turns = { ArrowLeft: [TURN, 0], ArrowRight: [-TURN, 0], ArrowUp: [0, TURN / 2], ArrowDown: [0, -TURN / 2] };
    if (turns[event.key]) stage.turn(...turns[event.key]);
    else if (event.key === "+") stage.zoom(0.8);
    else if (event.key === "-") stage.zoom(1.25);
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
}

// Any pose: the arm follows the sliders.
const form = document.querySelector("[data-pose-form]");
let waiting = 0;
form?.addEventListener("input", (event) => {
  event.target.closest(".field").querySelector("output").textContent = event.target.value;
  const drawn = document.querySelector("[data-drawn][data-pose]");
  if (!drawn || !stage) return;
  clearTimeout(waiting);
  waiting = setTimeout(async () => {
    const fields = new URLSearchParams(new FormData(form));
    fields.delete("pose");
    const scene = await asked(`/api/scene/pose?${fields}`);
    const eye = stage.eye;
    tell(drawn, scene);
    stage.scene = null;
    await stage.show(scene);
    stage.eye = { ...stage.eye, turn: eye.turn, height: eye.height };
    stage.draw();
  }, 60);
});
void figure;
