"use strict";
// Choosing anything with data-play="RECORDING START END" plays these seconds, with a breath before and after.
const BREATH = 0.3;
let stop = null;
document.addEventListener("click", (event) => {
  const chosen = event.target.closest("[data-play]");
  if (!chosen) return;
  const [recording, start, end] = chosen.dataset.play.split(" ");
  const player = document.getElementById("sound-" + recording);
  if (!player) return;
  document.querySelectorAll("audio").forEach((other) => other.pause());
  if (stop) player.removeEventListener("timeupdate", stop);
  stop = () => {
    if (player.currentTime >= Number(end) + BREATH) {
      player.pause();
      player.removeEventListener("timeupdate", stop);
    }
  };
  player.currentTime = Math.max(0, Number(start) - BREATH);
  player.addEventListener("timeupdate", stop);
  player.play().catch(() => {});
});
