// A visit: its seconds of sound, corrections that change the page in place, and all of it by keyboard.
import { on } from "./keys.js";

const BREATH = 0.3; // seconds played before and after the words
const UNPLAYABLE = "This recording cannot be played here; its words stand below.";
let stop = null;

function playing() { return [...document.querySelectorAll("audio")].find((player) => !player.paused); }

function play(chosen) {
  const [recording, start, end] = chosen.dataset.play.split(" ");
  const player = document.getElementById(`sound-${recording}`);
  if (!player) return;
  player.onerror = () => say(UNPLAYABLE);
  if (player.error) { say(UNPLAYABLE); return; }
  document.querySelectorAll("audio").forEach((other) => other.pause());
  document.querySelectorAll(".playing").forEach((row) => row.classList.remove("playing"));
  const row = chosen.closest(".row") ?? document.querySelector(chosen.getAttribute("href") ?? "#none");
  row?.classList.add("playing");
  if (stop) player.removeEventListener("timeupdate", stop);
  stop = () => {
    if (player.currentTime < Number(end) + BREATH) return;
    player.pause();
    row?.classList.remove("playing");
    player.removeEventListener("timeupdate", stop);
  };
  const go = () => {
    player.currentTime = Math.max(0, Number(start) - BREATH);
    player.addEventListener("timeupdate", stop);
    player.play().catch(() => {});
  };
  if (player.readyState >= 1) go(); else { player.addEventListener("loadedmetadata", go, { once: true }); player.load(); }
}

document.addEventListener("click", (event) => {
  const chosen = event.target.closest("[data-play]");
  if (chosen) play(chosen);
});

// Corrections: the form is sent, the answer is the whole page, and only what it says of the visit takes the old one's place.
document.addEventListener("submit", async (event) => {
  const form = event.target.closest("form[data-change]");
  if (!form || event.defaultPrevented) return;
  event.preventDefault();
  const body = new URLSearchParams(new FormData(form, event.submitter));
  try {
    const answer = await fetch(form.action, { method: "POST", body, headers: { accept: "text/html" } });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (!answer.ok) {
      say(page.querySelector("h1")?.textContent ?? "That did not work.");
      if (answer.status === 409) await refresh();
      return;
    }
    change(page, form.closest(".row")?.id ?? form.dataset.place);
  } catch {
    say("There is no connection to the journal; nothing was changed.");
  } finally {
    delete form.dataset.sent;
  }
});

async function refresh() {
  const answer = await fetch(location.pathname, { headers: { accept: "text/html" } });
  const told = document.getElementById("announce").textContent;
  if (answer.ok) change(new DOMParser().parseFromString(await answer.text(), "text/html"), null);
  say(told);
}

// Enter keeps what was typed, Escape leaves it; both go back to the row.
document.addEventListener("keydown", (event) => {
  const form = event.target.closest?.("details.right form");
  if (!form || event.isComposing) return;
  if (event.key === "Enter" && event.target.matches("select")) { event.preventDefault(); form.requestSubmit(); }
  if (event.key === "Escape") {
    event.preventDefault();
    form.reset();
    form.closest("details").open = false;
    form.closest("[tabindex]")?.focus({ preventScroll: true });
  }
});

function words(root) {
  return new Map([...root.querySelectorAll("[data-verdict]")].map((one) => [one.dataset.verdict, one.dataset.word]));
}

function change(page, place) {
  const fresh = page.getElementById("visit");
  const here = document.getElementById("visit");
  if (!fresh || !here) { location.reload(); return; }
  const before = words(here);
  const top = place ? document.getElementById(place)?.getBoundingClientRect().top : null;
  for (const player of here.querySelectorAll("audio")) { // keep what is loaded, and where it stands
    const other = fresh.querySelector(`#${player.id}`);
    other?.replaceWith(player);
  }
  here.replaceWith(fresh);
  const changed = [...words(fresh)].filter(([name, word]) => before.get(name) !== word);
  for (const one of fresh.querySelectorAll("[data-verdict]")) {
    if (before.get(one.dataset.verdict) !== one.dataset.word) one.classList.add("changed-now");
  }
  const row = place ? document.getElementById(place) : null;
  const part = row?.querySelector(":scope details.wide");
  if (part) part.open = true; // the form for facts stays open: there is often more than one to write down
  (row?.matches("[tabindex]") ? row : part?.querySelector("select"))?.focus({ preventScroll: true });
  if (row && top !== null) window.scrollBy(0, row.getBoundingClientRect().top - top);
  say(changed.length ? changed.map(([name, word]) => `${name.trim()}: ${word}`).join("; ") : "Kept.");
}

function say(text) { document.getElementById("announce").textContent = text; }

const rows = () => [...document.querySelectorAll("[data-reading]")];
const current = () => document.activeElement?.closest?.("[data-reading]");
function go(row) { row?.focus({ preventScroll: true }); row?.scrollIntoView({ block: "center" }); }
function step(by, all = rows()) { // from where the focus is, or from the part of the page that was looked at last
  const here = document.activeElement?.closest?.("[tabindex]:not(main)");
  const after = (row) => here && here.compareDocumentPosition(row) & Node.DOCUMENT_POSITION_FOLLOWING;
  const ahead = here ? all.filter((row) => row !== here && Boolean(after(row)) === by > 0) : all;
  const found = by > 0 ? ahead[0] : ahead.at(-1);
  if (found) go(found); else say("There is no further one.");
}
function press(selector) { current()?.querySelector(selector)?.click(); }
function put(name) {
  const part = current()?.querySelector("details.right");
  const field = part?.querySelector(`[name=${name}]`);
  if (!field) return;
  part.open = true;
  field.focus();
  field.select?.();
}

const doubtful = () => rows().filter((row) => row.classList.contains("doubtful"));
on("j", () => step(1));
on("k", () => step(-1));
on("n", () => step(1, doubtful()));
on("N", () => step(-1, doubtful()));
on("v", () => step(1, [...document.querySelectorAll("[data-verdict]:not(.within, .overruled)")]));
on("p", () => { const player = playing(); if (player) player.pause(); else press("[data-play]"); });
on("1", () => press(".choices .keep"));
for (const key of ["2", "3", "4", "5"]) on(key, () => current()?.querySelectorAll(".choices .other")[Number(key) - 2]?.click());
on("e", () => put("value"));
on("u", () => put("unit"));
on("o", () => put("points"));
on("r", () => put("role"));
on("x", () => press("button[name=not_a_reading], button[name=again]"));
on("z", () => press("button[name=undo]"));
on("b", () => { const part = document.getElementById("bill"); part.querySelector("summary")?.focus(); part.scrollIntoView(); });
on("g n", () => { const next = document.getElementById("next-visit"); if (next) location.href = next.href; else say("No other visit is left to sign off."); });
