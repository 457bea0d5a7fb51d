// What the scripts add to pages that work without them: presses, the hand scanner, counting, who works, polling.
"use strict";
(() => {
  const page = document.body.dataset;
  const $ = (selector, within = document) => within.querySelector(selector);
  const { make, signal, hide, cover, tell } = Answer;
  const main = $("#main");

  // the answer to a press, and what to do after it; `again` sends the press once more with the reason that was asked for
  function answered(press, answer, then, again, known) {
    Answer.fill(answer, {
      because: (press.fields.find(([name]) => name === "because") || ["", ""])[1],
      record: (why) => again([...press.fields.filter(([name]) => !["because", "asked"].includes(name)), ["because", why], ["asked", answer.asked]]),
      offer: (line) => put(`/job/${page.job}/press`, [...press.fields.filter(([name]) => ["form_token", "as", "area", "back"].includes(name)), ["line", line]], line, ""),
      on: () => {
        // a part that was turned is looked at anew; whatever else was typed stays, to be put right
        if (answer.asked && known && known.seat) Fields.reset(known);
        const stays = answer.asked || answer.tone === "wrong";
        const go = stays ? answer.go : answer.go || then;
        if (go) { location.assign(go); return; }
        // what comes next begins at the head of the page; who counts goes on where the hand is
        refresh(true).then(() => { if (answer.recorded && known && !(known.stays && Fields.here(known))) scrollTo(0, 0); });
      },
    });
  }

  // what a press says, without what only says where it came from
  const said = (fields) => JSON.stringify(fields.filter(([name]) => !["key", "as", "form_token", "back"].includes(name)));

  // a press that this page waits for, and what to do after it
  const pending = new Map();
  function put(url, fields, words, then, known) {
    if (Answer.nobody()) return;
    const twice = Queue.last(page.who);
    if (twice && twice.url === url && said(twice.fields) === said(fields)) {
      // one tap of a glove is often two: till it is answered it is one press. Whoever meant two is told
      if (Date.now() - twice.at > 2500) tell("note", ["that was pressed already, and is not answered yet: it counts once", "to do it again, wait for the answer, and then press"]);
      return;
    }
    const key = Queue.add(url, fields, page.who, words);
    if (!key) { tell("wrong", ["this browser could not keep the press, so it was not sent", "make room in it, or leave its private mode; then press again"]); return; }
    pending.set(key, { then, known, late: false });
    setTimeout(() => { const mine = pending.get(key); if (mine) { mine.late = true; signal("note"); Queue.told(); } }, 2500);
    Queue.send();
  }
  document.addEventListener("answered", (event) => {
    const { press, answer } = event.detail;
    const { then = "", known, late = true } = pending.get(press.key) || {};
    pending.delete(press.key);
    // seen is what the one who pressed still looks at; also where the page was loaded anew in the middle of it. Nobody
    // else answers for him or her, and nobody is disturbed in other work
    const mine = press.who === page.who && (!late || (Date.now() - press.at < 6000 && !document.hidden));
    event.detail.heard = mine;
    // what was sent is done with once it is recorded; what was refused can be put right
    if (known && answer.recorded) Fields.clean(known);
    if (!mine) { refresh(true); return; }
    // a tag taken in hand shows itself
    if (answer.go && !answer.asked && ["ask", "note"].includes(answer.tone)) { location.assign(answer.go); return; }
    answered(press, answer, then, (fields) => put(press.url, fields, press.words, then, known), known);
  });

  // what asks for the PIN is never kept in the browser: it goes now or not at all, and what was typed stays on the page.
  // Sent again after a lost answer it counts once
  let tried = { said: "", key: "" };
  const OWN = ["pin", "key", "as", "form_token"];
  async function direct(form, fields, then, known) {
    const said = JSON.stringify(fields.filter(([name]) => !OWN.includes(name) && !name.startsWith("pin-")));
    if (tried.said !== said) tried = { said, key: Queue.freshKey() };
    const body = new URLSearchParams(fields);
    body.set("key", tried.key);
    const buttons = [...form.querySelectorAll("button")];
    for (const button of buttons) button.disabled = true;
    try {
      const response = await fetch(form.getAttribute("action"), { method: "POST", body, credentials: "same-origin", redirect: "error",
        headers: { Accept: "application/json" }, signal: AbortSignal.timeout(20000) });
      const answer = { asked: "", go: "", ...await response.json() };
      if (answer.recorded) { tried = { said: "", key: "" }; Fields.clean(known); }
      if (answer.sign_in) answer.go = draft(answer.who || page.who);
      answered({ fields }, answer, then, (more) => direct(form, more, then, known), known);
    } catch {
      tell("wrong", ["no answer from the shop's computer", "what was typed stays here; when there is a connection, press again: it counts once"]);
    }
    for (const button of buttons) button.disabled = false;
    for (const pin of document.querySelectorAll("main input[type=password]")) pin.value = "";
  }
  // a sign-in that has ended in the middle of it: what was typed waits for the same person on the same page
  const DRAFT = "tagtrack.draft", here = location.pathname + location.search;
  function draft(who) {
    const kept = [...Fields.changed(main, "input:not([type=hidden]):not([type=file]):not([type=password]), textarea")];
    sessionStorage.setItem(DRAFT, JSON.stringify({ who, here, kept }));
    return `/people?who=${encodeURIComponent(who)}&back=${encodeURIComponent(here)}`;
  }
  function fromDraft() {
    const known = JSON.parse(sessionStorage.getItem(DRAFT) || "null");
    if (!known || known.here !== here || known.who !== page.who) return;
    sessionStorage.removeItem(DRAFT);
    Fields.restore(main, new Map(known.kept));
  }

  // who works here is known to the page itself, so that a change of person needs no network
  const tokens = JSON.parse(page.people), badges = JSON.parse(page.badges), NOW = "tagtrack.now";
  function works(who) {
    page.nobody = "";
    page.who = who;
    page.as = tokens[who];
    for (const field of document.querySelectorAll("input[name=as]")) field.value = page.as;
    for (const shown of document.querySelectorAll("a.who b")) shown.textContent = who;
    for (const name of document.querySelectorAll("a.who .wide")) name.textContent = "";
  }
  async function agree(who, back) {
    // the shop's computer learns it when it can be reached; till then it is kept here
    try {
      localStorage.setItem(NOW, who);
      const answer = await fetch("/people/now", { method: "POST", credentials: "same-origin", redirect: "manual",
        body: new URLSearchParams({ form_token: page.formToken, who, back: here }) });
      if (answer.type === "opaqueredirect" || answer.ok) { localStorage.removeItem(NOW); if (back) refresh(true); }
    } catch { /* later */ }
  }
  function changeOver(who) {
    if (tokens[who]) {
      works(who);
      tell("note", [`BY  ${who}`]);
      agree(who, !Queue.waiting().length && !$("main form input:not([type=hidden]):focus"));
      return;
    }
    page.nobody = who;
    fetch(`/people?who=${who}`, { credentials: "same-origin" })
      .then(() => location.assign(`/people?who=${encodeURIComponent(who)}&back=${encodeURIComponent(here)}`))
      .catch(() => tell("wrong", [`${who} is not signed in here`, "that takes the PIN and a network; until then nothing is recorded on this device"]));
  }
  const kept = localStorage.getItem(NOW);
  if (kept && kept !== page.who && tokens[kept] && page.who) { works(kept); agree(kept, false); }
  // who goes says what of his or hers waits here: that still goes, and nothing else under this sign-in
  addEventListener("submit", (event) => {
    const form = event.target, who = event.submitter && event.submitter.value;
    if (form.getAttribute("action") !== "/people/out") return;
    const mine = [...Queue.waiting(), ...Photos.waiting()].filter((press) => press.who === who).map((press) => press.key);
    form.append(make("input", { type: "hidden", name: "waiting", value: mine.join(" ") }));
  }, true);
  addEventListener("submit", (event) => { if (/^\/people/.test(event.target.getAttribute("action") || "")) localStorage.removeItem(NOW); }, true);
  const whoLink = $("a.who");
  if (whoLink && page.who) whoLink.addEventListener("click", (event) => {
    event.preventDefault();
    const full = make("section", { class: "full", role: "dialog", "aria-labelledby": "answer-head" }, make("h1", { id: "answer-head", tabindex: "-1" }, "Who works here?"));
    for (const who of Object.keys(tokens)) {
      const name = make("button", { class: `name${who === page.who ? " now" : ""}`, type: "button" }, make("b", {}, who));
      name.addEventListener("click", () => { hide(); changeOver(who); });
      full.append(name);
    }
    const stay = make("button", { class: "main", type: "button" }, "Nobody changes");
    stay.addEventListener("click", hide);
    full.append(make("a", { class: "button main two", href: whoLink.href }, "Somebody else, or sign out"), stay);
    cover(full);
  });

  // a page that cannot be had now would leave an empty screen: stay here, where what is pressed is kept
  let reached = true;
  async function canReach() {
    try { await fetch("/static/mark.svg", { cache: "no-store", signal: AbortSignal.timeout(1500) }); return true; } catch { return false; }
  }
  addEventListener("click", async (event) => {
    const link = event.target.closest && event.target.closest("a[href]");
    if (event.defaultPrevented || !link || !page.who || (reached && navigator.onLine && !Queue.isOffline())) return;
    event.preventDefault();
    reached = await canReach();
    if (reached) location.assign(link.href);
    else tell("wrong", ["no connection: that page cannot be opened now", "what you press on this page is kept, and sent later"]);
  });
  window.tagAnswer = (answer) => answered({ fields: [] }, answer, "", () => {});

  function codeOf(text) {
    const address = /\/T\/([0-9A-Z]{8,9})\/?$/i.exec(text.trim());
    return (address ? address[1] : text.replace(/[ -]/g, "")).toUpperCase();
  }

  function wordsOf(form, button) {
    const line = new FormData(form).get("line") || (button && button.value && button.name === "line" && button.value);
    return (line || (button && button.textContent) || "press").trim().replace(/\s+/g, " ").slice(0, 80);
  }

  addEventListener("submit", (event) => {
    const form = event.target;
    if (event.defaultPrevented || !form.dataset.press || !page.as) return;
    event.preventDefault();
    const fields = [...new FormData(form, event.submitter)].filter(([, value]) => typeof value === "string");
    // the second tap on Go finds nothing more to send
    if (form.dataset.press === "scan" && !new FormData(form).get("line").trim()) return;
    const badge = form.dataset.press === "scan" && badges[codeOf(new FormData(form).get("line"))];
    if (badge) { form.reset(); changeOver(badge); return; }
    const after = { look: `/job/${page.job}/look`, next: "", stay: "", scan: "", go: "" }[form.dataset.press];
    const known = { ...Fields.sent(form), seat: form.matches(".seat"), stays: form.matches(".count, .line") };
    if (form.dataset.direct !== undefined) { direct(form, fields, after, known); return; }
    put(form.getAttribute("action"), fields, wordsOf(form, event.submitter), after, known);
    if (form.dataset.press === "scan") form.reset();
  });

  // a hand scanner types as fast as it can, and ends with Enter; in a text field it types there
  let typed = "", last = 0;
  addEventListener("keydown", (event) => {
    const field = event.target;
    if (field.matches && field.matches("input:not([type=radio]):not([type=checkbox]):not([type=file]), textarea")) return;
    // by when the key was struck, not by when there was time for it; a device that does much else may hand keys on late
    if (event.timeStamp - last > 900) typed = "";
    last = event.timeStamp;
    if (event.key === "Enter" && typed.length >= 4) {
      event.preventDefault();
      scanned(typed);
      typed = "";
    } else if (event.key.length === 1) {
      // a blank in the middle of a scanned word presses no button
      if (event.key === " " && typed) event.preventDefault();
      typed += event.key;
    }
  }, true);
  function scanned(text) {
    const form = $("form.scan");
    if (!form) return;
    hide();
    if (badges[codeOf(text)]) { changeOver(badges[codeOf(text)]); return; }
    const fields = [...new FormData(form)].filter(([name]) => name !== "line");
    put(form.getAttribute("action"), [...fields, ["line", text], ["scanned", "1"]], text, "");
  }
  window.tagScanned = scanned;

  // what the scripts add to a part of the page, also after it was fetched anew
  function enhance(part) {
    // counting in steps of one
    for (const button of part.querySelectorAll("[data-step]")) {
      button.hidden = false;
      const input = $("input[name=count]", button.form);
      button.addEventListener("click", () => { input.value = Math.max(0, (parseInt(input.value, 10) || 0) + Number(button.dataset.step)); signal("note"); });
    }
    // a pad of figures for gloves
    for (const pad of part.querySelectorAll("[data-pad]")) {
      const input = document.getElementById(pad.dataset.pad);
      for (const figure of ["1", "2", "3", "4", "5", "6", "7", "8", "9", "clear", "0"]) {
        const button = make("button", { type: "button", class: figure.length > 1 ? "words" : "figure" }, figure);
        button.addEventListener("click", () => { input.value = figure === "clear" ? "" : input.value + figure; });
        pad.append(button);
      }
      pad.hidden = false;
    }
    // ON says what it will say, and can be pressed once every mark was looked at; till then a choice can be changed
    for (const form of part.querySelectorAll("form.seat")) {
      const sets = [...form.querySelectorAll("fieldset")], on = $("button", form);
      if (!sets.length) continue;
      const say = () => {
        const seen = sets.map((set) => [$("legend", set).textContent, ($("input:checked", set) || {}).value]);
        on.disabled = seen.some(([, way]) => !way);
        on.textContent = `ON: ${seen.map(([mark, way]) => `${mark} ${way || "?"}`).join(", ")}`;
      };
      form.addEventListener("change", say);
      form.addEventListener("cleaned", say);
      say();
    }
  }
  fromDraft();
  enhance(main);

  // what others do: the head of the record is asked for, and the page fetched anew. It is never loaded anew: what is
  // typed in that moment, by a hand or a scanner, would be lost
  let round = 0, later = false;
  async function refresh(whole) {
    const mine = ++round;
    if (!$("[data-live]") && !whole) return;
    try {
      const response = await fetch(location.href, { credentials: "same-origin" });
      reached = true;
      if (!response.ok || response.redirected) return;
      const fresh = new DOMParser().parseFromString(await response.text(), "text/html");
      // an older picture that comes late is not shown over a newer one
      if (mine === round) shown(fresh);
    } catch { reached = false; /* the next round asks again */ }
  }
  function shown(fresh) {
    later = Fields.held(main);
    if (later) return;
    Fields.exchange(main, $("#main", fresh).childNodes, enhance);
    document.dispatchEvent(new Event("swapped"));
    const nav = $(".top nav"), other = $(".top nav", fresh);
    if (nav && other) nav.replaceWith(other);
    const area = $("form.scan input[name=area]", fresh);
    for (const form of document.querySelectorAll("form[data-press]")) {
      let field = $("input[name=area]", form);
      if (area && !field) { field = make("input", { type: "hidden", name: "area" }); form.prepend(field); }
      if (field) field.value = area ? area.value : "";
    }
    // who works here now may be known to this page alone, as long as there is no network
    for (const field of document.querySelectorAll("input[name=as]")) field.value = page.as;
  }
  const afterwards = () => { if (later) refresh(true); };
  document.addEventListener("composed", afterwards);
  document.addEventListener("sent", afterwards);
  // another record stands in the place of the one that was worked on: told on every device till somebody has read it there
  const EXCHANGED = "tagtrack.exchanged";
  function warned(lines) {
    const seen = read(EXCHANGED), words = lines.join("\n");
    if (seen[page.job] === words || !$("#answer").hidden) return;
    Answer.fill({ tone: "wrong", lines, recorded: false, asked: "" },
      { on: () => { localStorage.setItem(EXCHANGED, JSON.stringify({ ...read(EXCHANGED), [page.job]: words })); refresh(true); } });
  }
  const read = (name) => { try { return JSON.parse(localStorage.getItem(name)) || {}; } catch { return {}; } };
  async function poll() {
    const live = $("[data-live][data-head]");
    if (document.hidden || !page.job || !page.who) return;
    try {
      const response = await fetch(`/job/${page.job}/changes`, { headers: { Accept: "application/json" }, credentials: "same-origin" });
      const news = response.ok ? await response.json() : {};
      if (live && news.head && news.head !== live.dataset.head) refresh(false);
      if ((news.exchanged || []).length) warned(news.exchanged);
      reached = true;
    } catch { reached = false; }
  }
  setInterval(poll, 3000);

  Queue.send();
})();
