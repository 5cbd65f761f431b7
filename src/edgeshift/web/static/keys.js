// The keys of a page, each with a button that does the same; light and language.
import "./day.js";
import { changed, refresh } from "./live.js";
import { keysAreOff } from "./quick.js";
import { stop } from "./hear.js";

const acts = new Map();
export function onKey(key, act) { acts.set(key, act); }

const WRITING = "input, textarea, select, [contenteditable]";

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.matches?.(WRITING) || keysAreOff(event)) return;
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

// A part that is swapped is not announced; this place stays, and says the sentence when it is another.
document.addEventListener("edgeshift:changed", (event) => {
  const said = event.target.querySelector("h1");
  const place = document.getElementById("news");
  if (said && place && place.textContent !== said.textContent) place.textContent = said.textContent;
});
