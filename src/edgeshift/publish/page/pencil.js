// A pencil over a picture of 390 by 440: strokes by finger, mouse or arrow keys, kept as heights over columns of
// energy. Its box holds the picture, whose [data-plot] and [data-strip] say which pixel is what, and a .pencil.
const COLUMNS = 200;

export class Pad {
  constructor(box, before = [], tell = () => {}) {
    this.box = box;
    this.told = tell;
    const plot = box.querySelector("[data-plot]").dataset;
    const strip = box.querySelector("[data-strip]").dataset;
    this.x = { left: +plot.left, right: +plot.right, low: +plot.low, high: +plot.high };
    this.y = { top: +strip.top, bottom: +strip.bottom, high: +strip.valueTop, low: +strip.valueBottom };
    this.heights = new Array(COLUMNS + 1).fill(null);
    this.at = { column: 0, height: 0 };
    this.halo = box.querySelector(".halo");
    this.take(before);
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
  // The line stays, and nothing draws any more.
  rest() { this.over = true; }
  listen() {
    const over = this.box;
    over.addEventListener("pointerdown", (event) => {
      if (event.button || this.over) return;
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
    if (this.over) return;
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
    this.draw(true);
  }
  draw(changed = false) {
    const path = this.heights.flatMap((height, column) => (height === null ? [] : [`${this.across(column).toFixed(1)} ${this.down(height).toFixed(1)}`])).join("L");
    for (const line of this.box.querySelectorAll(".pencil path")) line.setAttribute("d", path && `M${path}`);
    const held = this.pen || this.box.matches(":focus-visible");
    this.halo.toggleAttribute("hidden", !held);
    this.halo.setAttribute("cx", this.across(this.at.column));
    this.halo.setAttribute("cy", this.down(this.at.height));
    this.told(changed, this);
  }
}
