// Keep a page of what is going on fresh: every minute its main parts are fetched and put in place, the rest stays.
// Nothing is touched while a part holds the focus, or where the server does not answer.

const EVERY = 60_000;
const PARTS = "main, main + aside";

async function refresh() {
  if (document.hidden || document.activeElement?.closest("main *, aside *")) return;
  const response = await fetch(location.href, { headers: { Accept: "text/html", "X-Fresh": "1", "X-Keep": "1" } });
  if (response.headers.get("X-Kept")) return; // no network: what is shown is as old
  if ("kept" in document.documentElement.dataset && response.ok) return location.reload();
  if (response.redirected) return location.reload(); // signed out meanwhile
  if (!response.ok) return;
  const page = new DOMParser().parseFromString(await response.text(), "text/html");
  const [here, there] = [document, page].map((each) => [...each.querySelectorAll(PARTS)]);
  const counting = document.querySelector("time[data-until], svg[data-now]");
  if (here.length !== there.length || !counting) return location.reload(); // the clocks start with a page
  here.forEach((part, index) => part.replaceWith(document.adoptNode(there[index])));
  document.dispatchEvent(new CustomEvent("fresh"));
}

setInterval(() => refresh().catch(() => {}), EVERY);
