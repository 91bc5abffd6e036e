// The outbox: entries made on this tablet that the server has not taken. They are sent in their order; the
// server says of each whether it was taken, known already, held, or refused. Nothing is let go before that.

import { fact, letGo, mark, setFact, waiting } from "./tablet.js";
import { seen } from "./servertime.js";

const AT_ONCE = 20;
const EVERY = 20_000;
const LIVE = 15_000; // a page may be sending it by its own form that long
const PATIENCE = 20_000;
const channel = new BroadcastChannel("outbox");
const tell = (said) => {
  const detail = { ...said };
  channel.postMessage(detail);
  document.dispatchEvent(new CustomEvent("outbox", { detail }));
};
channel.addEventListener("message", ({ data }) => document.dispatchEvent(new CustomEvent("outbox", { detail: data })));

export const token = () => /(?:^|; )csrftoken=([^;]+)/.exec(document.cookie)?.[1] ?? "";

/** Whether the server answers, asked with little patience. */
export async function reachable(patience = 1500) {
  if (!navigator.onLine) return false;
  const answer = await fetch("/outbox/here/", { cache: "no-store", signal: AbortSignal.timeout(patience) }).catch(() => null);
  return Boolean(answer?.ok);
}

/** What stands in the outbox changed. */
export const changed = () => tell({ changed: true });

/** Only one page of this tablet sends at a time. */
export function flush() {
  if (!navigator.locks) return send();
  return navigator.locks.request("outbox", { ifAvailable: true }, (lock) => (lock ? send() : undefined));
}

async function send() {
  for (;;) {
    const all = await waiting();
    const ready = all.filter((each) => !each.refused);
    // In their order: what a page is just sending itself holds back what came after it.
    const live = ready.findIndex((each) => Date.now() - (each.live ?? 0) < LIVE);
    const part = ready.slice(0, live < 0 ? AT_ONCE : Math.min(live, AT_ONCE));
    if (!part.length) return;
    const went = await post(part);
    if (went !== true) return tell({ changed: true, ...went });
    tell({ changed: true });
  }
}

async function post(part) {
  const asked = Date.now();
  const entries = part.map(({ id, address, fields, tablet_time, ahead_ms, by, token, sealed, tablet, words }) => ({
    id, address, fields, tablet_time, ahead_ms, by, token, sealed, tablet, words,
  }));
  const body = JSON.stringify({ sent_at: new Date(asked).toISOString(), entries });
  const headers = { "Content-Type": "application/json", "X-CSRFToken": token() };
  const answer = await fetch("/outbox/", { method: "POST", headers, body, signal: AbortSignal.timeout(PATIENCE) }).catch(() => null);
  if (!answer || answer.status >= 500) return { away: true };
  // 403: the sign-in changed under this page's feet, and with it the token.
  if (answer.status === 401 || answer.status === 403) return { signIn: true };
  const said = await answer.json().catch(() => null);
  if (!answer.ok || !said) return { away: true };
  seen(said.now, asked, Date.now());
  for (const { id, answer: what, said: why } of said.answers) {
    if (what === "refused") await mark(id, { refused: why });
    else await letGo(id);
  }
  await setFact("held", said.held);
  // A server that answers and settles nothing would be asked for ever.
  return said.answers.length ? true : { away: true };
}

/** Send now, whenever the network comes back, and every little while. */
export function keepSending() {
  const now = () => flush().catch(() => {});
  addEventListener("online", now);
  addEventListener("pageshow", now);
  document.addEventListener("visibilitychange", () => document.hidden || now());
  setInterval(now, EVERY);
  now();
}

/** Who works on this tablet now: signed in at the server, or by a code that the server has yet to check. */
export const who = () => fact("who");
