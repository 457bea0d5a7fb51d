// The queue: every press is kept in the browser before it is sent, and leaves only when it was answered.
"use strict";
const Queue = (() => {
  const WAITING = "tagtrack.waiting", REFUSED = "tagtrack.refused", LIMIT = 20000, TRIES = 3;
  const read = (name) => { try { return JSON.parse(localStorage.getItem(name)) || []; } catch { return []; } };
  const write = (name, list) => localStorage.setItem(name, JSON.stringify(list));
  const told = () => document.dispatchEvent(new Event("queue"));
  let sending = false, offline = false, needs = "", others = () => 0;

  function freshKey() {
    const bytes = crypto.getRandomValues(new Uint8Array(12));
    return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  }

  function add(url, fields, who, words) {
    const press = { key: freshKey(), url, fields, who, words, at: Date.now() };
    // a browser that keeps nothing must not seem to: whoever pressed is told
    try { write(WAITING, [...read(WAITING), press]); } catch { return ""; }
    told();
    return press.key;
  }

  // what this person pressed last, as long as it waits
  const last = (who) => read(WAITING).filter((press) => press.who === who).at(-1);

  const without = (name, key) => write(name, read(name).filter((press) => press.key !== key));

  const refuse = ({ file, ...press }, lines, recorded) => write(REFUSED, [...read(REFUSED), { ...press, lines, recorded }]);
  const inList = {
    put: (press) => write(WAITING, read(WAITING).map((each) => (each.key === press.key ? press : each))),
    remove: (key) => without(WAITING, key),
  };

  function body(press) {
    const form = new URLSearchParams(press.fields);
    const page = document.body.dataset;
    form.set("key", press.key);
    form.set("age", String(Math.max(0, (Date.now() - press.at) / 1000)));
    form.set("device_at", new Date(press.at).toISOString().slice(0, 19) + "Z");
    form.set("form_token", page.formToken);
    // who signed in again sends what waited under the old sign-in
    if (press.signed && page.who === press.who && page.as) form.set("as", page.as);
    return form;
  }

  // sends one press, and says whether to go on with the next; `store` knows what waits
  async function deliver(press, content, limit, store) {
    let answer, status;
    try {
      const response = await fetch(press.url, { method: "POST", body: content, signal: AbortSignal.timeout(limit),
        headers: { Accept: "application/json" }, credentials: "same-origin", redirect: "error" });
      status = response.status;
      answer = await response.json();
    } catch { offline = true; return false; }
    offline = false;
    const failed = (press.failed || 0) + 1;
    if (status === 500 && failed >= TRIES) {
      // the program cannot take this one: it is shown to who made it, and holds up no other
      refuse(press, answer.lines, false);
      await store.remove(press.key);
      return true;
    }
    if (status === 500) await store.put({ ...press, failed });
    if (status >= 500 || status === 429) { needs = answer.lines ? answer.lines.join(" ") : "the shop's computer is in trouble"; return false; }
    if (status === 401) {
      needs = `sign in as ${answer.who || press.who}`;
      if (press.signed) return false;
      await store.put({ ...press, signed: true });
      return document.body.dataset.who === press.who;
    }
    if (status === 403) { needs = "load the page again"; return false; }
    needs = "";
    await store.remove(press.key);
    const detail = { press, answer, heard: false };
    document.dispatchEvent(new CustomEvent("answered", { detail }));
    // what is wrong, or asks, is kept for who pressed it where nobody saw it come
    if (!detail.heard && (answer.tone === "wrong" || answer.asked)) refuse(press, answer.lines, answer.recorded);
    return true;
  }

  // sends in order; stops at the first press that gets no answer
  async function send() {
    if (sending) return;
    sending = true;
    try {
      for (;;) {
        const [press] = read(WAITING);
        if (!press) { if (!others()) { offline = false; needs = ""; } break; }
        if (!await deliver(press, body(press), LIMIT, inList)) break;
      }
    } finally { sending = false; told(); }
  }

  return {
    freshKey, add, last, send, body, deliver, told, alongside: (count) => { others = count; }, waiting: () => read(WAITING), refused: () => read(REFUSED), forget: (key) => { without(REFUSED, key); told(); },
    isOffline: () => offline, needs: () => needs,
  };
})();
setInterval(Queue.send, 3000);
addEventListener("online", Queue.send);
