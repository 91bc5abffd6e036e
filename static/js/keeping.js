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

async function due() {
  const [kit, who] = await Promise.all([fact("kit"), fact("who")]);
  const landed = sessionStorage.getItem("landed");
  sessionStorage.removeItem("landed");
  return landed || !kit || Date.now() - kit.at > FRESH || who?.code !== root.dataset.person || !who.token;
}

async function keepAll() {
  if (!("serviceWorker" in navigator)) return;
  await navigator.serviceWorker.register("/worker.js");
  if (!signedIn || !(await due())) return;
  const kit = await fetchKit();
  if (!kit) return;
  const { active } = await navigator.serviceWorker.ready;
  active.postMessage({ keep: kit.pages });
  await navigator.storage?.persist?.();
}

const soon = (wait) => setTimeout(() => keepAll().catch((trouble) => console.warn("keeping", trouble)), wait);
// Another person at the same tablet: who it is must be known before the first entry, not when the page is done.
if (signedIn) fact("who").then((who) => soon(who?.code === root.dataset.person && who.token ? AFTER : 0), () => soon(AFTER));
else soon(AFTER);
setInterval(() => document.hidden || soon(0), FRESH);
navigator.serviceWorker?.addEventListener("message", ({ data }) => {
  if (data.kept !== undefined) root.dataset.pagesKept = data.kept;
});
