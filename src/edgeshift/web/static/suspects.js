// Who could stand at an energy: pointing at a trace names the suspects whose stretch holds it. The stretches are
// the answer's own and come with the page; nothing is worked out here but which of them hold the place.
import { clear, energyAt, plotsOf, show } from "./reading.js";
import { energy, fill } from "./words.js";

const STEPS = 120;

function setUp(figure) {
  const drawn = figure.querySelector(".points"), said = figure.querySelector(".pointed");
  const svg = drawn.querySelector("svg"), plot = svg && plotsOf(svg)[0];
  if (!plot) return;
  const suspects = JSON.parse(drawn.dataset.suspects);
  let at, saying;
  svg.setAttribute("aria-hidden", "true");

  function tell(x, aloud) {
    at = Math.min(plot.high, Math.max(plot.low, x));
    show(svg, { ...plot, lines: [] }, at, null, new Set());
    const here = suspects.filter((one) => one.low <= at && at <= one.high);
    const head = document.createElement("b");
    head.textContent = fill("energy", { x: energy(at, plot.high - plot.low) });
    const rows = (here.length ? here.map((one) => one.words) : [fill("nobody")]).map((words) => {
      const row = document.createElement("li");
      row.textContent = words;
      if (here.length) row.lang = "en";
      return row;
    });
    const list = document.createElement("ul");
    list.append(...rows);
    // what a mouse passes over is seen, not read out; a key speaks once it rests
    said.setAttribute("aria-live", aloud ? "polite" : "off");
    clearTimeout(saying);
    saying = setTimeout(() => said.replaceChildren(head, list), aloud ? 150 : 0);
  }

  const under = (event) => {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return point.x >= plot.left - 8 && point.x <= plot.right + 8 ? energyAt(plot, point.x) : undefined;
  };
  for (const kind of ["pointermove", "click"]) drawn.addEventListener(kind, (event) => { const x = under(event); if (x !== undefined) tell(x, kind === "click"); });
  drawn.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: -1, ArrowRight: 1, PageDown: 10, PageUp: -10 }[event.key];
    const end = { Home: plot.low, End: plot.high }[event.key];
    if ((!way && end === undefined) || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    event.stopPropagation();
    const from = at ?? (way > 0 ? plot.low : plot.high);
    tell(end ?? from + way * (plot.high - plot.low) / STEPS, true);
  });
  drawn.addEventListener("blur", () => clear(svg));
}

function each(root) { for (const figure of root.querySelectorAll("figure.trace")) if (figure.querySelector(".points")) setUp(figure); }
document.addEventListener("edgeshift:changed", (event) => each(event.target));
each(document);
