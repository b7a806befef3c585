// What is typed on job sheets, as this phone keeps it: each field with the time at which it was
// typed and a key made here, so that the same entry sent twice counts once.  One place a machine.
"use strict";
self.SheetEntries = (() => {
  const store = (() => { try { return window.localStorage; } catch { return null; } })();
  const MOST = 200; // entries of one message

  const placeOf = (who, machine) => `sheet:${who}:${machine}`;
  function places(who) {
    const start = who ? `sheet:${who}:` : "sheet:";
    try { return Object.keys(store).filter((name) => name.startsWith(start)); } catch { return []; }
  }
  function read(place) {
    try { return JSON.parse(store.getItem(place)); } catch { return null; }
  }
  function write(place, kept) {
    try { store.setItem(place, JSON.stringify(kept)); } catch { /* full or forbidden */ }
  }
  function unsent(kept) {
    return Object.values(kept?.entries || {}).filter((one) => !one.sent).sort((a, b) => a.at - b.at);
  }
  const count = (who) => places(who).reduce((sum, place) => sum + unsent(read(place)).length, 0);

  async function send(address, token, sheet, entries) {
    const answer = await fetch(address, {
      method: "POST", redirect: "manual", credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token },
      body: JSON.stringify({ sheet, entries }),
    });
    const out = answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403;
    return { out, said: answer.ok ? await answer.json() : null };
  }
  function mark(kept, sent, spent) {
    for (const one of sent) {
      if (kept.entries[one.field]?.key !== one.key) continue;
      if (spent) delete kept.entries[one.field]; // that sheet is in the book: nothing of it is open
      else kept.entries[one.field].sent = Date.now();
    }
  }
  // Sheets that are not open now: what was typed on them is sent from whatever page is.
  async function sendOthers(who, token, open) {
    for (const place of places(who)) {
      const kept = read(place), left = unsent(kept).slice(0, MOST);
      if (!left.length || !kept.to || place === open) continue;
      const { said } = await send(kept.to, token, kept.sheet, left);
      if (!said) continue;
      mark(kept, left, said.spent);
      write(place, kept);
    }
  }
  // What was typed before a press of that sheet went with the press.
  function settle(pressed) {
    for (const place of places("")) {
      const kept = read(place), at = kept && pressed.get(kept.sheet);
      if (!at) continue;
      for (const one of Object.values(kept.entries)) if (one.at <= at) delete kept.entries[one.field];
      write(place, kept);
    }
  }
  return { MOST, placeOf, read, write, unsent, count, send, mark, sendOthers, settle };
})();
