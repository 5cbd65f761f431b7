// The numbers of a picture: every row for pointing and hearing, some sixty for reading.
import { fill, number } from "./words.js";

const kept = new WeakMap();

async function tables(asked, full) {
  const reply = await fetch(`/api/tables?${asked}${full ? "&full=1" : ""}`, { cache: "no-store" });
  if (!reply.ok) throw new Error((await reply.json()).refused);
  return reply.json();
}

// By name of a line: its energies, values and both ends of its band. Fetched once for each drawing.
export function columns(drawn) {
  if (!kept.has(drawn)) kept.set(drawn, tables(drawn.dataset.asked, true).then(byName).catch(() => new Map()));
  return kept.get(drawn);
}

function byName(found) {
  const named = new Map();
  for (const { columns: heads, rows } of found) {
    const column = (head) => { const at = heads.indexOf(head); return at < 0 ? null : rows.map((row) => row[at]); };
    for (const head of heads.slice(1)) {
      if (typeof rows[0]?.[0] !== "number" || named.has(head)) continue;
      named.set(head, { x: rows.map((row) => row[0]), y: column(head), low: column(`${head}, low`), high: column(`${head}, high`) });
    }
  }
  return named;
}

function cell(tag, text, scope) {
  const made = document.createElement(tag);
  made.textContent = text;
  if (scope) made.scope = scope;
  return made;
}

function tableOf({ title, columns: heads, rows }) {
  const table = document.createElement("table");
  table.append(cell("caption", title));
  const head = table.createTHead().insertRow();
  for (const word of heads) head.append(cell("th", word, "col"));
  const body = table.createTBody();
  for (const row of rows) {
    const line = body.insertRow();
    row.forEach((value, place) => {
      const told = value === null ? "\u2013" : typeof value === "number" ? number(value) : value;
      line.append(place ? cell("td", told) : cell("th", told, "row"));
    });
  }
  return table;
}

export async function showTable(drawn) {
  const sheet = document.getElementById("numbers");
  if (sheet.open) return sheet.close();
  const place = sheet.querySelector(".tables");
  const found = await tables(drawn.dataset.asked, false).catch(() => null);
  const note = document.createElement("p");
  note.lang = document.documentElement.lang;
  note.textContent = found ? fill("no-table") : fill("failed");
  place.replaceChildren(...(found?.length ? found.map(tableOf) : [note]));
  if (!sheet.open) sheet.showModal();
}
