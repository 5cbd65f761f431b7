// The Pocket: a pencil for a guess, the words that can be touched, and drafts that outlive a restart.
const CHANGED = "edgeshift:changed";
const COLUMNS = 200;
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

class Pad {
  constructor(box) {
    this.box = box;
    this.key = `guess ${box.dataset.round}`;
    const plot = box.querySelector("[data-plot]").dataset;
    const strip = box.querySelector("[data-strip]").dataset;
    this.x = { left: +plot.left, right: +plot.right, low: +plot.low, high: +plot.high };
    this.y = { top: +strip.top, bottom: +strip.bottom, high: +strip.valueTop, low: +strip.valueBottom };
    this.heights = new Array(COLUMNS + 1).fill(null);
    this.at = { column: 0, height: 0 };
    this.halo = box.querySelector(".halo");
    this.take(JSON.parse(remembered(this.key) || box.dataset.sent || "[]"));
    this.listen();
    this.draw();
  }
  get points() {
    return this.heights.flatMap((height, column) => (height === null ? [] : [[+this.energy(column).toFixed(3), +height.toFixed(4)]]));
  }
  energy(column) { return this.x.low + ((this.x.high - this.x.low) * column) / COLUMNS; }
  across(column) { return this.x.left + ((this.x.right - this.x.left) * column) / COLUMNS; }
  down(height) { return this.y.bottom - ((height - this.y.low) / (this.y.high - this.y.low)) * (this.y.bottom - this.y.top); }

  // Points that were sent or kept, read onto the columns of this sheet.
  take(points) {
    for (let n = 1; n < points.length; n++) this.stretch(this.placed(points[n - 1]), this.placed(points[n]));
  }
  placed([energy, height]) {
    return { column: Math.round(((energy - this.x.low) / (this.x.high - this.x.low)) * COLUMNS), height };
  }
  under(event) {
    const box = this.box.querySelector(".pencil").getBoundingClientRect();
    const scale = Math.min(box.width / 390, box.height / 440);
    const x = (event.clientX - box.left - (box.width - 390 * scale) / 2) / scale;
    const y = (event.clientY - box.top - (box.height - 440 * scale) / 2) / scale;
    const share = Math.min(1, Math.max(0, (x - this.x.left) / (this.x.right - this.x.left)));
    const up = Math.min(1, Math.max(0, (this.y.bottom - y) / (this.y.bottom - this.y.top)));
    return { column: Math.round(share * COLUMNS), height: this.y.low + up * (this.y.high - this.y.low) };
  }
  // A later stroke takes the place of what stood over its energies.
  stretch(from, to) {
    const steps = Math.abs(to.column - from.column);
    for (let n = 0; n <= steps; n++) {
      const column = from.column + Math.sign(to.column - from.column) * n;
      if (column >= 0 && column <= COLUMNS) this.heights[column] = from.height + ((to.height - from.height) * n) / (steps || 1);
    }
    this.at = to;
  }
  listen() {
    const over = this.box;
    over.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      over.setPointerCapture(event.pointerId);
      this.pen = event.pointerId;
      this.move(this.under(event), true);
      event.preventDefault();
    });
    over.addEventListener("pointermove", (event) => {
      if (event.pointerId !== this.pen) return;
      for (const each of event.getCoalescedEvents?.() ?? [event]) this.move(this.under(each));
    });
    for (const end of ["pointerup", "pointercancel"]) over.addEventListener(end, () => { this.pen = null; this.draw(); });
    over.addEventListener("keydown", (event) => this.key_down(event));
    over.addEventListener("blur", () => this.draw());
    over.addEventListener("focus", () => this.draw());
  }
  move(to, fresh = false) {
    this.stretch(fresh ? to : this.at, to);
    this.changed();
  }
  key_down(event) {
    const step = (this.y.high - this.y.low) / 40;
    const { column, height } = this.at;
    const far = event.shiftKey ? 20 : 4;
    const to = {
      ArrowLeft: { column: Math.max(0, column - far), height },
      ArrowRight: { column: Math.min(COLUMNS, column + far), height },
      ArrowUp: { column, height: Math.min(this.y.high, height + step) },
      ArrowDown: { column, height: Math.max(this.y.low, height - step) },
    }[event.key];
    if (event.key === "Delete") this.wipe();
    if (!to) return;
    event.preventDefault();
    this.move(to);
    this.tell();
  }
  tell() {
    const { unit, at } = this.box.dataset;
    document.getElementById("where").textContent = `${this.at.height.toFixed(2)} ${unit} ${at} ${this.energy(this.at.column).toFixed(1)} eV`;
  }
  wipe() {
    this.heights.fill(null);
    this.at = { column: 0, height: 0 };
    this.changed();
  }
  changed() {
    remember(this.key, this.points.length ? JSON.stringify(this.points) : "");
    this.draw();
  }
  draw() {
    const path = this.heights.flatMap((height, column) => (height === null ? [] : [`${this.across(column).toFixed(1)} ${this.down(height).toFixed(1)}`])).join("L");
    for (const line of this.box.querySelectorAll(".pencil path")) line.setAttribute("d", path && `M${path}`);
    const held = this.pen || this.box.matches(":focus-visible");
    this.halo.toggleAttribute("hidden", !held);
    this.halo.setAttribute("cx", this.across(this.at.column));
    this.halo.setAttribute("cy", this.down(this.at.height));
    const form = document.querySelector("form[data-guess]");
    if (!form) return;
    form.elements.points.value = JSON.stringify(this.points);
    form.querySelector("button.main").disabled = this.points.length < 2;
  }
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
  else if (pad?.box !== box) pad = new Pad(box);
  else pad.draw();
  restore(inside);
}
document.addEventListener(CHANGED, (event) => begin(event.target));
begin(document);
