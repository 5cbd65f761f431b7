// Keys of one letter, digit or sign can be switched off: a voice or a resting hand may press them unmeant (WCAG 2.1.4).
const OFF = "edgeshift-quick-keys-off";
const off = () => localStorage.getItem(OFF) === "yes";

export const keysAreOff = (event) => event.key.length === 1 && event.key !== " " && off();

function told() {
  for (const one of document.querySelectorAll("[data-quick-keys]")) one.setAttribute("aria-pressed", String(!off()));
}
document.addEventListener("click", (event) => {
  if (!event.target.closest("[data-quick-keys]")) return;
  localStorage.setItem(OFF, off() ? "no" : "yes");
  told();
});
document.addEventListener("edgeshift:changed", told);
told();
