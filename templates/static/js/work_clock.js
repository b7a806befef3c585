// The clock of a job sheet runs on the page, and on the next page too: what is kept is when it was
// started and how long it ran before.  It fills the minutes in; what is typed there stands.
"use strict";
(() => {
  const form = document.querySelector("form[data-keep]");
  const clock = form?.elements.clock, minutes = form?.elements.minutes;
  const button = document.querySelector("[data-clock]");
  if (!clock || !button) return;
  const begin = button.textContent; // its words come with the page, in the page's language
  const changed = (input) => input.dispatchEvent(new Event("kept", { bubbles: true }));

  function ran() {
    const [start, before] = (clock.value || "0:0").split(":").map(Number);
    return { start, before, now: before + (start ? Date.now() - start : 0) };
  }
  function tell() {
    const { start, now } = ran();
    button.textContent = start ? button.dataset.stop.replace("{n}", Math.round(now / 60000)) : now ? button.dataset.goOn : begin;
  }
  function fillIn() {
    const whole = Math.max(1, Math.round(ran().now / 60000));
    if (minutes.value && minutes.dataset.byClock !== minutes.value) return;
    minutes.value = minutes.dataset.byClock = String(whole);
    changed(minutes);
  }
  function press() {
    const { start, now } = ran();
    clock.value = start ? `0:${now}` : `${Date.now()}:${now}`;
    if (start) fillIn();
    changed(clock);
    tell();
  }
  button.hidden = false;
  button.addEventListener("click", press);
  form.addEventListener("submit", () => { if (ran().start) press(); });
  clock.addEventListener("kept", tell);
  setInterval(tell, 20000);
  tell();
})();
