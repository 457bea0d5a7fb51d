// The queue: every press is kept in the browser before it is sent, and leaves only when it was answered.
"use strict";
const Queue = (() => {
  const WAITING = "tagtrack.waiting", REFUSED = "tagtrack.refused", LIMIT = 20000, TRIES = 3;
  const read = (name) => { try { return JSON.parse(localStorage.getItem(name)) || []; } catch { return []; } };
  const write = (name, list) => localStorage.setItem(name, JSON.stringify(list));
  const told = () => document.dispatchEvent(new Event("queue"));
  let sending = false, offline = false, needs = "";

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

  const without = (name, key) => write(name, read(name).filter((press) => press.key !== key));

  function failedOften(key) {
    const list = read(WAITING);
    if (!list[0] || list[0].key !== key) return false;
    list[0].failed = (list[0].failed || 0) + 1;
    write(WAITING, list);
    return list[0].failed >= TRIES;
  }

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

  // sends in order; stops at the first press that gets no answer
  async function send() {
    if (sending) return;
    sending = true;
    try {
      for (;;) {
        const [press] = read(WAITING);
        if (!press) { offline = false; needs = ""; break; }
        const stop = new AbortController();
        const timer = setTimeout(() => stop.abort(), LIMIT);
        let answer, status;
        try {
          const response = await fetch(press.url, { method: "POST", body: body(press), signal: stop.signal,
            headers: { Accept: "application/json" }, credentials: "same-origin", redirect: "error" });
          status = response.status;
          answer = await response.json();
        } catch { offline = true; break; } finally { clearTimeout(timer); }
        offline = false;
        if (status === 500 && failedOften(press.key)) {
          // the program cannot take this one: it is shown to who made it, and holds up no other
          without(WAITING, press.key);
          write(REFUSED, [...read(REFUSED), { ...press, lines: answer.lines, recorded: false }]);
          continue;
        }
        if (status >= 500 || status === 429) { needs = answer.lines ? answer.lines.join(" ") : "the shop's computer is in trouble"; break; }
        if (status === 401) {
          needs = answer.who || press.who;
          const list = read(WAITING);
          if (list[0] && list[0].key === press.key && !list[0].signed) { list[0].signed = true; write(WAITING, list);
            if (document.body.dataset.who === press.who) continue; }
          break;
        }
        if (status === 403) { needs = "load the page again"; break; }
        without(WAITING, press.key);
        const detail = { press, answer, heard: false };
        document.dispatchEvent(new CustomEvent("answered", { detail }));
        // what is wrong, or asks, is kept for who pressed it where nobody saw it come
        if (!detail.heard && (answer.tone === "wrong" || answer.asked))
          write(REFUSED, [...read(REFUSED), { ...press, lines: answer.lines, recorded: answer.recorded }]);
      }
    } finally { sending = false; told(); }
  }

  return {
    freshKey, add, send, waiting: () => read(WAITING), refused: () => read(REFUSED), forget: (key) => { without(REFUSED, key); told(); },
    isOffline: () => offline, needs: () => needs,
  };
})();
setInterval(Queue.send, 3000);
addEventListener("online", Queue.send);
