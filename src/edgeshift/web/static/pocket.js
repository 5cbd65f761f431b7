// The Pocket: a pencil for a guess, the words that can be touched, and drafts that outlive a restart.
import { Pad } from "./pencil.js";

const CHANGED = "edgeshift:changed";
const KEPT = "edgeshift ";

// --- what somebody began stays until it is sent --------------------------------------------------------
function remembered(key) {
  try { return localStorage.getItem(KEPT + key); } catch { return null; }
}
function remember(key, text) {
  try { text ? localStorage.setItem(KEPT + key, text) : localStorage.removeItem(KEPT + key); } catch { /* a private window */ }
}
function keyOf(field) { return field.dataset.keep; }

function restore(inside) {
  for (const field of inside.querySelectorAll("[data-keep]")) {
    const text = remembered(keyOf(field));
    if (text === null) continue;
    if (field.type === "radio") field.checked = field.value === text;
    else if (!field.value) field.value = text;
    if (!field.closest("details")?.open && field.value === text) field.closest("details")?.setAttribute("open", "");
  }
}
document.addEventListener("input", (event) => {
  if (event.target.dataset.keep) remember(keyOf(event.target), event.target.value);
});
// What was taken is no draft any more.
document.addEventListener("edgeshift:taken", ({ detail: form }) => {
  for (const field of form.querySelectorAll("[data-keep]")) remember(keyOf(field), "");
  if (form.matches("[data-guess]") && pad) remember(pad.key, "");
});

// --- the pencil ----------------------------------------------------------------------------------------
let pad = null;

function padOf(box) {
  const key = `guess ${box.dataset.round}`;
  return Object.assign(new Pad(box, JSON.parse(remembered(key) || box.dataset.sent || "[]"), drawn), { key });
}
function drawn(changed, told) {
  if (changed) remember(told.key, told.points.length ? JSON.stringify(told.points) : "");
  const form = document.querySelector("form[data-guess]");
  if (!form) return;
  form.elements.points.value = JSON.stringify(told.points);
  form.querySelector("button.main").disabled = told.points.length < 2;
}

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-wipe]")) pad?.wipe();
  const word = event.target.closest("[data-word]");
  if (word) explain(word.dataset.word);
  if (event.target.closest("[data-close]") || event.target.id === "sheet") document.getElementById("sheet").close();
});

// --- what is this word? --------------------------------------------------------------------------------
function explain(key) {
  const [name, meaning] = document.getElementById(`word-${key}`).children;
  const sheet = document.getElementById("sheet");
  sheet.querySelector("h2").textContent = name.textContent;
  sheet.querySelector("p").textContent = meaning.textContent;
  sheet.showModal();
}
document.addEventListener("input", (event) => {
  if (!event.target.matches("[data-search]")) return;
  const wanted = event.target.value.trim().toLowerCase();
  let found = 0;
  for (const entry of document.querySelectorAll("#words dl > div")) {
    const fits = entry.textContent.toLowerCase().includes(wanted);
    entry.hidden = !fits;
    found += fits;
  }
  document.querySelector("[data-none]").hidden = found > 0;
});

function begin(inside) {
  const box = document.querySelector("[data-pad]");
  if (!box) pad = null;
  else if (pad?.box !== box) pad = padOf(box);
  else pad.draw();
  restore(inside);
}
document.addEventListener(CHANGED, (event) => begin(event.target));
begin(document);
