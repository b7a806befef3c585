// What is typed on a job sheet is kept on this phone at once, and on the server as soon as it
// can be.  Nothing leaves this phone's memory before the server has it.
"use strict";
(() => {
  const form = document.querySelector("form[data-keep]");
  if (!form) return;
  const { Outbox, SheetEntries } = self;
  const badge = document.querySelector("[data-keep-badge]");
  const place = SheetEntries.placeOf(form.dataset.who, form.dataset.machine);
  const fromMemory = "keptAt" in document.documentElement.dataset;
  const AGAIN = 15000; // milliseconds after which it is sent again without being asked
  const SKIP = new Set(["csrfmiddlewaretoken", "act_key", "form_key", "also_shown", "really_so"]);
  let timer = 0, sending = false, signedOut = false, spent = false;
  let token = form.elements.csrfmiddlewaretoken.value, mine = form.dataset.sheet;
  let kept = SheetEntries.read(place) || fresh();

  function fresh() { return { sheet: mine, to: form.dataset.keep, entries: {} }; }
  const write = () => SheetEntries.write(place, kept);
  const unsent = (from = kept) => SheetEntries.unsent(from);
  // What the server took since this page was asked for may not stand in it yet.
  const asked = performance.timeOrigin - 1000; // two clocks, nearly the same
  const maybeMissing = () => Object.values(kept.entries).filter((one) => !one.sent || one.sent >= asked);

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
    if (input.form !== form || !input.name || SKIP.has(input.name)) return; // photos have forms of their own
    if (input.type === "radio" && !input.checked) return;
    const field = fieldOf(input), at = Date.now();
    kept.entries[field] = { field, label: labelOf(input), value: valueOf(input), at, key: Outbox.newKey() };
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
      each.dispatchEvent(new Event("kept"));
    });
  }

  // A page from memory, or one that was open while somebody signed in again, has an old token.
  async function freshToken() {
    const who = await (await fetch(form.dataset.asks, { credentials: "same-origin", cache: "no-store" })).json();
    if (who.person !== form.dataset.who) return false;
    token = who.token;
    return true;
  }
  async function send(sheet, entries) {
    let answer = await SheetEntries.send(form.dataset.keep, token, sheet, entries);
    if (answer.out && await freshToken()) answer = await SheetEntries.send(form.dataset.keep, token, sheet, entries);
    signedOut = answer.out;
    return answer.said;
  }
  async function flush() {
    clearTimeout(timer);
    const left = unsent().slice(0, SheetEntries.MOST);
    if (!left.length || sending) return show();
    sending = true;
    try {
      const said = await send(mine, left);
      if (said) {
        spent = said.spent;
        if (!spent) SheetEntries.mark(kept, left, false);
        write();
      }
    } catch { /* no signal: it stays here */ }
    sending = false;
    show();
    if (unsent().length && !spent) timer = setTimeout(flush, AGAIN);
  }
  // A sheet from memory whose press waits or was sent is begun anew, with a key of its own.
  async function newSheet() {
    const pressed = await Outbox.sheetsPressed();
    SheetEntries.settle(pressed);
    kept = SheetEntries.read(place) || fresh();
    if (pressed.has(mine) && !("answered" in form.dataset)) mine = form.elements.form_key.value = Outbox.newKey();
  }
  async function begin() {
    await newSheet().catch(() => { /* a browser without a database of its own */ });
    if (kept.sheet === mine) {
      kept.to = form.dataset.keep;
      if (!("answered" in form.dataset)) (fromMemory ? Object.values(kept.entries) : maybeMissing()).forEach(put);
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
    self.NoSignal.show();
    if (!badge) return;
    const count = unsent().length;
    const words = badge.dataset; // they come with the page, in the page's language
    const say = (one, many) => (count === 1 ? one : many).replace("{n}", count);
    badge.dataset.state = signedOut || spent ? "stopped" : count ? "waiting" : "kept";
    badge.textContent = spent && count
      ? say(words.spentOne, words.spentMany)
      : signedOut && count ? say(words.outOne, words.outMany)
        : count ? say(words.waitsOne, words.waitsMany) : words.allKept;
  }

  form.addEventListener("input", (event) => { if (event.target.matches("input[type=text], input:not([type]), textarea, input[type=number]")) note(event.target); });
  form.addEventListener("change", (event) => { if (event.target.matches("input[type=checkbox], input[type=radio], select")) note(event.target); });
  form.addEventListener("kept", (event) => { if (event.bubbles) note(event.target); });
  form.addEventListener("change", ({ target }) => { // what is ticked shows its steps and measures
    const steps = target.matches("[name=done]:checked") && target.closest(".sheet").querySelector("details.fold");
    if (steps) steps.open = true;
  });
  form.addEventListener("submit", () => clearTimeout(timer));
  window.addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) flush(); });
  begin();
  show();
  // a refused sheet goes to its first error
  document.querySelector(".faults")?.focus();
})();
