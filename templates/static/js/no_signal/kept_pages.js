// Pages of the day, each kept for the person whose it is.  A phone that is shared shows nobody
// another's day: what is another person's, of an earlier day or of nobody signed in is let go.
"use strict";
self.KeptPages = (() => {
  const { version, pages, sheet, round, waiting } = self.EVENER;
  const SHELL = `shell:${version}`;
  const FRESH = 10 * 60 * 1000; // milliseconds for which a page that was taken along is not asked again
  const FRESH_LABEL = 2 * 60 * 60 * 1000; // likewise for a label's: there are many, and each opens anew with a signal
  const ASSET = /(?:src|href)="(\/static\/[^"]+|\/[^"]*\.(?:png|jpe?g|svg|webp))"|<img[^>]*?src="(\/[^"]+)"/g;
  const pattern = (at) => new RegExp(`^${at.split("*").map((part) => part.replace(/[.+?^${}()|[\]\\]/g, "\\$&")).join("[^/]+")}$`);
  const kept = pages.map(pattern), sheets = pattern(sheet);
  const plain = { ignoreVary: true };
  let epoch = 0; // moves on with each sign-in and sign-out: what was asked before is kept no more

  function today() {
    const now = new Date();
    return `${now.getFullYear()}-${now.getMonth() + 1}-${now.getDate()}`;
  }
  const isKept = (url) => kept.some((one) => one.test(url.pathname));
  async function clear(but = "") {
    for (const name of await caches.keys()) if (name.startsWith("day:") && name !== but) await caches.delete(name);
  }
  async function change() {
    epoch += 1;
    await clear();
    await self.Outbox.setPerson("");
  }

  // Look whose a page is, and keep it if it is one of the day's.
  async function see(url, answer, begun) {
    const person = answer.headers.get("Evener-Person");
    if (!person || begun !== epoch) return false;
    const name = `day:${person}:${today()}`;
    await clear(person === "none" ? "" : name);
    await self.Outbox.setPerson(person === "none" ? "" : person);
    if (person === "none" || answer.status !== 200 || answer.redirected || !isKept(url)) return false;
    const text = await answer.clone().text();
    const headers = new Headers(answer.headers);
    headers.set("Evener-Kept-At", String(Date.now()));
    for (const name of ["Content-Encoding", "Content-Length"]) headers.delete(name); // it is text now
    const cache = await caches.open(name);
    if (begun !== epoch) return false;
    await cache.put(url.href, new Response(text, { headers }));
    await keepAssets(text, cache);
    return true;
  }
  // Styles and scripts are anybody's; what a page of the day shows besides is that person's.
  async function keepAssets(text, day) {
    const shell = await caches.open(SHELL);
    const wanted = new Set([...text.matchAll(ASSET)].map((one) => one[1] || one[2]));
    for (const address of wanted) {
      const place = address.startsWith("/static/") ? shell : day;
      if (await place.match(address, plain)) continue;
      try { await place.add(address); } catch { /* the next page asks again */ }
    }
  }

  async function dayCache() {
    const name = (await caches.keys()).find((one) => one.startsWith("day:") && one.endsWith(`:${today()}`));
    return name ? caches.open(name) : null;
  }
  // A kept page says itself when it was kept.
  async function keptAnswer(one) {
    if (!one) return null;
    const text = (await one.text()).replace("<html ", `<html data-kept-at="${one.headers.get("Evener-Kept-At")}" `);
    return new Response(text, { headers: one.headers });
  }
  async function find(url) {
    const cache = await dayCache();
    return keptAnswer(cache && (await cache.match(url.href, plain) ||
      (sheets.test(url.pathname) ? await cache.match(url.href, { ...plain, ignoreSearch: true }) : null)));
  }
  // The next best of a round, where there is no signal: the same page of the same yard in the order
  // in which it was kept, else that yard's first, else the round that opens first.
  async function nextBest(url) {
    const cache = url.pathname === round ? await dayCache() : null;
    if (!cache) return null;
    const asked = ({ searchParams: said }) => ({ yard: said.get("yard") || "", page: Number(said.get("page")) || 1 });
    const want = asked(url);
    const rounds = (await cache.keys()).filter((one) => new URL(one.url).pathname === round);
    const like = (page) => rounds.find((one) => { const has = asked(new URL(one.url)); return has.yard === want.yard && has.page === page; });
    return keptAnswer(await cache.match(like(want.page) || like(1) || new URL(round, url).href, plain));
  }
  async function asset(request) {
    return caches.match(request, { ...plain, ignoreSearch: true });
  }
  const shellPage = async () => (await caches.open(SHELL)).match(waiting, plain);

  // Take the day along: one page after the other, so that nobody else waits for it.
  async function takeAlong(address) {
    const begun = epoch, byItself = { headers: { "Evener-Phone": "1" }, credentials: "same-origin" };
    const list = await fetch(address, byItself);
    if (list.status !== 200) return;
    let there = 0;
    const said = await list.json(), wanted = [[said.pages, FRESH], [said.labels, FRESH_LABEL]];
    for (const [path, fresh] of wanted.flatMap(([paths, fresh]) => paths.map((path) => [path, fresh]))) {
      const url = new URL(path, self.location.origin);
      const cache = await dayCache(), old = cache && await cache.match(url.href, plain);
      const young = old && Date.now() - Number(old.headers.get("Evener-Kept-At")) < fresh;
      if (young || await see(url, await fetch(url.href, byItself), begun)) there += 1;
    }
    self.Outbox.tell({ along: there });
  }
  async function install() {
    const shell = await caches.open(SHELL);
    await shell.add(waiting);
    await keepAssets(await (await shell.match(waiting, plain)).text(), shell);
  }
  async function letOldGo() {
    for (const name of await caches.keys()) if (name.startsWith("shell:") && name !== SHELL) await caches.delete(name);
  }
  return { isKept, see, find, nextBest, asset, shellPage, takeAlong, install, letOldGo, change, pattern, now: () => epoch };
})();
