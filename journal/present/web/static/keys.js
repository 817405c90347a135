// Keys that every page knows; a page adds its own with on(key, what).  Nothing happens while somebody types.
const known = new Map();
let before = "";

export function on(key, what) { known.set(key, what); }

function typing(target) {
  return target.matches?.("input:not([type=checkbox]), select, textarea, [contenteditable]") || target.closest?.("dialog[open]");
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || typing(event.target)) return;
  const two = before === "g" ? `g ${event.key}` : "";
  before = event.key === "g" ? "g" : "";
  const what = known.get(two) ?? known.get(event.key);
  if (!what) return;
  if (event.key === " " && event.target.matches("button, summary, a")) return;
  event.preventDefault();
  what(event);
});

const list = document.getElementById("keys");
on("?", () => list.showModal());
on("g v", () => { location.href = "/visits"; });
on("g s", () => { location.href = "/capture"; });
for (const opener of document.querySelectorAll("[data-open=keys]")) opener.addEventListener("click", () => list.showModal());

// One press of a button sends a form once.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.method !== "post") return;
  if (form.dataset.sent) { event.preventDefault(); return; }
  if (form.dataset.ask && !window.confirm(form.dataset.ask)) { event.preventDefault(); return; }
  form.dataset.sent = "yes";
});
window.addEventListener("pageshow", () => document.querySelectorAll("form[data-sent]").forEach((form) => delete form.dataset.sent));
