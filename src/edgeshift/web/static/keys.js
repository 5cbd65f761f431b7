// The keys of a page, each with a button that does the same; light and language; the day line.
import { newest, refresh } from "./live.js";
import { stop } from "./hear.js";

const acts = new Map();
export function onKey(key, act) { acts.set(key, act); }

const WRITING = "input, textarea, select, [contenteditable]";

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.matches?.(WRITING)) return;
  const open = document.querySelector("dialog[open]");
  if (open) { if (event.key === (open.id === "help" ? "?" : "t")) { open.close(); event.preventDefault(); } return; }
  const act = acts.get(event.key);
  if (!act) return;
  event.preventDefault();
  act();
});

// Buttons of the sheet of keys, the corner and the way back to now.
document.addEventListener("click", (event) => {
  const tongue = event.target.closest("a[hreflang]");
  const button = event.target.closest("[data-key]");
  const key = button?.dataset.key;
  if (tongue) { event.preventDefault(); event.stopPropagation(); location.assign(changed("lang", tongue.hreflang)); }
  else if (button?.matches("button, a") && key && acts.has(key) && !button.classList.contains("now")) {
    event.preventDefault();
    event.stopPropagation();
    button.closest("dialog")?.close();
    acts.get(key)();
  }
}, true);

function changed(name, value) {
  const to = new URL(location.href);
  to.searchParams.set(name, value);
  return to;
}

// What was chosen by the address is remembered; the address need not say it again.
const plain = new URL(location.href);
for (const name of ["room", "lang"]) plain.searchParams.delete(name);
if (plain.href !== location.href && window.top === window) history.replaceState(null, "", plain);

onKey("?", () => document.getElementById("help")?.showModal());
onKey("Escape", () => { if (!stop()) document.querySelector("a.now")?.click(); });
onKey("d", () => {
  const other = document.documentElement.dataset.room === "dark" ? "light" : "dark";
  document.documentElement.dataset.room = other;
  const link = document.querySelector("a[data-key=d]");
  if (link) {
    const next = other === "dark" ? "light" : "dark";
    link.setAttribute("href", `?room=${next}`);
    link.querySelector(".word").textContent = link.dataset[next];
  }
  refresh(changed("room", other)).catch(() => {});
});

// The day line: a moment that is touched takes the page back to what was known then.
let touched = null;
document.addEventListener("click", (event) => {
  const moment = event.target.closest?.("[data-time]");
  if (moment) rewind(moment);
});

function rewind(moment) {
  touched = nameOf(moment);
  history.pushState(null, "", changed("until", moment.dataset.time));
  newest();
}

const nameOf = (moment) => `${moment.dataset.time} ${moment.dataset.kind} ${moment.dataset.key}`;

document.addEventListener("keydown", (event) => {
  const moment = event.target.closest?.("[data-time]");
  if (!moment) return;
  const left = (one) => one.getBoundingClientRect().left;
  const all = [...moment.ownerSVGElement.querySelectorAll("[data-time]")].sort((a, b) => left(a) - left(b));
  const place = all.indexOf(moment);
  const to = { ArrowLeft: place - 1, ArrowRight: place + 1, Home: 0, End: all.length - 1 }[event.key];
  if (event.key === "Enter" || event.key === " ") rewind(moment);
  else if (to === undefined) return;
  else {
    const next = all[Math.min(all.length - 1, Math.max(0, to))];
    moment.setAttribute("tabindex", -1);
    next.setAttribute("tabindex", 0);
    next.focus();
  }
  event.preventDefault();
});

document.addEventListener("edgeshift:changed", (event) => {
  if (!touched || !event.target.querySelector("[data-time]")) return;
  const again = [...event.target.querySelectorAll("[data-time]")].find((one) => nameOf(one) === touched);
  touched = null;
  if (!again) return;
  for (const one of event.target.querySelectorAll("[data-time]")) one.setAttribute("tabindex", one === again ? 0 : -1);
  again.focus();
});

// A part that is swapped is not announced; this place stays, and says the sentence when it is another.
document.addEventListener("edgeshift:changed", (event) => {
  const said = event.target.querySelector("h1");
  const place = document.getElementById("news");
  if (said && place && place.textContent !== said.textContent) place.textContent = said.textContent;
});
