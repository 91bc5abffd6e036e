// Live clocks. <time data-until="ISO"> counts down to its moment (m:ss within the hour, h:mm beyond);
// past it, it counts up with a plus sign. Without script the text that the server wrote stands.
// svg[data-now][data-scale] is a lanes picture: its line `.now` moves from `data-now` (ISO) on,
// `data-scale` units of the picture per minute.

import { now } from "./servertime.js";

const pad = (number) => String(number).padStart(2, "0");

export function left(seconds) {
  const gone = seconds < 0;
  const all = gone ? Math.floor(-seconds) : Math.ceil(seconds);
  const text =
    all < 3600
      ? `${Math.floor(all / 60)}:${pad(all % 60)}`
      : `${Math.floor(all / 3600)} h ${pad(Math.floor((all % 3600) / 60))}`;
  return gone ? `+${text}` : text;
}


function tick() {
  for (const clock of document.querySelectorAll("time[data-until]")) {
    const seconds = (Date.parse(clock.dataset.until) - now()) / 1000;
    if (Number.isNaN(seconds)) continue;
    const text = left(seconds);
    if (clock.textContent !== text) clock.textContent = text;
    if (seconds < 0 && !clock.classList.contains("clock-done")) {
      clock.classList.add("clock-done");
      clock.dispatchEvent(new CustomEvent("clock-done", { bubbles: true }));
    }
  }
  for (const lanes of document.querySelectorAll("svg[data-now]")) {
    const minutes = (now() - Date.parse(lanes.dataset.now)) / 60000;
    const shift = Math.max(0, minutes * Number(lanes.dataset.scale));
    lanes.querySelector("[data-now-line]")?.setAttribute("transform", `translate(${shift.toFixed(1)} 0)`);
  }
}

if (document.querySelector("time[data-until], svg[data-now]")) {
  tick();
  setInterval(tick, 1000);
}
