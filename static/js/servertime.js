// The server's time on this tablet. A page that comes from the server says what the time was there; a page
// that was kept says it of the past, so there the difference that was last seen counts.

const PLACE = "clock-ahead"; // ms by which this tablet's clock was ahead of the server's when last seen
const root = document.documentElement;

const remembered = () => {
  try {
    return Number(localStorage.getItem(PLACE)) || 0;
  } catch {
    return 0;
  }
};

function remember(ms) {
  ahead = Math.round(ms);
  try {
    localStorage.setItem(PLACE, String(ahead));
  } catch {
    // Not remembered; on this page it counts.
  }
}

let ahead = remembered();
const said = Date.parse(root.dataset.serverNow ?? "");
if (!("kept" in root.dataset) && !Number.isNaN(said)) {
  // When the page began to come, not when this script ran: a page on a slow network is old by then.
  const began = performance.timeOrigin + (performance.getEntriesByType("navigation")[0]?.responseStart ?? 0);
  remember(began - said);
}

/** Milliseconds by which this tablet's clock is ahead of the server's, as last seen. */
export const clockAhead = () => ahead;

/** The server's time now, in ms. */
export const now = () => Date.now() - ahead;

/** An answer said what the server's time was between these two moments of the tablet's clock. */
export function seen(server, asked, answered) {
  const moment = Date.parse(server);
  if (!Number.isNaN(moment)) remember((asked + answered) / 2 - moment);
}

// A clock that is set while this page stands shows against the one that only counts.
const drift = () => Date.now() - performance.timeOrigin - performance.now();
let before = drift();
setInterval(() => {
  const moved = drift() - before;
  if (Math.abs(moved) < 5000) return;
  before += moved;
  remember(ahead + moved);
}, 5000);

const zone = root.dataset.zone || undefined;
const day = (ms, timeZone) => new Intl.DateTimeFormat("en-CA", { timeZone, dateStyle: "short" }).format(ms);

/** A moment in words on the kitchen's clock: 14:30, with the date when it is not today. */
export function clock(ms, timeZone = zone) {
  const words = { timeZone, hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  const more = day(ms, timeZone) === day(now(), zone) ? {} : { weekday: "short", day: "numeric", month: "short" };
  return new Intl.DateTimeFormat(root.lang || "en-GB", { ...words, ...more }).format(ms).replace(",", "");
}

/** When an entry of the outbox happened: as it was typed on the kitchen's clock, or when it was made. */
export function happened({ fields, tablet_time, ahead_ms }) {
  const typed = fields.at?.[0];
  return typed ? clock(Date.parse(`${typed}Z`), "UTC") : clock(Date.parse(tablet_time) - ahead_ms);
}
