// An open page hears that something changed, fetches its own parts, and swaps those whose mark is another.
const CHANGED = "edgeshift:changed";

// This address with one more thing said in it.
export function changed(name, value) {
  const to = new URL(location.href);
  to.searchParams.set(name, value);
  return to;
}

export async function refresh(address = location.href) {
  const reply = await fetch(address, { headers: { "x-part": "1" }, cache: "no-store" });
  if (!reply.ok) return;
  const fresh = new DOMParser().parseFromString(await reply.text(), "text/html");
  const parts = [...fresh.querySelectorAll("[data-part]")];
  const there = new Set(parts.map((part) => part.id));
  for (const part of parts) {
    const old = document.getElementById(part.id);
    if (!old) return location.reload();
    if (old.dataset.mark !== part.dataset.mark) swap(old, part);
  }
  for (const old of document.querySelectorAll("[data-part]")) if (!there.has(old.id)) old.remove();
}

// What somebody is writing in stays until they leave it.
function swap(old, part) {
  const writing = old.contains(document.activeElement) && document.activeElement.matches("input, textarea, select");
  if (writing) {
    document.activeElement.addEventListener("blur", () => setTimeout(() => swap(old, part), 200), { once: true });
    return;
  }
  const focused = old.contains(document.activeElement) && document.activeElement.id;
  const open = [...old.querySelectorAll("details[open][id]")].map((each) => each.id);
  old.replaceWith(document.adoptNode(part));
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  if (focused) document.getElementById(focused)?.focus();
  part.dispatchEvent(new CustomEvent(CHANGED, { bubbles: true }));
}

let busy = null;
let again = false;
export async function newest() {
  if (busy) { again = true; return; }
  busy = refresh().catch(() => {});
  await busy;
  busy = null;
  if (again) { again = false; newest(); }
}

function listen() {
  const stream = new EventSource("/events");
  stream.addEventListener("change", newest);
  stream.addEventListener("sleep", () => { stream.close(); document.body.dataset.live = "asleep"; });
  stream.addEventListener("open", () => { document.body.dataset.live = "yes"; });
  stream.addEventListener("error", () => {
    document.body.dataset.live = "no";
    // most browsers try again by themselves; one that gave up is asked to
    if (stream.readyState === EventSource.CLOSED) setTimeout(listen, 3000);
  });
  addEventListener("pagehide", () => stream.close());
  addEventListener("visibilitychange", () => {
    if (!document.hidden && document.body.dataset.live === "asleep") { delete document.body.dataset.live; listen(); }
  });
}

// An act is sent as JSON; what comes back is said where the act was made.
export async function act(path, body) {
  const reply = await fetch(path, {
    method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body),
  }).catch(() => null);
  if (!reply) return { ok: false, said: { refused: document.querySelector(".waiting")?.textContent } };
  const said = await reply.json().catch(() => ({}));
  return { ok: reply.ok, said };
}

function valueOf(field) {
  if (field.type === "checkbox") return field.checked;
  if (field.dataset.kind === "number") return field.value === "" ? null : Number(field.value);
  if (field.dataset.kind === "maybe") return field.value || null;
  if (field.dataset.kind === "json") return field.value === "" ? null : JSON.parse(field.value);
  return field.value;
}

// <form data-act="/api/..."> sends its named fields; data-next says where to go afterwards.
document.addEventListener("submit", async (event) => {
  const form = event.target.closest("form[data-act]");
  if (!form) return;
  event.preventDefault();
  const body = {};
  for (const field of form.elements) {
    if (!field.name || field.disabled || (field.type === "radio" && !field.checked)) continue;
    if (field.dataset.of) (body[field.dataset.of] ??= {})[field.name] = valueOf(field);
    else body[field.name] = valueOf(field);
  }
  if (event.submitter?.name) body[event.submitter.name] = valueOf(event.submitter);
  const { ok, said } = await act(form.dataset.act, body);
  const note = form.querySelector("[data-said]");
  if (note) { note.textContent = ok ? form.dataset.done || "" : said.refused || "Not now. Try again."; note.classList.toggle("refused", !ok); }
  if (!ok) return;
  // told to the document: the form itself may have been swapped meanwhile
  document.dispatchEvent(new CustomEvent("edgeshift:taken", { detail: form }));
  if (form.dataset.next || said.next) location.assign(form.dataset.next || said.next);
  else { if (form.hasAttribute("data-clears")) form.reset(); document.activeElement?.blur(); newest(); }
});

// A link within the same page changes what is shown without leaving it.
document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href]");
  if (!link || event.metaKey || event.ctrlKey || link.target || !document.body.classList.contains("stage")) return;
  const to = new URL(link.href, location.href);
  if (to.origin !== location.origin || to.pathname !== location.pathname) return;
  event.preventDefault();
  history.pushState(null, "", to);
  newest();
});
addEventListener("popstate", newest);

if (document.documentElement.dataset.rank !== "stranger") listen();
