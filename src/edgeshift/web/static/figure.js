// A picture that can be touched: zoom, pan, point, hide, read as a table, hear. Ours alone; it asks our own server.
import { columns, showTable } from "./numbers.js";
import { clear, energyAt, nearest, plotsOf, show } from "./reading.js";
import { hear, stop } from "./hear.js";
import { energy, fill } from "./words.js";
import { onKey } from "./keys.js";

const STEP = 1.4;
const NARROW = 900;
const NOTE_MS = 5000;
const remembered = new Map();
const pictures = new Map();

class Picture {
  constructor(figure) {
    this.figure = figure;
    this.drawn = figure.querySelector(".drawn");
    this.note = figure.querySelector(".reading");
    this.asked = this.drawn.dataset.asked;
    const before = remembered.get(figure.id);
    this.hidden = before?.asked === this.asked ? before.hidden : new Set();
    remembered.set(figure.id, { asked: this.asked, hidden: this.hidden, window: before?.window });
    this.begin(before?.asked === this.asked ? before.window : null);
    this.listen();
  }

  get svg() { return this.drawn.querySelector("svg"); }
  get zoomed() { return this.target.low > this.whole.low || this.target.high < this.whole.high; }

  begin(window) {
    this.first = this.svg;
    this.narrow = this.drawn.clientWidth < NARROW;
    this.take();
    if (!this.plots.length) { this.whole = this.target = { low: 0, high: 0 }; if (this.narrow) this.ask(null); return; }
    const { low, high } = this.plots[0];
    this.whole = this.target = { low, high };
    if (window) this.want(window.low, window.high);
    else if (this.narrow) this.ask(null);
  }

  // What the present drawing carries.
  take() {
    this.plots = plotsOf(this.svg);
    this.svg.setAttribute("aria-hidden", "true");
    this.places();
    this.mark();
    if (this.at !== undefined) this.read(this.at, false);
  }

  want(low, high) {
    const whole = this.whole, span = Math.min(high - low, whole.high - whole.low);
    const from = Math.min(Math.max(low, whole.low), whole.high - span);
    this.target = { low: from, high: from + span };
    remembered.get(this.figure.id).window = this.target;
    if (this.zoomed) this.ask(this.target);
    else this.back();
  }

  zoom(factor, at = this.at ?? (this.target.low + this.target.high) / 2) {
    const { low, high } = this.target;
    this.want(at - (at - low) * factor, at + (high - at) * factor);
  }

  pan(share) {
    const { low, high } = this.target;
    this.want(low + share * (high - low), high + share * (high - low));
  }

  // The width decides whether panels stand beside or beneath one another.
  resized() {
    const narrow = this.drawn.clientWidth < NARROW;
    if (narrow === this.narrow) { this.places(); this.mark(); return; }
    this.narrow = narrow;
    if (this.zoomed) this.ask(this.target);
    else this.back();
  }

  back() {
    this.target = this.whole;
    remembered.get(this.figure.id).window = null;
    if (this.narrow) return this.ask(null);
    this.waiting = undefined;
    this.turn = {};
    if (this.svg !== this.first) { this.svg.replaceWith(this.first); this.take(); this.told(this.first.getAttribute("aria-label")); }
    this.say(fill("whole"));
  }

  // One request at a time; of what was wanted meanwhile only the newest is asked for.
  async ask(window) {
    this.waiting = window;
    if (this.busy) return;
    this.busy = true;
    while (this.waiting !== undefined) {
      const wanted = this.waiting, turn = this.turn = {};
      this.waiting = undefined;
      const reply = await fetch(this.address(wanted), { cache: "no-store" }).catch(() => null);
      const text = await reply?.text();
      if (this.turn !== turn || !this.drawn.isConnected) continue;
      if (reply?.ok) this.put(text, wanted);
      else { this.target = this.seen || this.whole; this.say(text || fill("failed")); }
    }
    this.busy = false;
  }

  address(window) {
    const { asked, few, width, height } = this.drawn.dataset;
    const more = new URLSearchParams({ few, theme: document.documentElement.dataset.room, width, height });
    if (this.narrow) { more.set("width", Math.max(320, Math.round(this.drawn.clientWidth))); more.set("height", 440); }
    if (window) { more.set("low", window.low.toFixed(3)); more.set("high", window.high.toFixed(3)); }
    return `/api/picture?${asked}&${more}`;
  }

