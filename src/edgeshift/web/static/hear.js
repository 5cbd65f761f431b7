// A picture for the ear: energy is time, absorption is pitch, the width of the band is roughness.
// Every line is announced in words before it sounds, and the crosshair follows it: nothing is told by sound alone.
import { energy, fill } from "./words.js";

const LOWEST_HZ = 220;
const OCTAVES = 2;
const SWEEP_S = 4;
const ANNOUNCED_MS = 1600;
const STEPS = 240;
const ROUGH_HZ = 70; // the ear finds beats of about 70 a second roughest (Zwicker and Fastl, Psychoacoustics)
const ROUGHEST = 0.25; // a band as wide as this share of what the lines reach over beats fully (our choice)

let playing = null;

export function stop() {
  if (!playing) return false;
  playing.over = true;
  playing.context.close();
  playing = null;
  return true;
}

const pause = (ms) => new Promise((done) => setTimeout(done, ms));

// `lines`: name, strip, x, y, low, high. `told` says words, `at` is told the energy that sounds.
export async function hear(lines, told, at) {
  const Context = window.AudioContext;
  if (!Context) return told(fill("no-sound"));
  const mine = playing = { context: new Context(), over: false };
  await mine.context.resume();
  for (const line of lines) {
    const low = line.x[0], high = line.x.at(-1);
    told(fill("hear", { name: line.name, low: energy(low, high - low), high: energy(high, high - low) }));
    await pause(ANNOUNCED_MS);
    if (mine.over) return;
    await sound(mine, line, reachOf(lines.filter((other) => other.strip === line.strip)), at);
    if (mine.over) return;
  }
  told(fill("heard"));
  stop();
}

function reachOf(lines) {
  const values = lines.flatMap((line) => line.y.filter(Number.isFinite));
  return [Math.min(...values), Math.max(...values)];
}

export function curvesOf(line, [least, most]) {
  const span = most - least || 1;
  const pitch = new Float32Array(STEPS), loud = new Float32Array(STEPS), beat = new Float32Array(STEPS);
  let place = 0, last = LOWEST_HZ;
  for (let step = 0; step < STEPS; step++) {
    const x = line.x[0] + step / (STEPS - 1) * (line.x.at(-1) - line.x[0]);
    while (place < line.x.length - 1 && line.x[place + 1] <= x) place++;
    const known = Number.isFinite(line.y[place]);
    if (known) last = LOWEST_HZ * 2 ** (OCTAVES * (line.y[place] - least) / span);
    const wide = line.low ? line.high[place] - line.low[place] : 0;
    const rough = known ? Math.min(1, wide / (ROUGHEST * span)) || 0 : 0;
    pitch[step] = last;
    loud[step] = known ? 0.25 * (1 - rough / 2) : 0;
    beat[step] = 0.25 * rough / 2;
  }
  return { pitch, loud, beat };
}

function sound(mine, line, reach, at) {
  const { context } = mine;
  const { pitch, loud, beat } = curvesOf(line, reach);
  const tone = context.createOscillator(), rough = context.createOscillator();
  const level = context.createGain(), depth = context.createGain();
  const from = context.currentTime + 0.05;
  tone.type = "triangle";
  rough.frequency.value = ROUGH_HZ;
  tone.frequency.setValueCurveAtTime(pitch, from, SWEEP_S);
  level.gain.setValueCurveAtTime(loud, from, SWEEP_S);
  depth.gain.setValueCurveAtTime(beat, from, SWEEP_S);
  rough.connect(depth).connect(level.gain);
  tone.connect(level).connect(context.destination);
  for (const one of [tone, rough]) { one.start(from); one.stop(from + SWEEP_S); }
  follow(mine, line, from, at);
  return new Promise((done) => { tone.onended = done; });
}

function follow(mine, line, from, at) {
  if (mine.over) return;
  const share = (mine.context.currentTime - from) / SWEEP_S;
  if (share > 1) return;
  if (share >= 0) at(line.x[0] + share * (line.x.at(-1) - line.x[0]));
  requestAnimationFrame(() => follow(mine, line, from, at));
}
