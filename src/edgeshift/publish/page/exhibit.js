// The exhibit. It shows one part of the page or another; every number on it was answered before and stands in it.
const root = document.documentElement;
const pageBody = document.body;
const find = (selector, inside = document) => inside.querySelector(selector);
const every = (selector, inside = document) => [...inside.querySelectorAll(selector)];
root.dataset.script = "on";

find("[data-turn]").addEventListener("click", () => {
  const dark = root.dataset.room ? root.dataset.room === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
  root.dataset.room = dark ? "light" : "dark";
});

// --- guess first: what was drawn stays in this page -----------------------------------------------------
const sheet = find("[data-pad]");
if (sheet) {
  pageBody.classList.add("guessing");
  const shows = find("[data-show]");
  const pad = new Pad(sheet, [], (changed, { points }) => { shows.disabled = points.length < 2; });
  const reveal = () => {
    find("[data-mine]").hidden = pad.points.length < 2;
    pageBody.classList.remove("guessing");
    pad.rest();
    for (const one of [find("#guess .buttons"), find("#where")]) one.remove();
    sheet.setAttribute("role", "group");
    sheet.removeAttribute("aria-describedby");
    sheet.removeAttribute("tabindex");
    find("#found").focus({ preventScroll: true });
  };
  shows.addEventListener("click", reveal);
  find("[data-skip]").addEventListener("click", reveal);
  find("[data-wipe]").addEventListener("click", () => pad.wipe());
}

// --- slide it yourself: one of what was tried ------------------------------------------------------------
for (const slid of every("[data-slid]")) {
  const range = find("[data-along]", slid);
  const along = range ? range.dataset.along.split(" ") : [];
  const pick = (nth) => {
    for (const one of every("[data-nth]", slid)) one.hidden = one.dataset.nth !== nth;
    for (const one of every("[data-try]", slid)) one.setAttribute("aria-pressed", String(one.dataset.try === nth));
    if (!range) return;
    range.value = along.indexOf(along.includes(nth) ? nth : slid.dataset.first);
    range.setAttribute("aria-valuetext", find(`[data-nth="${along[range.value]}"] .supposed`, slid).textContent);
  };
  range?.addEventListener("input", () => pick(along[range.value]));
  slid.addEventListener("click", ({ target }) => { const asked = target.closest("[data-try]"); if (asked) pick(asked.dataset.try); });
  pick(slid.dataset.first);
}
const edges = every("[data-edge]");
const turnTo = (edge) => {
  for (const one of every("[data-slid]")) one.hidden = one.dataset.slid !== edge;
  for (const one of edges) one.setAttribute("aria-pressed", String(one.dataset.edge === edge));
};
for (const one of edges) one.addEventListener("click", () => turnTo(one.dataset.edge));
if (edges.length) turnTo("0");

// --- the day, rewound -------------------------------------------------------------------------------------
const clock = find("[data-moment]");
if (clock) {
  const moments = every("[data-moment-at]");
  const go = (to) => {
    clock.value = to;
    for (const one of moments) one.hidden = one.dataset.momentAt !== clock.value;
    clock.setAttribute("aria-valuetext", moments[clock.value].dataset.words);
  };
  clock.addEventListener("input", () => go(clock.value));
  for (const one of every("[data-go]")) one.addEventListener("click", () => (one.dataset.go === "1" ? clock.stepUp() : clock.stepDown(), go(clock.value)));
  go(clock.value);
}
