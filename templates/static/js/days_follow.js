/* The last day follows the first as it is typed, as many days behind it as before.
   Without this script both days are typed; the server refuses days that run backwards. */
"use strict";

(() => {
  const DAY = 86400000;
  const read = (field) => (field.value ? Date.parse(field.value) : NaN);

  for (const first of document.querySelectorAll('input[type="date"][name="first_day"]')) {
    const last = first.form && first.form.querySelector('input[name="last_day"]');
    if (!last) continue;
    let before = read(first);
    first.addEventListener("change", () => {
      const now = read(first);
      if (Number.isNaN(now) || now < Date.UTC(2000, 0, 1)) return;  // a year half typed
      const end = read(last);
      const length = end >= before ? end - before : 0;
      if (Number.isNaN(end) || !Number.isNaN(before) || end < now) {
        last.value = new Date(now + (length || 0)).toISOString().slice(0, 10);
      }
      before = now;
      last.min = first.value;
    });
  }
})();
