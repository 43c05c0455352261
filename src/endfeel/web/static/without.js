// Forms without the program: the controls of every test, asked for once and kept by the browser. They hold nothing about
// anybody.
import { newId } from "./waiting.js";

let book = null;
export const ready = () => book ??= fetch("/couch.json").then((answer) => answer.ok ? answer.json() : Promise.reject(answer.status)).catch(() => { book = null; });

// Puts the form of a test where the test in front stands; without a test, says how to go on.
export async function openForm(given, visit) {
  const told = await ready();
  const old = document.getElementById("now");
  const card = document.createElement("section");
  card.className = "card now";
  card.id = "now";
  card.dataset.without = "";
  const one = given && told?.procedures[given.procedure];
  if (one) fill(card, one, told, given, visit);
  else card.append(element("h2", "Go on"), element("p", told ? "Choose a test below, or write the finding in one line." : "Write the finding in one line below."));
  const title = card.querySelector("h2");
  title.id = "now-title";
  title.tabIndex = -1;
  card.setAttribute("aria-labelledby", "now-title");
  if (old) old.replaceWith(card);
  else document.querySelector("#visit .column, #visit").prepend(card);
  title.focus({ preventScroll: true });
  card.scrollIntoView({ block: "start" });
}

function fill(card, one, told, given, visit) {
  card.append(element("p", "Without connection", "kicker"), element("h2", one.name));
  const how = document.createElement("dl");
  how.className = "how";
  for (const [term, said] of one.how) {
    const pair = document.createElement("div");
    pair.append(element("dt", term), element("dd", said));
    how.append(pair);
  }
  const form = document.createElement("form");
  form.className = "record";
  form.dataset.keep = "findings";
  form.dataset.name = one.name;
  form.dataset.without = "";
  form.dataset.then = "now";
  form.innerHTML = told.forms[one.form];
  for (const [name, value] of [["procedure", given.procedure], ["entry_id", newId()]]) {
    const field = document.createElement("input");
    Object.assign(field, { type: "hidden", name, value });
    form.append(field);
  }
  for (const field of form.elements) {
    if (!field.name || !given[field.name] || field.type === "hidden" || field.type === "submit") continue;
    if (field.type === "radio") field.checked = field.defaultChecked = field.value === given[field.name];
    else field.value = given[field.name];
  }
  card.append(how, form);
}

// Tests by region or words, to choose one while the program is away.
export async function offerTests(region, words, visit) {
  const told = await ready();
  const wanted = words.toLowerCase().split(/\s+/).filter(Boolean);
  const list = document.createElement("ul");
  list.className = "again";
  for (const [id, one] of Object.entries(told?.procedures ?? {})) {
    const text = `${id} ${one.name} ${one.short}`.toLowerCase();
    if ((region && one.region !== region) || (!region && !wanted.length) || !wanted.every((word) => text.includes(word))) continue;
    const item = document.createElement("li");
    const button = element("button", one.name, "choice-link");
    button.type = "button";
    button.addEventListener("click", () => openForm({ procedure: id }, visit));
    item.append(button);
    list.append(item);
  }
  document.getElementById("found").replaceChildren(list);
}

function element(tag, words, name = "") {
  const made = document.createElement(tag);
  made.textContent = words;
  if (name) made.className = name;
  return made;
}
