// The words and numbers that scripts put on a page; they come with the page, in its language.
const box = document.getElementById("script-words");
const words = JSON.parse(box?.dataset.words || "{}");
const sign = box?.dataset.decimal || ".";

export function fill(key, parts = {}) {
  return words[key].replace(/\{(\w+)\}/g, (whole, name) => parts[name] ?? whole);
}

export function number(text) {
  return String(text).replace(".", sign).replace("-", "\u2212");
}

// Two digits of the give-or-take; three figures where there is none.
export function earned(value, half) {
  if (!(half > 0)) return number(Number(value.toPrecision(3)));
  const places = Math.min(8, Math.max(0, 1 - Math.floor(Math.log10(half))));
  return number((Number(value.toFixed(places)) + 0).toFixed(places));
}

export function energy(value, span) {
  return number(value.toFixed(span < 8 ? 2 : 1));
}
