// The list of visits by keyboard.
import { on } from "./keys.js";

const names = () => [...document.querySelectorAll(".visits .name")];
function step(by) {
  const all = names();
  const at = all.indexOf(document.activeElement);
  all[Math.min(Math.max(at + by, 0), all.length - 1)]?.focus();
}
on("j", () => step(1));
on("k", () => step(-1));
on("/", () => document.getElementById("find").focus());
