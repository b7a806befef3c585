// The bench takes its day along, and a hand's round its yards: the worker fetches list, sheets,
// procedures, pictures and meter round, so that they open where there is no signal.
"use strict";
(() => {
  const line = document.querySelector("[data-along]");
  if (!line || !("serviceWorker" in navigator) || document.documentElement.dataset.keptAt) return;
  self.Outbox.hear(({ along }) => { if (along) line.textContent = line.dataset.said.replace("{n}", String(along)); });
  navigator.serviceWorker.ready.then(({ active }) => active.postMessage({ take: line.dataset.along }));
})();
