// The queue: every press is kept in the browser before it is sent, and leaves only when it was answered.
"use strict";
const Queue = (() => {
  const WAITING = "tagtrack.waiting", REFUSED = "tagtrack.refused", LIMIT = 20000, TRIES = 3;
  const read = (name) => { try { return JSON.parse(localStorage.getItem(name)) || []; } catch { return []; } };
  const write = (name, list) => localStorage.setItem(name, JSON.stringify(list));
  const told = () => document.dispatchEvent(new Event("queue"));
  let sending = false, offline = false, others = () => 0;

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
  // where the computer itself is in trouble its words name files and check numbers: that is for whoever looks after it
  const plain = (lines) => lines.map((line) => line.replace(/\b[0-9a-f]{32,}\b/g, "...").replace(/(^|[\s'"(])(?:\/[\w.-]+){2,}\/?/g, "$1a file"));
  const jobOf = (press) => (/^(?:https?:\/\/[^/]+)?\/job\/([^/]+)/.exec(press.url) || ["", "the shop"])[1];
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

  // sends one press, and says what it holds back: nothing, its person's presses, those of its work order, or all of
  // them; `store` knows what waits
  async function deliver(press, content, limit, store) {
    let answer, status;
    try {
      const response = await fetch(press.url, { method: "POST", body: content, signal: AbortSignal.timeout(limit),
        headers: { Accept: "application/json" }, credentials: "same-origin", redirect: "error" });
      status = response.status;
      answer = await response.json();
    } catch { offline = true; return "all"; }
    offline = false;
    const failed = (press.failed || 0) + 1;
    if (status === 500 && failed >= TRIES) {
      // the program cannot take this one: it is shown to who made it, and holds up no other
      refuse(press, plain(answer.lines || []), false);
      await store.remove(press.key);
      return "";
    }
    const held = (needs, more = {}) => store.put({ ...press, needs, ...more });
    if (status >= 500) {
      await held(`the shop's computer cannot write ${jobOf(press)} now: tell whoever looks after it`, status === 500 ? { failed } : {});
      return "job";
    }
    if (status === 429) { await held((answer.lines || []).join(" ")); return "who"; }
    if (status === 401) {
      await held(`sign in as ${answer.who || press.who}`, { signed: true });
      // the token of the sign-in that holds now goes along with the next try
      return !press.signed && document.body.dataset.who === press.who ? "again" : "who";
    }
    if (status === 403) { await held("load the page again"); return "who"; }
    await store.remove(press.key);
    // it was set aside while it was on its way: now it is answered
    without(REFUSED, press.key);
    const detail = { press, answer, heard: false };
    document.dispatchEvent(new CustomEvent("answered", { detail }));
    // what is wrong, or asks, is kept for who pressed it where nobody saw it come
    if (!detail.heard && (answer.tone === "wrong" || answer.asked || answer.stays)) refuse({ ...press, asks: answer.stays }, answer.lines, answer.recorded);
    return true;
  }

  // which presses are held back by those before them: one that cannot go holds up nobody else
  function holding() {
    const held = new Set();
    return {
      free: (press) => !["all", `who ${press.who}`, `job ${jobOf(press)}`].some((each) => held.has(each)),
      by: (press, what) => held.add({ who: `who ${press.who}`, job: `job ${jobOf(press)}`, all: "all" }[what]),
    };
  }

  // sends in order, as far as nothing holds it back
  async function send() {
    if (sending) return;
    sending = true;
    try {
      const held = holding();
      for (;;) {
        const press = read(WAITING).find(held.free);
        if (!press) { if (!read(WAITING).length && !others()) offline = false; break; }
        held.by(press, await deliver(press, body(press), LIMIT, inList));
      }
    } finally { sending = false; told(); }
  }

  // what cannot go is set aside by whoever is at work; it stays shown as not recorded till its person has seen it
  async function aside(press, by, store = inList) {
    refuse(press, [`set aside by ${by}, and not sent again: ${press.needs}`], false);
    await store.remove(press.key);
    told();
  }

  return {
    freshKey, add, last, send, body, deliver, holding, aside, told, alongside: (count) => { others = count; }, waiting: () => read(WAITING), refused: () => read(REFUSED), forget: (key) => { without(REFUSED, key); told(); },
    isOffline: () => offline,
  };
})();
setInterval(Queue.send, 3000);
addEventListener("online", Queue.send);
