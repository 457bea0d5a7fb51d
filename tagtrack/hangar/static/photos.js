// Photos that are to be kept: each is put into the browser before it is sent, and leaves only when it was answered.
"use strict";
const Photos = (() => {
  // so much is kept at most: a browser's room is not ours alone
  const MOST = 20, MOST_BYTES = 48 * 2 ** 20, LIMIT = 60000, QUIET = 30000, STORE = "photos";
  let sending = false, quiet = 0, known = [];

  function opened() {
    return new Promise((done, fail) => {
      const asked = indexedDB.open("tagtrack", 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "key" });
      asked.onsuccess = () => done(asked.result);
      asked.onerror = asked.onblocked = () => fail(asked.error);
    });
  }
  async function work(mode, act) {
    const base = await opened();
    try {
      return await new Promise((done, fail) => {
        const all = base.transaction(STORE, mode), asked = act(all.objectStore(STORE));
        all.oncomplete = () => done(asked.result);
        all.onerror = all.onabort = () => fail(all.error);
      });
    } finally { base.close(); }
  }
  const store = {
    // what was set aside meanwhile does not come back
    put: async (press) => { if ((await kept()).some((each) => each.key === press.key)) await work("readwrite", (photos) => photos.put(press)); },
    remove: (key) => work("readwrite", (photos) => photos.delete(key)),
  };
  async function kept() {
    const found = (await work("readonly", (photos) => photos.getAll())).sort((one, other) => one.at - other.at);
    known = found.map(({ file, ...press }) => press);
    return found;
  }

  // keeps a photo and begins to send it; returns its key, or nothing where this browser keeps none, or no more
  async function add(url, fields, who, words, file) {
    const press = { key: Queue.freshKey(), url, fields, who, words, at: Date.now(), name: file.name || "photo.jpg", file };
    try {
      const waiting = await kept();
      const bytes = waiting.reduce((sum, each) => sum + each.file.size, file.size);
      if (waiting.length >= MOST || bytes > MOST_BYTES) return "";
      await work("readwrite", (photos) => photos.put(press));
      await kept();
    } catch { return ""; }
    quiet = 0;
    Queue.told();
    send();
    return press.key;
  }

  async function send() {
    if (sending || Date.now() < quiet) return;
    sending = true;
    try {
      const held = Queue.holding();
      for (;;) {
        const press = (await kept()).find(held.free);
        if (!press) break;
        const form = new FormData();
        for (const [name, value] of Queue.body(press)) form.append(name, value);
        form.append("picture", press.file, press.name);
        const holds = await Queue.deliver(press, form, LIMIT, store);
        held.by(press, holds);
        // what was heard and not taken is large: it is not sent again every few seconds
        if (holds && holds !== "again" && !Queue.isOffline()) quiet = Date.now() + QUIET;
      }
      await kept();
    } catch { /* this browser keeps no photos: none waits */ } finally { sending = false; Queue.told(); }
  }

  Queue.alongside(() => known.length);
  return { add, send, waiting: () => known, aside: async (press, by) => { await Queue.aside(press, by, store); await kept(); Queue.told(); } };
})();
setInterval(() => { if (Photos.waiting().length) Photos.send(); }, 3000);
addEventListener("online", Photos.send);
Photos.send();
