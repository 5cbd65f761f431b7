// The Wing: fields that make one value of several, keys for gloves, and keys for hands that know them.
import "./day.js";
import { keysAreOff } from "./quick.js";

const BIG = "edgeshift-big-keys";

function of(field) {
  if (field.dataset.kind === "number") return field.value === "" ? null : Number(field.value);
  return field.value;
}

// A hidden field with data-gathers holds, as JSON, what stands in several others that have no name of their own.
function gathered(form, selector) {
  const found = [];
  for (const each of form.querySelectorAll(selector)) {
    if (each.matches("select")) { if (each.value) found.push(JSON.parse(each.value)); continue; }
    const fields = [...each.querySelectorAll("[data-field]")];
    if (fields.every((field) => field.value === "")) continue;
    found.push(Object.fromEntries(fields.map((field) => [field.dataset.field, of(field)])));
  }
  return found;
}

const pair = (text) => {
  const found = text.trim().match(/^(\S+?)\s*(?:-|–|to|\s)\s*(\S+)$/);
  const ends = found ? [Number(found[1]), Number(found[2])] : [];
  if (ends.length !== 2 || ends.some(Number.isNaN)) throw new Error(text);
  return ends;
};

// What somebody typed, as the value that the experiment text takes; nothing typed takes the value out.
const MAKES = {
  text: (typed) => typed || null,
  words: (typed) => typed,
  number: (typed) => Number(typed),
  flag: (typed) => typed === "true",
  stretch: (typed) => pair(typed),
  list: (typed) => typed.split(",").map((each) => each.trim()).filter(Boolean),
  windows: (typed) => typed.split(",").map(pair),
  plain: (typed) => { try { return JSON.parse(typed); } catch { return typed; } },
};

function made(field) {
  const typed = field.value.trim();
  if (typed === "" && field.dataset.makes !== "words") return null;
  return MAKES[field.dataset.makes](typed);
}

function madeOf(form) {
  const parts = [...form.querySelectorAll("[data-part-of-value]")];
  if (!parts.length) return made(form.querySelector("[data-makes]"));
  const whole = parts.map((field) => [field.dataset.partOfValue, made(field)]);
  return Object.fromEntries(whole.filter(([, value]) => value !== null));
}

// Before an act is sent (live.js sends it), its hidden fields are filled.
document.addEventListener("submit", (event) => {
  const form = event.target.closest("form[data-act]");
  if (!form) return;
  try {
    for (const field of form.querySelectorAll("[data-gathers]")) field.value = JSON.stringify(gathered(form, field.dataset.gathers));
    for (const field of form.querySelectorAll("[data-value]")) field.value = JSON.stringify(madeOf(form));
    for (const field of form.querySelectorAll("[data-path-from]")) field.value = JSON.stringify([...JSON.parse(field.dataset.base), ...JSON.parse(form.querySelector(field.dataset.pathFrom).value)]);
  } catch (trouble) {
    event.preventDefault();
    event.stopImmediatePropagation();
    const note = form.querySelector("[data-said]");
    if (note) { note.textContent = `“${trouble.message}” ?`; note.classList.add("refused"); }
  }
}, true);

function big(on) {
  document.body.classList.toggle("big", on);
  document.getElementById("big-keys")?.setAttribute("aria-pressed", String(on));
}
big(localStorage.getItem(BIG) === "yes");
document.addEventListener("edgeshift:changed", () => big(localStorage.getItem(BIG) === "yes"));
document.addEventListener("click", (event) => { if (event.target.closest("#big-keys")) turn(); });
function turn() {
  const on = !document.body.classList.contains("big");
  localStorage.setItem(BIG, on ? "yes" : "no");
  big(on);
}

const KEYS = {
  ArrowRight: () => document.querySelector("#go-next button, a[rel=next]")?.click(),
  ArrowLeft: () => document.querySelector("a[rel=prev]")?.click(),
  Escape: () => document.querySelector("a.now")?.click(),
  n: () => document.getElementById("note-text")?.focus(),
  b: turn,
};
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("input, textarea, select, [role=button], iframe") || keysAreOff(event)) return;
  const numbered = document.querySelector(`[data-key="${CSS.escape(event.key)}"]`);
  const act = numbered ? () => numbered.click() : KEYS[event.key.length === 1 ? event.key.toLowerCase() : event.key];
  if (!act) return;
  event.preventDefault();
  act();
});
