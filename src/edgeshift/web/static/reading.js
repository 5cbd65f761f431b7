// Reading along the lines of a picture: which pixel is which energy, and what every line says there.
import { earned, energy, fill } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
const BESIDE = 12;
const LEADING = 24;

function given(rect, ...names) {
  return Object.fromEntries(names.map((name) => [name, Number(rect.dataset[name])]));
}

// Plots with their strips, and the lines in them: all from what the drawing carries.
export function plotsOf(svg) {
  const plots = [];
  for (const rect of svg.querySelectorAll("rect[data-plot=energy], rect[data-strip]")) {
    if (rect.dataset.plot) plots.push({ ...given(rect, "left", "right", "low", "high"), strips: [], lines: [] });
    else plots.at(-1)?.strips.push(given(rect, "top", "bottom", "valueTop", "valueBottom"));
  }
  for (const path of svg.querySelectorAll("path[data-x]")) {
    const line = lineOf(path);
    for (const plot of plots) {
      line.strip = plot.strips.findIndex((strip) => Math.abs(downOf(strip, line.at.value) - line.at.down) < 1.5);
      const inside = line.at.across > plot.left - 2 && line.at.across < plot.right + 2;
      if (inside && line.strip >= 0) { plot.lines.push(line); break; }
    }
  }
  return plots.filter((plot) => plot.lines.length);
}

function lineOf(path) {
  const numbers = (text) => text.split(" ").map(Number);
  const x = numbers(path.dataset.x), y = numbers(path.dataset.y);
  const [across, down] = (path.getAttribute("d").match(/-?[\d.]+/g) || [NaN, NaN]).map(Number);
  const value = y.find(Number.isFinite);
  const series = path.closest("[data-series]");
  return { path, series: series?.dataset.series || "", name: path.dataset.name || "", x, y, at: { across, down, value } };
}

function downOf(strip, value) {
  return strip.top + (strip.valueTop - value) / (strip.valueTop - strip.valueBottom) * (strip.bottom - strip.top);
}

export function energyAt(plot, across) {
  const share = (across - plot.left) / (plot.right - plot.left);
  return plot.low + Math.min(1, Math.max(0, share)) * (plot.high - plot.low);
}

export function acrossAt(plot, x) {
  return plot.left + (x - plot.low) / (plot.high - plot.low) * (plot.right - plot.left);
}

export function nearest(values, x) {
  let best = 0;
  for (let at = 1; at < values.length; at++) if (Math.abs(values[at] - x) < Math.abs(values[best] - x)) best = at;
  return best;
}

// What every line that is not hidden says at an energy: words, and where they belong.
function valuesAt(plot, x, columns, hidden) {
  return plot.lines.filter((line) => !hidden.has(line.series)).map((line) => {
    const full = columns?.get(line.name) || { x: line.x, y: line.y };
    const at = nearest(full.x, x);
    const value = full.y[at];
    if (!Number.isFinite(value)) return { words: fill("gap", { name: line.name }), down: null };
    const low = full.low?.[at], high = full.high?.[at];
    const half = (high - low) / 2;
    const banded = Number.isFinite(half);
    const parts = { value: earned(value, half), low: banded && earned(low, half), high: banded && earned(high, half) };
    const told = (name) => fill(banded ? "value" : "bare", { name, ...parts });
    return { words: told(line.name), short: told(line.name.split(":")[0]), down: downOf(plot.strips[line.strip], value), across: acrossAt(plot, full.x[at]) };
  });
}

function put(group, tag, attributes, text) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  if (text) made.textContent = text;
  group.append(made);
  return made;
}

// Words on a piece of sheet, so that no line runs through them.
function onPaper(group, attributes, words) {
  const text = put(group, "text", attributes, words);
  const { x, y, width, height } = text.getBBox();
  const paper = put(group, "rect", { x: x - 5, y: y - 1, width: width + 10, height: height + 2 });
  group.insertBefore(paper, text);
}

// Words of the picture that the reading would cut in two step back as long as it stands.
function stepBack(svg, group) {
  const papers = [...group.querySelectorAll("rect")].map((rect) => rect.getBBox());
  const meets = (a) => papers.some((b) => a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height);
  for (const text of svg.querySelectorAll("text")) if (!group.contains(text) && meets(text.getBBox())) text.classList.add("under");
}

// Names stand near their lines and never on one another.
function apart(told, top, bottom) {
  const rows = told.filter((one) => one.down !== null).sort((a, b) => a.down - b.down);
  rows.forEach((one, place) => { one.row = Math.max(one.down - 10, place ? rows[place - 1].row + LEADING : top + 16); });
  for (let place = rows.length - 1, floor = bottom; place >= 0; place--, floor -= LEADING) {
    rows[place].row = Math.min(rows[place].row, floor);
    floor = Math.min(floor, rows[place].row);
  }
  return rows;
}

export function clear(svg) {
  svg.querySelector("g.cross")?.remove();
  for (const text of svg.querySelectorAll(".under")) text.classList.remove("under");
}

// Draws the crosshair; returns the same in words.
export function show(svg, plot, x, columns, hidden) {
  clear(svg);
  const group = put(svg, "g", { class: "cross" });
  const across = acrossAt(plot, x);
  const top = plot.strips[0].top, bottom = plot.strips.at(-1).bottom;
  put(group, "line", { x1: across, x2: across, y1: top, y2: bottom });
  const right = across < (plot.left + plot.right) / 2;
  const text = { x: across + (right ? BESIDE : -BESIDE), "text-anchor": right ? "start" : "end" };
  const told = valuesAt(plot, x, columns, hidden);
  const at = fill("energy", { x: energy(x, plot.high - plot.low) });
  const rows = apart(told, top, bottom - LEADING - 6);
  for (const one of rows) put(group, "circle", { cx: one.across, cy: one.down, r: 5 });
  for (const one of rows) onPaper(group, { ...text, y: one.row }, one.short);
  onPaper(group, { ...text, y: bottom - 6, class: "at" }, at);
  stepBack(svg, group);
  return [at, ...told.map((one) => one.words)].join("; ");
}