  put(text, window) {
    const made = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
    const focused = document.activeElement?.dataset?.hides;
    this.seen = window;
    this.svg.replaceWith(document.adoptNode(made));
    this.take();
    this.told(made.getAttribute("aria-label"));
    if (focused) this.figure.querySelector(`[data-hides="${focused}"]`)?.focus();
    if (window) this.say(fill("window", { low: energy(window.low, window.high - window.low), high: energy(window.high, window.high - window.low) }));
  }

  told(words) {
    this.figure.querySelector("figcaption").textContent = words;
  }

  // What is said stands in the page too, for a while.
  say(words, seen = true) {
    this.note.textContent = words;
    this.note.classList.toggle("read-only", !seen);
    clearTimeout(this.fading);
    if (seen) this.fading = setTimeout(() => { this.note.textContent = ""; }, NOTE_MS);
  }

  // A button over every name of a line, to hide the line and to show it again.
  places() {
    const box = this.figure.getBoundingClientRect();
    const made = [];
    for (const group of this.svg.querySelectorAll("g[data-series]")) {
      const texts = [...group.querySelectorAll(":scope > text")];
      if (!texts.length) continue;
      group.classList.add("name");
      const series = group.dataset.series;
      const edges = texts.map((text) => text.getBoundingClientRect());
      const button = document.createElement("button");
      const left = Math.min(...edges.map((e) => e.left)) - box.left, top = Math.min(...edges.map((e) => e.top)) - box.top;
      const right = Math.max(...edges.map((e) => e.right)) - box.left, bottom = Math.max(...edges.map((e) => e.bottom)) - box.top;
      const more = Math.max(0, 44 - (bottom - top)) / 2;
      Object.assign(button.style, { left: `${left - 4}px`, top: `${top - more}px`, width: `${Math.max(44, right - left + 8)}px`, height: `${bottom - top + 2 * more}px` });
      button.type = "button";
      button.dataset.hides = series;
      button.dataset.name = this.svg.querySelector(`g[data-series="${series}"] path[data-name]`)?.dataset.name || texts[0].textContent;
      button.setAttribute("aria-label", fill("hide", { name: button.dataset.name }));
      if (!made.some((other) => other.dataset.hides === series)) made.push(button);
    }
    this.figure.querySelector(".names").replaceChildren(...made);
  }

  mark() {
    for (const group of this.svg.querySelectorAll("g[data-series]")) group.classList.toggle("off", this.hidden.has(group.dataset.series));
    for (const button of this.figure.querySelectorAll("[data-hides]")) button.setAttribute("aria-pressed", String(!this.hidden.has(button.dataset.hides)));
  }

  hide(button) {
    const { hides, name } = button.dataset;
    const gone = !this.hidden.delete(hides);
    if (gone) this.hidden.add(hides);
    this.mark();
    if (this.at !== undefined) this.read(this.at, false);
    this.say(fill(gone ? "hidden" : "shown", { name }));
  }

  async read(x, aloud) {
    this.at = x;
    const plot = this.plots.find((one) => x >= one.low && x <= one.high);
    if (!plot) return clear(this.svg);
    const draw = (found) => show(this.svg, plot, x, found, this.hidden);
    draw(null);
    const found = await columns(this.drawn);
    if (this.at !== x) return;
    const words = draw(found);
    clearTimeout(this.saying);
    if (aloud) this.saying = setTimeout(() => this.say(words, false), 250);
  }

  leave() {
    this.at = undefined;
    clear(this.svg);
  }

  // From point to point of the first line that is shown.
  step(by) {
    const plot = this.plots[0];
    if (!plot) return this.say(fill("no-curve"));
    const line = plot.lines.find((one) => !this.hidden.has(one.series)) || plot.lines[0];
    const inside = line.x.filter((x) => x >= plot.low && x <= plot.high);
    const from = this.at === undefined ? (by > 0 ? -1 : inside.length) : nearest(inside, this.at);
    this.read(inside[Math.min(inside.length - 1, Math.max(0, from + by))], true);
  }

  async listenTo() {
    if (stop()) return this.say(fill("silent"));
    const plot = this.plots[0];
    if (!plot) return this.say(fill("no-curve"));
    const found = await columns(this.drawn);
    const shown = plot.lines.filter((line) => !this.hidden.has(line.series) && line.y.some(Number.isFinite));
    const lines = shown.map((line) => within({ name: line.name, strip: line.strip, ...(found.get(line.name) || { x: line.x, y: line.y }) }, plot));
    hear(lines, (words) => this.say(words), (x) => this.read(x, false));
  }

  energyUnder(event) {
    const matrix = this.svg.getScreenCTM();
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    const plot = this.plots.find((one) => point.x >= one.left - 8 && point.x <= one.right + 8);
    return plot && { plot, x: energyAt(plot, point.x), across: point.x };
  }

