// What is typed on a job sheet is kept on this phone at once, and on the server as soon as it
// can be: each field with the time at which it was typed and a key made here, so that the same
// entry sent twice counts once.  Nothing leaves this phone's memory before the server has it.
"use strict";
(() => {
  const form = document.querySelector("form[data-keep]");
  if (!form) return;
  const store = (() => { try { return window.localStorage; } catch { return null; } })();
  const badge = document.querySelector("[data-keep-badge]");
  const mine = form.dataset.sheet;
  const place = `sheet:${form.dataset.who}:${form.dataset.machine}`;
  const AGAIN = 15000; // milliseconds after which it is sent again without being asked
  const SKIP = new Set(["csrfmiddlewaretoken", "form_key", "also_shown", "really_so"]);
  let timer = 0, sending = false, signedOut = false, spent = false;
  let kept = read();

  function fresh() { return { sheet: mine, entries: {} }; }
  function read() {
    try { return JSON.parse(store.getItem(place)) || fresh(); } catch { return fresh(); }
  }
  function write() { try { store.setItem(place, JSON.stringify(kept)); } catch { /* full or forbidden */ } }
  function unsent(from = kept) {
    return Object.values(from.entries).filter((one) => !one.sent).sort((a, b) => a.at - b.at);
  }
  function key() { // randomUUID is not there on a page without https, as in a barn's own network
    return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
  }

  function fieldOf(input) {
    const many = input.type === "checkbox" && input.value !== "on";
    return many ? `${input.name}=${input.value}` : input.name;
  }
  function valueOf(input) {
    return input.type === "checkbox" ? (input.checked ? "on" : "") : input.value;
  }
  function labelOf(input) {
    const label = input.closest("fieldset.field")?.querySelector("legend") || input.labels?.[0];
    return (label?.textContent || input.name).trim().replace(/\s+/g, " ").slice(0, 160);
  }
  function note(input) {
    if (!input.name || SKIP.has(input.name)) return;
    if (input.type === "radio" && !input.checked) return;
    const field = fieldOf(input);
    kept.entries[field] = { field, label: labelOf(input), value: valueOf(input), at: Date.now(), key: key() };
    write();
    show();
    clearTimeout(timer);
    timer = setTimeout(flush, 400);
  }
  function put(one) { // back into the page, as it was typed
    const [name, ...rest] = one.field.split("=");
    const inputs = [...form.elements].filter((each) => each.name === name);
    if (rest.length) inputs.filter((each) => each.value === rest.join("=")).forEach((each) => { each.checked = one.value !== ""; });
    else inputs.forEach((each) => {
      if (each.type === "radio") each.checked = each.value === one.value;
      else if (each.type === "checkbox") each.checked = one.value !== "";
      else each.value = one.value;
    });
  }

  async function send(sheet, entries) {
    const answer = await fetch(form.dataset.keep, {
      method: "POST", redirect: "manual", credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": form.elements.csrfmiddlewaretoken.value },
      body: JSON.stringify({ sheet, entries }),
    });
    signedOut = answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403;
    return answer.ok ? answer.json() : null;
  }
  async function flush() {
    clearTimeout(timer);
    const left = unsent().slice(0, 200);
    if (!left.length || sending) return show();
    sending = true;
    try {
      const said = await send(mine, left);
      if (said) {
        spent = said.spent;
        for (const one of left) if (!spent && kept.entries[one.field]?.key === one.key) kept.entries[one.field].sent = true;
        write();
      }
    } catch { /* no signal: it stays here */ }
    sending = false;
    show();
    if (unsent().length && !spent) timer = setTimeout(flush, AGAIN);
  }
  async function begin() {
    if (kept.sheet === mine) {
      if (!("answered" in form.dataset)) unsent().forEach(put);
      return flush();
    }
    const old = kept, left = unsent(old);
    kept = fresh();
    let over = false;
    if (left.length) {
      try { over = (await send(old.sheet, []))?.spent ?? false; } catch { /* asked again next time */ }
    }
    if (!over) for (const one of left) { put(one); kept.entries[one.field] ||= one; }
    write();
    flush();
  }
  function show() {
    if (!badge) return;
    const count = unsent().length;
    const things = count === 1 ? "1 entry" : `${count} entries`;
    badge.dataset.state = signedOut || spent ? "stopped" : count ? "waiting" : "kept";
    badge.textContent = spent && count
      ? `This sheet was finished elsewhere; ${things} typed since on this phone. Open the sheet again.`
      : signedOut && count ? `You are signed out; ${things} on this phone. Sign in again, and they are sent.`
        : count ? `${things} on this phone, not sent yet.` : "All that is typed is kept.";
  }

  form.addEventListener("input", (event) => { if (event.target.matches("input[type=text], input:not([type]), textarea, input[type=number]")) note(event.target); });
  form.addEventListener("change", (event) => { if (event.target.matches("input[type=checkbox], input[type=radio], select")) note(event.target); });
  form.addEventListener("change", ({ target }) => { // what is ticked shows its steps and measures
    const steps = target.matches("[name=done]:checked") && target.closest(".sheet").querySelector("details.fold");
    if (steps) steps.open = true;
  });
  form.addEventListener("submit", () => clearTimeout(timer));
  window.addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) flush(); });
  // The clock runs on the page, and on the next page too: what is kept is when it was started and
  // how long it ran before.  It fills the minutes in; what is typed there stands.
  const clock = form.elements.clock, minutes = form.elements.minutes;
  const button = document.querySelector("[data-clock]");
  function ran() {
    const [start, before] = (clock.value || "0:0").split(":").map(Number);
    return { start, before, now: before + (start ? Date.now() - start : 0) };
  }
  function tell() {
    const { start, now } = ran();
    button.textContent = start ? `Stop the clock: ${Math.round(now / 60000)} min` : now ? "Go on with the clock" : "Start the clock";
  }
  function fillIn() {
    const whole = Math.max(1, Math.round(ran().now / 60000));
    if (minutes.value && minutes.dataset.byClock !== minutes.value) return;
    minutes.value = minutes.dataset.byClock = String(whole);
    note(minutes);
  }
  function press() {
    const { start, now } = ran();
    clock.value = start ? `0:${now}` : `${Date.now()}:${now}`;
    if (start) fillIn();
    note(clock);
    tell();
  }
  if (clock && button) {
    button.hidden = false;
    button.addEventListener("click", press);
    form.addEventListener("submit", () => { if (ran().start) press(); });
    setInterval(tell, 20000);
  }

  begin();
  if (clock && button) tell();
  show();
  // a refused sheet goes to its first error
  document.querySelector(".faults")?.focus();
})();
