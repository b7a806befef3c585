// The line at the head of each page: what of this phone is not sent, and whether the page is one
// that was kept.  It asks the worker to send, and again with growing pauses while something waits.
"use strict";
self.NoSignal = (() => {
  const box = document.querySelector("[data-no-signal]");
  if (!box || !("indexedDB" in window)) return { again() {} };
  const words = box.dataset, { Outbox, SheetEntries } = self;
  const [says, asOf] = box.children;
  const FIRST = 5000, LAST = 300000; // milliseconds between two tries
  const sheet = document.querySelector("form[data-keep]");
  const open = sheet ? SheetEntries.placeOf(sheet.dataset.who, sheet.dataset.machine) : "";
  const keptAt = Number(document.documentElement.dataset.keptAt || 0);
  let state = "", pause = FIRST, timer = 0, left = 0;

  const say = (one, many, count) => (count === 1 ? one : many).replace("{n}", String(count));
  function link(href, text) {
    const a = document.createElement("a");
    a.href = href;
    a.textContent = text;
    return a;
  }
  function put(place, ...parts) { // a live region speaks only when its words change
    const text = parts.map((part) => part.textContent ?? part).join("");
    if (place.textContent !== text) place.replaceChildren(...parts);
  }
  const show = () => look().catch(() => { /* a browser that keeps nothing, or a page being left */ });
  async function look() {
    const mine = (await Outbox.all()).filter((one) => !words.person || one.person === words.person);
    const refused = mine.filter((one) => one.state === "refused").length;
    const count = mine.length + SheetEntries.count(words.person);
    left = count - refused;
    const out = state === "signed out" || !words.person;
    const signIn = `${words.signIn}?next=${encodeURIComponent(location.pathname + location.search)}`;
    if (!count) put(says, "");
    else if (out) put(says, words.person ? link(signIn, say(words.outOne, words.outMany, count)) : say(words.outOne, words.outMany, count));
    else if (refused) put(says, link(words.waiting, say(words.refusedOne, words.refusedMany, refused)));
    else put(says, link(words.waiting, say(words.waitsOne, words.waitsMany, count)));
    if (keptAt) showAge();
  }
  function showAge() {
    const at = new Date(keptAt).toLocaleTimeString(document.documentElement.lang, { hour: "numeric", minute: "2-digit" });
    if (state === "sent") put(asOf, link(location.href, words.back.replace("{t}", at)));
    else put(asOf, words.asOf.replace("{t}", at));
  }

  async function ask() {
    clearTimeout(timer);
    if (left || keptAt) (await navigator.serviceWorker?.ready)?.active.postMessage({ send: true });
    if (left || (keptAt && state !== "sent")) timer = setTimeout(ask, pause);
    pause = Math.min(pause * 2, LAST);
  }
  function again() {
    pause = FIRST;
    return show().then(ask).catch(() => { /* likewise */ });
  }
  async function sendSheets() {
    if (!words.person || SheetEntries.count(words.person) === 0) return;
    const who = await (await fetch(words.who, { credentials: "same-origin", cache: "no-store" })).json();
    if (who.person === words.person) await SheetEntries.sendOthers(who.person, who.token, open);
    await show();
  }
  async function begin() {
    SheetEntries.settle(await Outbox.sheetsPressed());
    if (words.worker) await navigator.serviceWorker?.register(words.worker, { updateViaCache: "none" });
    Outbox.hear((said) => {
      if (said.state) state = said.state;
      if (said.state === "sent") { pause = FIRST; sendSheets().catch(() => { /* next time */ }); }
      return show();
    });
    await sendSheets().catch(() => { /* no signal */ });
    await again();
  }
  window.addEventListener("online", again);
  window.addEventListener("pageshow", (event) => { if (event.persisted) again(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) again(); });
  begin().catch(() => { /* a browser that keeps nothing */ });
  return { again, show };
})();