  listen() {
    const fingers = new Map();
    let from = null;
    const begin = () => {
      const [a, b] = [...fingers.values()];
      const first = this.energyUnder(a), second = b && this.energyUnder(b);
      from = first && { ...first, target: this.target, second, apart: second && Math.abs(a.clientX - b.clientX) };
    };
    this.drawn.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      fingers.set(event.pointerId, event);
      begin();
    });
    this.drawn.addEventListener("pointermove", (event) => {
      const under = this.energyUnder(event);
      if (!fingers.has(event.pointerId) || !from) { if (under && event.pointerType === "mouse") this.read(under.x, false); return; }
      fingers.set(event.pointerId, event);
      const { low, high } = from.target, perPixel = (high - low) / (from.plot.right - from.plot.left);
      if (fingers.size === 2 && from.second) {
        const [a, b] = [...fingers.values()];
        const factor = from.apart / Math.max(12, Math.abs(a.clientX - b.clientX)), middle = (from.x + from.second.x) / 2;
        this.want(middle - (middle - low) * factor, middle + (high - middle) * factor);
      } else if (this.zoomed && under) {
        this.drawn.setPointerCapture(event.pointerId);
        const moved = (from.across - under.across) * perPixel;
        this.want(low + moved, high + moved);
      } else if (under) this.read(under.x, false);
    });
    const lift = (event) => { fingers.delete(event.pointerId); from = null; if (fingers.size) begin(); };
    for (const kind of ["pointerup", "pointercancel"]) this.drawn.addEventListener(kind, lift);
    this.drawn.addEventListener("click", (event) => { const under = this.energyUnder(event); if (under) this.read(under.x, true); });
    this.drawn.addEventListener("pointerleave", (event) => { if (event.pointerType === "mouse" && document.activeElement !== this.drawn) this.leave(); });
    this.drawn.addEventListener("dblclick", () => this.plots.length && this.back());
    this.drawn.addEventListener("wheel", (event) => {
      const scrolls = document.documentElement.scrollHeight > innerHeight + 1;
      const under = this.energyUnder(event);
      if (!under || (scrolls && !event.ctrlKey)) return;
      event.preventDefault();
      this.zoom(Math.exp(Math.max(-1, Math.min(1, event.deltaY * 0.003))), under.x);
    }, { passive: false });
    this.drawn.addEventListener("keydown", (event) => this.key(event));
    this.figure.querySelector(".names").addEventListener("click", (event) => { const button = event.target.closest("[data-hides]"); if (button) this.hide(button); });
    new ResizeObserver(() => { if (this.drawn.isConnected) this.resized(); }).observe(this.drawn);
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const way = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (way && event.shiftKey) this.pan(0.2 * way);
    else if (way) this.step(way);
    else if (event.key === "PageUp" || event.key === "PageDown") this.step(event.key === "PageUp" ? -10 : 10);
    else if (event.key === "Home" || event.key === "End") { this.at = undefined; this.step(event.key === "Home" ? 1 : -1); }
    else return;
    event.preventDefault();
  }
}

function within(line, plot) {
  const kept = line.x.map((x, at) => at).filter((at) => line.x[at] >= plot.low && line.x[at] <= plot.high);
  const cut = (values) => values && kept.map((at) => values[at]);
  return { ...line, x: cut(line.x), y: cut(line.y), low: cut(line.low), high: cut(line.high) };
}

function setUp(root = document) {
  const found = root.matches?.("figure") ? [root] : root.querySelectorAll("figure");
  for (const figure of found) if (figure.querySelector(".drawn") && pictures.get(figure.id)?.figure !== figure) { stop(); pictures.set(figure.id, new Picture(figure)); }
}

// The picture that has the keyboard, else the first one.
function mine() {
  const all = [...pictures.values()].filter((one) => one.figure.isConnected);
  return all.find((one) => one.figure.contains(document.activeElement)) || all[0];
}

onKey("+", () => mine()?.plots.length && mine().zoom(1 / STEP));
onKey("=", () => mine()?.plots.length && mine().zoom(1 / STEP));
onKey("-", () => mine()?.plots.length && mine().zoom(STEP));
onKey("0", () => mine()?.plots.length && mine().back());
onKey("t", () => mine() && showTable(mine().drawn));
onKey("h", () => mine()?.listenTo());
document.addEventListener("edgeshift:changed", (event) => setUp(event.target));
document.fonts.ready.then(() => { for (const one of pictures.values()) one.places(), one.mark(); });
setUp();
