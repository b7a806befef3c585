// A press that may wait is kept on the phone first and sent then; without a signal it stays there,
// and the phone goes on as if it had been sent.
"use strict";
self.Pressing = (() => {
  const { acts, bench, signIn } = self.EVENER;
  const known = acts.map((act) => ({ ...act, test: self.KeptPages.pattern(act.at) }));
  const actOf = (url) => known.find((act) => act.test.test(url.pathname));
  const HTMX = ["HX-Request", "HX-Target", "HX-Trigger", "HX-Trigger-Name", "HX-Current-URL"];

  async function digestOf(url, fields) {
    const said = fields.filter(([name]) => name !== "csrfmiddlewaretoken")
      .map(([name, each]) => [name, typeof each === "string" ? each : [each.name, each.size]]);
    const bytes = new TextEncoder().encode(JSON.stringify([url, said]));
    const mark = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
    return Array.from(mark, (b) => b.toString(16).padStart(2, "0")).join("");
  }
  async function entryOf(request) {
    const url = new URL(request.url), fields = [...(await request.formData()).entries()];
    const path = url.pathname + url.search, digest = await digestOf(path, fields);
    const act = (fields.find(([name]) => name === "act_key") || [])[1];
    const headers = Object.fromEntries(HTMX.filter((name) => request.headers.has(name)).map((name) => [name, request.headers.get(name)]));
    const person = request.headers.get("Evener-Person") || (act || "").split("x")[0];
    return { person, url: path, fields, headers, key: act || digest, digest, at: Date.now(), state: "waiting" };
  }

  // Where the phone goes on without an answer.
  function meanwhile(request, url, state) {
    if (request.mode !== "navigate") return new Response(null, { status: 204, headers: { "Evener-Queued": "1" } });
    const back = actOf(url).toBench ? bench + url.search : pageOf(request);
    if (state !== "signed out") return Response.redirect(new URL(back, url), 303);
    return Response.redirect(new URL(`${signIn}?next=${encodeURIComponent(back)}`, url), 303);
  }
  function pageOf(request) {
    const from = request.referrer ? new URL(request.referrer) : null;
    return from && from.origin === self.location.origin ? from.pathname + from.search : self.EVENER.home;
  }
  async function press(request) {
    const url = new URL(request.url);
    const id = await self.Outbox.add(await entryOf(request));
    self.Outbox.tell({ changed: true });
    const { state, answer } = await self.Sending.sendNow(id);
    if (!answer) {
      self.registration.sync?.register("send").catch(() => { /* an extra: the page tries again too */ });
      return meanwhile(request, url, state);
    }
    const to = answer.headers.get("Evener-Leads-To");
    if (to === null) return answer;
    return request.mode === "navigate" ? Response.redirect(new URL(to, url), 303) : answer;
  }
  return { actOf, press };
})();
