// The day line: a moment that is touched takes the page back to what was known then.
import { changed, newest } from "./live.js";

let touched = null;
document.addEventListener("click", (event) => {
  const moment = event.target.closest?.("[data-time]");
  if (moment) rewind(moment);
});

function rewind(moment) {
  touched = nameOf(moment);
  const to = changed("until", moment.dataset.time);
  // the Wing itself is always of now: there a moment opens the host's own look at it
  if (location.pathname === "/wing") { to.pathname = "/wing/look"; location.assign(to); return; }
  history.pushState(null, "", to);
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
