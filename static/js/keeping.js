// The tablet keeps what it needs to work without network: the worker with the files, and after each sign-in and each
// entry that landed what the server gives it (people, key, the pages of the Bench). It does so when the page is done.

import { seen } from "./servertime.js";
import { fact, setFact } from "./tablet.js";

const AFTER = 1200;
const FRESH = 5 * 60_000;
const root = document.documentElement;
const signedIn = root.dataset.person && !("kept" in root.dataset);

async function fetchKit() {
  const asked = Date.now();
  const answer = await fetch("/outbox/kit/", { headers: { Accept: "application/json" }, cache: "no-store" });
  if (!answer.ok || answer.redirected) return undefined;
  const kit = await answer.json();
  seen(kit.now, asked, Date.now());
  const { pages, person, token, ...rest } = kit;
  await setFact("kit", { ...rest, pages, at: Date.now() });
  await setFact("who", { ...person, token });
  return kit;
}

async function known() {
  const who = await fact("who");
  return who?.code === root.dataset.person && who.token;
}

async function due() {
  const kit = await fact("kit");
  const landed = sessionStorage.getItem("landed");
  sessionStorage.removeItem("landed");
  return landed || !kit || Date.now() - kit.at > FRESH || !(await known());
}

async function keepAll(kit) {
  if (!("serviceWorker" in navigator)) return;
  await navigator.serviceWorker.register("/worker.js");
  if (!kit && signedIn && (await due())) kit = await fetchKit();
  if (!kit) return;
  const { active } = await navigator.serviceWorker.ready;
  active.postMessage({ keep: kit.pages });
  await navigator.storage?.persist?.();
}

const later = (kit) => setTimeout(() => keepAll(kit).catch((trouble) => console.warn("keeping", trouble)), AFTER);
// Another person at the same tablet: who it is must be known before the first entry, not when the page is done.
async function begin() {
  later(signedIn && !(await known()) ? await fetchKit() : undefined);
}
begin().catch(() => later());
setInterval(() => document.hidden || later(), FRESH);
navigator.serviceWorker?.addEventListener("message", ({ data }) => {
  if (data.kept !== undefined) root.dataset.pagesKept = data.kept;
});
