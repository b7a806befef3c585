/* Opens a fold that is marked for it where the screen is wide.  On a phone it stays shut, so that
   what stands below it is not pushed off the screen; a press opens it there as everywhere. */
"use strict";
document.addEventListener("htmx:load", ({ detail }) => {
  if (!matchMedia("(min-width: 48rem)").matches) return;
  detail.elt.querySelectorAll("details[data-open-wide]").forEach((fold) => { fold.open = true; });
});
