// The worker of a phone: the site first; what is kept where there is no signal.
"use strict";
(() => {
  const { signIn, signOut, home, bench, round } = self.EVENER;
  const { KeptPages, Pressing, Sending } = self;
  const PATIENCE = 5000; // milliseconds after which a kept page is shown in place of a slow one
  const OUT = new Set([502, 503, 504]); // the site is not there, whoever says so

  self.addEventListener("install", (event) => {
    self.skipWaiting();
    event.waitUntil(KeptPages.install());
  });
  self.addEventListener("activate", (event) => {
    event.waitUntil(KeptPages.letOldGo().then(() => self.clients.claim()));
  });
  self.addEventListener("message", (event) => {
    if (event.data.take) event.waitUntil(KeptPages.takeAlong(event.data.take).catch(() => { /* no signal */ }));
    if (event.data.send) event.waitUntil(Sending.send());
  });
  self.addEventListener("sync", (event) => {
    if (event.tag === "send") event.waitUntil(Sending.send());
  });

  const shell = async () => (await KeptPages.shellPage()) || Response.error();
  async function keptFor(url) {
    if (url.pathname === home) {
      const own = (await KeptPages.find(new URL(bench, url))) ? bench : round; // a hand has no bench
      return Response.redirect(new URL(own, url), 302);
    }
    if (url.pathname === `${bench}sheet/`) {
      return Response.redirect(new URL(`${bench}${encodeURIComponent((url.searchParams.get("tag") || "").trim())}/`, url), 302);
    }
    return (await KeptPages.find(url)) || KeptPages.nextBest(url);
  }
  async function show(event, url) {
    const begun = KeptPages.now(), slow = KeptPages.isKept(url);
    const asked = fetch(event.request).then(async (answer) => {
      if (OUT.has(answer.status)) throw new Error("out");
      const copy = answer.clone();
      event.waitUntil(KeptPages.see(url, copy, begun));
      return answer;
    });
    const late = new Promise((done) => { setTimeout(done, PATIENCE, null); });
    try {
      const first = await (slow ? Promise.race([asked, late]) : asked);
      return first || (await KeptPages.find(url)) || (await asked);
    } catch {
      return (await keptFor(url)) || (await shell());
    } finally {
      asked.catch(() => { /* told above */ });
    }
  }
  async function act(request, url) {
    if (url.pathname === signOut || url.pathname === signIn) await KeptPages.change();
    return fetch(request).catch(shell);
  }
  async function load(request) {
    return fetch(request).catch(async () => (await KeptPages.asset(request)) || Response.error());
  }

  self.addEventListener("fetch", (event) => {
    const { request } = event, url = new URL(request.url);
    if (url.origin !== self.location.origin) return;
    if (request.method === "POST" && Pressing.actOf(url)) event.respondWith(Pressing.press(request.clone()).catch(() => fetch(request)));
    else if (request.method === "POST" && request.mode === "navigate") event.respondWith(act(request, url));
    else if (request.method === "GET" && request.mode === "navigate") event.respondWith(show(event, url));
    else if (request.method === "GET" && ["style", "script", "image", "font"].includes(request.destination)) event.respondWith(load(request));
  });
})();
