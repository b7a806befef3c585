// What waits is sent one after the other, each with its own key, so that it counts once however
// often it is sent.  A refusal stops what is about the same machine, and nothing else.
"use strict";
self.Sending = (() => {
  const { who, signIn } = self.EVENER;
  const PATIENCE = 10000; // milliseconds for one answer
  const BY_ITSELF = { "Evener-Phone": "1" };
  const KEYS = /name="act_key" value="(\w+)"/g;
  const live = new Set(); // entries whose press still waits for its answer
  const answers = new Map();
  let underWay = null;

  const thing = (entry) => new URL(entry.url, self.location.origin).pathname.split("/").slice(1, 3).join("/");
  const ask = (url, more) => fetch(url, { credentials: "same-origin", cache: "no-store", signal: AbortSignal.timeout(PATIENCE), ...more });

  async function askWho() {
    const answer = await ask(who, { headers: BY_ITSELF });
    if (!answer.ok) throw new Error(String(answer.status));
    return answer.json();
  }
  function bodyOf(entry, token) {
    const body = entry.fields.some(([, each]) => typeof each !== "string") ? new FormData() : new URLSearchParams();
    for (const [name, each] of entry.fields) if (name !== "csrfmiddlewaretoken") body.append(name, each);
    body.append("csrfmiddlewaretoken", token);
    return body;
  }
  async function post(entry, token) {
    const ago = (Math.max(0, Date.now() - entry.at) / 1000).toFixed(3);
    const headers = { ...entry.headers, ...BY_ITSELF, "Evener-Pressed-Ago": ago };
    return ask(entry.url, { method: "POST", body: bodyOf(entry, token), headers });
  }
  function meaning(answer) {
    const to = answer.headers.get("Evener-Leads-To"), taken = answer.headers.get("Evener-Taken");
    if (taken === "no") return "refused";
    if (to !== null) return new URL(to, self.location.origin).pathname === signIn ? "signed out" : "taken";
    if (taken === "yes") return "taken";
    return answer.status >= 500 || answer.status === 408 || answer.status === 429 ? "later" : "refused";
  }

  async function next(person) {
    const mine = (await self.Outbox.all()).filter((one) => one.person === person);
    const stopped = new Set(mine.filter((one) => one.state === "refused").map(thing));
    return mine.find((one) => one.state === "waiting" && (live.has(one.id) || !stopped.has(thing(one))));
  }
  async function one(entry, token) {
    const answer = await post(entry, token), meant = meaning(answer);
    if (meant === "taken") await self.Outbox.take(entry);
    if (meant === "refused") {
      const seen = live.has(entry.id); // who pressed sees the refusal, with all that was typed
      const page = await answer.clone().text();
      await self.Outbox.refuse(entry, seen ? null : page);
      if (seen && entry.mends) await self.Outbox.mendWith([...page.matchAll(KEYS)].map((one) => one[1]), entry.mends);
    }
    if (live.has(entry.id) && (meant === "taken" || meant === "refused")) answers.set(entry.id, answer);
    return meant;
  }
  async function drain() {
    try {
      const { person, token } = await askWho();
      if (!person) return "signed out";
      for (let entry = await next(person); entry; entry = await next(person)) {
        const meant = await one(entry, token);
        self.Outbox.tell({ changed: true });
        if (meant === "later" || meant === "signed out") return meant;
      }
      return "sent";
    } catch {
      return "no signal";
    }
  }
  // Only one goes through the list at a time; whoever asks meanwhile hears the same.
  async function send() {
    underWay ||= drain().finally(() => { underWay = null; });
    const state = await underWay;
    self.Outbox.tell({ state });
    return state;
  }
  // Send a press that somebody waits for: its answer, or why there is none yet.
  async function sendNow(id) {
    live.add(id);
    try {
      let state = await send();
      if (!answers.has(id) && state === "sent") state = await send(); // it came as the list was done
      return { state, answer: answers.get(id) || null };
    } finally {
      live.delete(id);
      answers.delete(id);
    }
  }
  return { send, sendNow };
})();
