/* Moving a job on Shop days: by dragging its grip with finger or mouse, or by the keyboard from the same
   grip.  Either way the page's form is filled in and sent, as if by hand; without this script the form
   and the buttons of each job, as it opens, do the same. */
(() => {
  "use strict";
  const board = document.querySelector("[data-board]");
  const said = document.querySelector("[data-said]");
  const hint = document.querySelector("[data-hint]");
  const sheet = document.querySelector("[data-move-form]");
  if (!board || !said || !sheet) return;

  const REMEMBERED = "evener-moved";
  const FIRST_STEP = 8; // px before a press becomes a drag
  const EDGE = 56; // px from the edge of the board at which it scrolls
  let carried = null; // the job that is on its way: {card, place, ghost}

  /* A hint in the page's language: the page gives its words, with places for what they are about. */
  const words_of = (hint_name, about) => said.dataset[hint_name].replace(/\{(\w+)\}/g, (_, place) => about[place]);

  const say = (words) => { said.textContent = ""; requestAnimationFrame(() => { said.textContent = words; }); };

  const lift = (card) => {
    carried = { card, place: null, ghost: null };
    const space = board.parentElement;
    space.style.minHeight = `${space.offsetHeight}px`; // the page must not jump as the board leaves it
    document.body.classList.add("carrying");
    card.classList.add("carried");
    hint.hidden = false;
    hint.textContent = words_of("put", { tag: card.dataset.job });
  };

  const mark = (place) => {
    if (!carried || carried.place === place) return;
    if (carried.place) carried.place.classList.remove("drop-here");
    carried.place = place;
    if (place) place.classList.add("drop-here");
  };

  const put_down = () => {
    if (!carried) return null;
    const { card, place, ghost } = carried;
    mark(null);
    if (ghost) ghost.remove();
    card.classList.remove("carried");
    document.body.classList.remove("carrying");
    board.parentElement.style.minHeight = "";
    hint.hidden = true;
    carried = null;
    return place;
  };

  const cancel = () => {
    const grip = carried && carried.card.querySelector("[data-grip]");
    const tag = carried && carried.card.dataset.job;
    put_down();
    if (grip) { grip.focus(); say(words_of("stays", { tag })); }
  };

  const drop = () => {
    const { card } = carried;
    const place = put_down();
    if (!place) { say(words_of("stays", { tag: card.dataset.job })); return; }
    if (place.dataset.says === card.dataset.at) {
      card.querySelector("[data-grip]").focus();
      say(words_of("already", { tag: card.dataset.job }));
      return;
    }
    sheet.elements.day.value = place.dataset.day;
    sheet.elements.mechanic.value = place.dataset.mechanic;
    sheet.querySelectorAll("[name=work_key]").forEach((field) => { field.remove(); });
    keys_of(card).forEach((key) => {
      const field = document.createElement("input");
      Object.assign(field, { type: "hidden", name: "work_key", value: key });
      sheet.append(field);
    });
    say(words_of("asked", { tag: card.dataset.job, place: place.dataset.says }));
    remember(card, place.dataset.says);
    sheet.requestSubmit();
  };

  const keys_of = (card) => card.dataset.keys.trim().split(" ");

  const remember = (card, wanted) => {
    const note = { keys: keys_of(card), tag: card.dataset.job, wanted };
    try { sessionStorage.setItem(REMEMBERED, JSON.stringify(note)); } catch { /* it works without */ }
  };

  /* Back from planning: say where the job stands now, and put the keyboard where it was. */
  const recall = () => {
    let note = null;
    try { note = JSON.parse(sessionStorage.getItem(REMEMBERED)); sessionStorage.removeItem(REMEMBERED); } catch { return; }
    if (!note) return;
    const cards = [...document.querySelectorAll("[data-job]")];
    const card = cards.find((one) => note.keys.some((key) => one.dataset.keys.split(" ").includes(key)));
    if (!card) { say(words_of(note.wanted ? "gone" : "goneElsewhere", { tag: note.tag, place: note.wanted })); return; }
    card.setAttribute("tabindex", "-1");
    card.focus({ preventScroll: true });
    card.scrollIntoView({ block: "center" });
    say(words_of("now", { tag: note.tag, place: card.dataset.at }));
  };

  /* By pointer: mouse, pen or finger. */
  const begin = (event, grip) => {
    if (event.button) return;
    const card = grip.closest("[data-job]");
    const start = { x: event.clientX, y: event.clientY };
    let begun = false;
    grip.setPointerCapture(event.pointerId);
    const move = (at) => {
      if (begun && !carried) return; // given up by Escape; the finger is still down
      if (!carried) {
        if (Math.hypot(at.clientX - start.x, at.clientY - start.y) < FIRST_STEP) return;
        begun = true;
        lift(card);
        carried.ghost = document.createElement("div");
        carried.ghost.className = "carried-tag";
        carried.ghost.textContent = card.dataset.job;
        document.body.append(carried.ghost);
      }
      carried.ghost.style.transform = `translate(${at.clientX + 12}px, ${at.clientY - 52}px)`;
      scroll_board(at.clientY);
      const below = document.elementFromPoint(at.clientX, at.clientY);
      mark(below ? below.closest("[data-drop]") : null);
    };
    const end = (at) => {
      grip.removeEventListener("pointermove", move);
      grip.removeEventListener("pointerup", end);
      grip.removeEventListener("pointercancel", end);
      if (!begun) return;
      grip.dataset.dragged = "yes"; // the click that follows is no key press
      setTimeout(() => { delete grip.dataset.dragged; }, 0);
      if (!carried) return;
      if (at.type === "pointerup") drop(); else cancel();
    };
    grip.addEventListener("pointermove", move);
    grip.addEventListener("pointerup", end);
    grip.addEventListener("pointercancel", end);
  };

  const scroll_board = (y) => {
    if (y > window.innerHeight - EDGE) window.scrollBy(0, 12);
    else if (y < EDGE) window.scrollBy(0, -12);
    const box = board.getBoundingClientRect();
    if (y > box.bottom - EDGE) board.scrollBy(0, 12);
    else if (y > box.top && y < box.top + EDGE) board.scrollBy(0, -12);
  };

  /* By keyboard: Enter on the grip, arrows over the board, Enter again; Escape leaves it. */
  const places = () => [...board.querySelectorAll("[data-drop]")];

  const choose = (grip) => {
    const card = grip.closest("[data-job]");
    const all = places();
    if (!all.length) { say(words_of("full", {})); return; }
    lift(card);
    const here = all.find((one) => one.dataset.says === card.dataset.at) || all[0];
    all.forEach((one) => one.setAttribute("tabindex", "-1"));
    point_at(here);
    say(words_of("lifted", { tag: card.dataset.job, place: card.dataset.at }));
  };

  const point_at = (place) => {
    mark(place);
    place.focus();
    place.scrollIntoView({ block: "nearest" });
  };

  const beside = (place, key) => {
    const row = place.parentElement;
    const column = [...row.children].indexOf(place);
    const rows = [...row.parentElement.children];
    const step = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] }[key];
    if (!step) return null;
    for (let n = 1; n < 99; n += 1) {
      const other = rows[rows.indexOf(row) + n * step[0]];
      const cell = other && other.children[column + n * step[1]];
      if (!cell) return null;
      if (cell.hasAttribute("data-drop")) return cell;
    }
    return null;
  };

  document.addEventListener("keydown", (event) => {
    if (!carried) return;
    if (event.key === "Escape") { event.preventDefault(); cancel(); return; }
    if (carried.ghost) return;
    if (event.key === "Enter" || event.key === " ") { event.preventDefault(); drop(); return; }
    if (event.key === "Tab") { event.preventDefault(); return; }
    const place = carried.place && beside(carried.place, event.key);
    if (event.key.startsWith("Arrow")) event.preventDefault();
    if (place) { point_at(place); say(`${place.dataset.says}, ${place.textContent.trim().replace(/\s+/g, " ")}`); }
  });

  document.querySelectorAll("[data-job]").forEach((card) => {
    const grip = card.querySelector("[data-grip]");
    grip.hidden = false;
    grip.addEventListener("pointerdown", (event) => begin(event, grip));
    grip.addEventListener("click", () => { if (!carried && !grip.dataset.dragged) choose(grip); });
  });
  document.addEventListener("submit", (event) => {
    const card = event.target.matches("[data-move]") && event.target.closest("[data-job]");
    if (card) remember(card, "");
  });
  recall();
})();
