// What was pressed on this phone and is not sent yet, in the phone's own database.  Pages and the
// worker read it; the worker writes it.  An entry: person, url, fields [[name, value]], key, digest,
// at (milliseconds since 1970), state ("waiting" or "refused"), answer (the page of a refusal),
// mends (the id of the refused entry whose place it takes).
"use strict";
self.Outbox = (() => {
  const KEYS_KEPT = 3 * 24 * 3600 * 1000; // milliseconds: no page of the day is older
  let opened = null;

  const asked = (request) => new Promise((done, fail) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error);
  });
  function open() {
    opened ||= new Promise((done, fail) => {
      const request = indexedDB.open("evener", 1);
      request.onupgradeneeded = () => {
        request.result.createObjectStore("entries", { keyPath: "id", autoIncrement: true });
        request.result.createObjectStore("pressed", { keyPath: "key" });
      };
      request.onsuccess = () => done(request.result);
      request.onerror = () => fail(request.error);
    });
    return opened;
  }
  async function stores() {
    const both = (await open()).transaction(["entries", "pressed"], "readwrite");
    return [both.objectStore("entries"), both.objectStore("pressed")];
  }
  async function all() {
    return asked((await open()).transaction("entries").objectStore("entries").getAll());
  }

  function newKey() {
    return Array.from(crypto.getRandomValues(new Uint8Array(10)), (b) => b.toString(16).padStart(2, "0")).join("");
  }
  const value = (entry, name) => (entry.fields.find(([each]) => each === name) || [])[1] || "";
  function set(entry, name, text) {
    entry.fields = entry.fields.map(([each, old]) => [each, each === name ? text : old]);
  }
  // A refusal is mended by the page that shows it again, or by the same meter read on the same round.
  function mends(entry, refused, from) {
    const meters = (one) => `${value(one, "key")}:${one.fields.map(([name]) => name).filter((name) => name.startsWith("value-")).sort().join()}`;
    return refused.key === entry.key || refused.id === from ||
      (value(entry, "key") !== "" && meters(entry) === meters(refused));
  }

  // A press is kept once, however often it comes.  A page from memory carries the keys of its first
  // press: what differs from that is another press, and gets keys of its own.
  async function add(entry) {
    const [entries, pressed] = await stores();
    const before = await asked(pressed.get(entry.key));
    if (before && before.digest && before.digest !== entry.digest) {
      entry.key = entry.key.split("x")[0] + "x" + newKey();
      set(entry, "act_key", entry.key);
    }
    const rows = await asked(entries.getAll());
    const same = rows.find((one) => one.key === entry.key && one.state === "waiting");
    if (same) return same.id;
    const from = before && before.mends;
    const mended = rows.find((one) => one.state === "refused" && mends(entry, one, from));
    const form = value(entry, "form_key");
    const used = form && await asked(pressed.get(`form:${form}`));
    if (used && used.act !== entry.key && !mended) set(entry, "form_key", newKey());
    const sheet = value(entry, "form_key");
    await asked(pressed.put({ key: entry.key, digest: entry.digest, at: Date.now() }));
    if (sheet) await asked(pressed.put({ key: `form:${sheet}`, act: entry.key, at: Date.now() }));
    if (mended) Object.assign(entry, { at: mended.at, mends: mended.id });
    return asked(entries.add(entry));
  }
  // The page on which a refusal is mended has keys of its own: a press with one of them mends it.
  async function mendWith(keys, id) {
    const [, pressed] = await stores();
    for (const key of keys) pressed.put({ key, mends: id, at: Date.now() });
  }
  // What was refused did nothing: its keys may be used again.
  async function refuse(entry, answer) {
    const [entries, pressed] = await stores();
    pressed.delete(entry.key);
    const form = `form:${value(entry, "form_key")}`;
    if ((await asked(pressed.get(form)))?.act === entry.key) pressed.delete(form);
    if (answer === null) await asked(entries.delete(entry.id));
    else await asked(entries.put({ ...entry, state: "refused", answer }));
  }
  // What was taken is gone from the phone, and with it the refusal that it mends.
  async function take(entry) {
    if (entry.mends) await letGo(entry.mends);
    await letGo(entry.id);
  }
  async function letGo(id) {
    const [entries] = await stores();
    await asked(entries.delete(id));
  }

  // Which sheets were pressed here, and when: what was typed before that has gone with the press.
  async function sheetsPressed() {
    const [, pressed] = await stores();
    const rows = await asked(pressed.getAll());
    for (const one of rows) if (one.at && one.at < Date.now() - KEYS_KEPT) pressed.delete(one.key);
    return new Map(rows.filter((one) => one.key.startsWith("form:")).map((one) => [one.key.slice(5), one.at]));
  }
  async function person() {
    const row = await asked((await open()).transaction("pressed").objectStore("pressed").get("person"));
    return row ? row.person : "";
  }
  async function setPerson(who) {
    const [, pressed] = await stores();
    await asked(pressed.put({ key: "person", person: who }));
  }

  // Everybody who looks hears of each change.
  const channel = "BroadcastChannel" in self ? new BroadcastChannel("evener") : null;
  const tell = (said) => channel?.postMessage(said);
  const hear = (listen) => channel?.addEventListener("message", async (event) => {
    try { await listen(event.data); } catch { /* the page is being left */ }
  });

  return { all, add, refuse, take, letGo, mendWith, newKey, value, sheetsPressed, person, setPerson, tell, hear };
})();
