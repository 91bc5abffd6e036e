// The service worker: static files from what is kept, pages of the Bench from the network first, and from
// what is kept where it does not answer. It keeps no entries: that is the outbox's work (js/outbox.js).

const VERSION = "{{ version }}";
const FILES = {{ files|safe }};
const STATIC = {{ static|safe }};
const FILES_KEPT = `files ${VERSION}`;
const PAGES_KEPT = "pages";
const PATIENCE = 2500; // ms, before a kept page is shown in place of one that does not come
const KEPT = /^\/((bench|outbox|sign-in)\/|$)/;
const FONT = "{% url 'font' %}";

addEventListener("install", (event) => {
  skipWaiting();
  event.waitUntil(caches.open(FILES_KEPT).then((kept) => kept.addAll(FILES)));
});

addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith("files ") && name !== FILES_KEPT) await caches.delete(name);
      }
      await clients.claim();
    })(),
  );
});

addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith(STATIC) || url.pathname === FONT) event.respondWith(file(request));
  else if (request.mode === "navigate" || request.headers.get("X-Fresh")) event.respondWith(page(request, url));
});

async function file(request) {
  const kept = await caches.open(FILES_KEPT);
  const found = await kept.match(request, { ignoreSearch: true });
  return found ?? fetch(request);
}

async function page(request, url) {
  const coming = fetch(request);
  if (!KEPT.test(url.pathname)) return coming.catch(() => missing());
  const kept = await (await caches.open(PAGES_KEPT)).match(url.pathname === "/" ? "{% url 'bench' %}" : url.pathname);
  const late = new Promise((resolve) => setTimeout(resolve, kept ? PATIENCE : PATIENCE * 8));
  const answer = await Promise.race([coming, late]).catch(() => null);
  if (!answer || [502, 503, 504].includes(answer.status)) return kept ? asKept(kept) : (answer ?? missing());
  if (answer.ok && !answer.redirected && answer.type === "basic" && !url.search) {
    const copy = answer.clone();
    putAway(url.pathname, copy, "").catch(() => {});
  }
  return answer;
}

async function missing() {
  const found = await caches.match("{% url 'no_network' %}");
  return found ?? Response.error();
}

/** A kept page says that it is one; what the server had told when it was fetched is not told again. */
async function asKept(kept) {
  const text = (await kept.text())
    .replace("<html ", `<html data-kept `)
    .replace(/(<div class="messages"[^>]*>)[\s\S]*?<\/div>/, "$1</div>");
  const headers = { "Content-Type": "text/html; charset=utf-8", "X-Kept": "1" };
  const policy = kept.headers.get("Content-Security-Policy");
  if (policy) headers["Content-Security-Policy"] = policy;
  return new Response(text, { headers });
}

async function putAway(path, answer, tag) {
  const pages = await caches.open(PAGES_KEPT);
  const headers = new Headers(answer.headers);
  const before = await pages.match(path);
  headers.set("X-Tag", tag || before?.headers.get("X-Tag") || "");
  headers.delete("Content-Encoding");
  await pages.put(path, new Response(await answer.blob(), { headers }));
}

// The pages that are to be kept, each with a tag: only what changed is fetched, one after the other.
let keeping = 0;
addEventListener("message", (event) => {
  if (event.data?.keep) event.waitUntil(keepAll(event.data.keep, event.source));
});

async function keepAll(wanted, asker) {
  const turn = ++keeping;
  const pages = await caches.open(PAGES_KEPT);
  const paths = new Set(wanted.map(([path]) => path));
  for (const request of await pages.keys()) {
    if (!paths.has(new URL(request.url).pathname)) await pages.delete(request);
  }
  let missed = 0;
  for (const [path, tag] of wanted) {
    if (turn !== keeping) return; // a newer list has come
    if ((await pages.match(path))?.headers.get("X-Tag") === tag) continue;
    const answer = await fetch(path, { headers: { "X-Keep": "1" } }).catch(() => null);
    if (answer?.ok && !answer.redirected) await putAway(path, answer, tag).catch(() => missed++);
    else missed++;
  }
  asker?.postMessage({ kept: wanted.length - missed, missed });
}
