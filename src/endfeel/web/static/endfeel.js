// Small helps on top of forms that work without them: steppers, filling in an offer, saying when the connection is gone.
document.documentElement.classList.add("scripted");

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-step], [data-fill]");
  if (!button) return;
  if (button.dataset.fill) fill(button.dataset.fill);
  else step(document.getElementById(button.dataset.for), Number(button.dataset.step));
});

function step(field, by) {
  const written = field.value.trim().replace(",", ".");
  const now = Number(written);
  if (Number.isNaN(now)) return;
  field.value = written === "" ? field.dataset.start : String(Math.round((now + by) * 10) / 10);
}

// An offer replaces the words of the test; side, level and what was found are kept by writing on after it.
function fill(words) {
  const line = document.getElementById("line");
  const found = line.value.match(/(?:^|\s)(?=\d|[mp]\d|fam\b|\+|neg\b|pos\b|[RL]\s|[TC]\d)/i);
  const kept = found && line.value.slice(0, found.index).trim() ? line.value.slice(found.index).trim() : "";
  line.value = `${words} ${kept}`.trimEnd() + " ";
  line.focus();
  document.getElementById("offers").replaceChildren();
}

// After a save by touch the next test is brought into view; a typed line keeps the cursor where it was.
let bringNow = false;
let source = null;
document.addEventListener("htmx:before:request", (event) => {
  source = event.target;
  bringNow = source instanceof Element && source.matches("[data-then=now]");
});
document.addEventListener("htmx:after:swap", () => {
  if (!bringNow) return;
  bringNow = false;
  const now = document.getElementById("now");
  if (now) now.scrollIntoView({ block: "start" });
});
document.addEventListener("htmx:error", () => {
  const said = document.createElement("div");
  said.className = "said alarm";
  said.textContent = "Not saved: no answer from the program. What you entered is still here; try again.";
  document.getElementById("said").replaceChildren(said);
});
