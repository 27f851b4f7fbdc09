// The player goes to the second that a line names; keys for checking. Every page works without it.
"use strict";

function goTo(player, second, play) {
  const seek = () => { player.currentTime = second; if (play) player.play().catch(() => {}); };
  if (player.readyState > 0) { seek(); return; }
  player.addEventListener("loadedmetadata", seek, { once: true });
  player.preload = "metadata";
  player.load();
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("a.play[data-clip]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
  const player = document.getElementById("player-" + link.dataset.clip);
  if (!player) return;
  event.preventDefault();
  player.scrollIntoView({ block: "nearest" });
  player.focus({ preventScroll: true });
  goTo(player, Number(link.dataset.at), true);
});

document.querySelectorAll(".player").forEach((player) => {
  const start = Number(player.dataset.start);
  if (start > 0) goTo(player, start, false);
});

// A recording without a picture shows no captions by itself: the words said now stand below it.
document.querySelectorAll(".nowsaid").forEach((line) => {
  const player = document.getElementById(line.dataset.for);
  const track = player && player.textTracks[0];
  if (!track) return;
  track.mode = "hidden";
  track.addEventListener("cuechange", () => {
    line.textContent = Array.from(track.activeCues || [], (cue) => cue.text).join(" ");
  });
});

// Keys on the page "To check": each button names its own.
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("input, select, textarea, video, audio")) return;
  const button = Array.from(document.querySelectorAll("[data-key]")).find((one) => one.dataset.key === event.key);
  if (!button) return;
  event.preventDefault();
  button.click();
});

// On the page "To check" the last word heard decides what to listen to: the player stops at the end of the clip.
document.querySelectorAll(".player[data-end]").forEach((player) => {
  const end = Number(player.dataset.end);
  let stopped = false;
  player.addEventListener("timeupdate", () => {
    if (!stopped && player.currentTime >= end) { stopped = true; player.pause(); }
  });
});
