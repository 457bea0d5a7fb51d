// What the scripts add to pages that work without them: answers that fill the screen, the hand scanner, counting, polling.
"use strict";
(() => {
  const page = document.body.dataset;
  const $ = (selector, within = document) => within.querySelector(selector);
  const make = (tag, attributes = {}, ...children) => {
    const node = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
    node.append(...children);
    return node;
  };
  const HEADS = { done: "RECORDED", ask: "ANSWER THIS", wrong: "STOP", note: "GO ON" };

  // high and short is right, low and long is wrong; the same by vibration
  let sound;
  addEventListener("pointerdown", () => { try { sound = sound || new AudioContext(); sound.resume(); } catch { sound = undefined; } }, { passive: true });
  function signal(tone) {
    const [pitch, seconds, buzz] = { done: [1300, 0.09, [50]], ask: [700, 0.18, [60, 80, 60]], wrong: [170, 0.7, [500, 120, 500]] }[tone] || [950, 0.05, [20]];
    if (navigator.vibrate) navigator.vibrate(buzz);
    if (!sound || sound.state !== "running") return;
    const wave = sound.createOscillator(), loud = sound.createGain();
    wave.type = tone === "wrong" ? "square" : "sine";
    wave.frequency.value = pitch;
    loud.gain.value = 0.25;
    wave.connect(loud).connect(sound.destination);
    wave.start();
    wave.stop(sound.currentTime + seconds);
  }

  const answerBox = $("#answer"), main = $("#main");
  let leave;
  function hide() {
    answerBox.hidden = true;
    answerBox.replaceChildren();
    for (const node of document.body.children) node.inert = false;
    clearTimeout(leave);
  }
  function close(go) {
    hide();
    if (go) location.assign(go); else refresh(true);
  }

  function fill(press, answer, then) {
    signal(answer.tone);
    const go = answer.go || then;
    const full = make("section", { class: `full ${answer.tone}`, role: "alertdialog", "aria-labelledby": "answer-head" },
      make("span", { class: "shape", "aria-hidden": "true" }), make("h1", { id: "answer-head", tabindex: "-1" }, HEADS[answer.tone]));
    if (answer.tone === "wrong") full.append(make("p", { class: "note" }, answer.recorded ? "recorded, and wrong" : "not recorded"));
    for (const line of answer.lines) full.append(make("p", {}, line.trim()));
    const after = make("div", { class: "after" });
    if (answer.asked) {
      const input = make("input", { id: "because", required: "", autocomplete: "off" });
      const form = make("form", {}, make("label", { for: "because" }, "It really is so, because"), input,
        make("button", { class: "main two" }, "RECORD IT as it is"));
      form.addEventListener("submit", (event) => {
        event.preventDefault();
        const fields = press.fields.filter(([name]) => !["because", "asked"].includes(name));
        answerBox.replaceChildren();
        put(press.url, [...fields, ["because", input.value], ["asked", answer.asked]], press.words, then);
      });
      after.append(form);
    }
    const on = make("button", { class: "main", type: "button" }, answer.asked ? "No: nothing was recorded" : "Go on");
    on.addEventListener("click", () => close(answer.asked || answer.tone === "wrong" ? answer.go : go));
    after.append(on);
    full.append(after);
    answerBox.replaceChildren(full);
    answerBox.hidden = false;
    for (const node of document.body.children) if (node !== answerBox) node.inert = true;
    $("h1", full).focus();
    answerBox.scrollTop = 0;
    clearTimeout(leave);
    // what is right, or only told in a word, goes by itself; what asks or stops stays
    if (answer.tone === "done") leave = setTimeout(() => close(go), 1400);
    else if (answer.tone === "note" && answer.lines.length === 1) leave = setTimeout(() => close(go), 700);
  }

  // a press that this page waits for, and what to do after it
  const pending = new Map();
  function put(url, fields, words, then) {
    const key = Queue.add(url, fields, page.who, words);
    Queue.watched.add(key);
    pending.set(key, then);
    setTimeout(() => { if (pending.delete(key)) { Queue.watched.delete(key); signal("note"); show(); } }, 2500);
    Queue.send();
  }
  document.addEventListener("answered", (event) => {
    const { press, answer } = event.detail;
    // also one whose page was loaded anew in the middle of it
    const mine = pending.has(press.key) || (Date.now() - press.at < 6000 && !document.hidden);
    const then = pending.get(press.key) || "";
    pending.delete(press.key);
    if (!mine && answer.tone === "done") { refresh(true); return; }
    // a tag taken in hand shows itself
    if (answer.go && !answer.asked && ["ask", "note"].includes(answer.tone)) { if (mine) location.assign(answer.go); return; }
    if (mine || answer.asked) fill(press, answer, then);
  });

  function wordsOf(form, button) {
    const line = new FormData(form).get("line") || (button && button.value && button.name === "line" && button.value);
    return (line || (button && button.textContent) || "press").trim().replace(/\s+/g, " ").slice(0, 80);
  }

  addEventListener("submit", (event) => {
    const form = event.target;
    if (event.defaultPrevented || !form.dataset.press || form.dataset.direct !== undefined || !page.as) return;
    event.preventDefault();
    const fields = [...new FormData(form, event.submitter)].filter(([, value]) => typeof value === "string");
    const after = { off: `/job/${page.job}`, next: "", stay: "", scan: "", go: "" }[form.dataset.press];
    put(form.getAttribute("action"), fields, wordsOf(form, event.submitter), after);
    if (form.dataset.press === "scan") form.reset();
  });

  // a hand scanner types faster than fingers, and ends with Enter; in a text field it types there
  let typed = "", last = 0;
  addEventListener("keydown", (event) => {
    const field = event.target;
    if (field.matches && field.matches("input:not([type=radio]):not([type=checkbox]):not([type=file]), textarea")) return;
    const now = performance.now();
    if (now - last > 80) typed = "";
    last = now;
    if (event.key === "Enter" && typed.length >= 4) {
      event.preventDefault();
      scanned(typed);
      typed = "";
    } else if (event.key.length === 1) typed += event.key;
  }, true);
  function scanned(text) {
    const form = $("form.scan");
    if (!form) return;
    hide();
    const fields = [...new FormData(form)].filter(([name]) => name !== "line");
    put(form.getAttribute("action"), [...fields, ["line", text], ["scanned", "1"]], text, "");
  }
  window.tagScanned = scanned;

  // counting in steps of one
  for (const button of document.querySelectorAll("[data-step]")) {
    button.hidden = false;
    const input = $("input[name=count]", button.form);
    button.addEventListener("click", () => { input.value = Math.max(0, (parseInt(input.value, 10) || 0) + Number(button.dataset.step)); signal("note"); });
  }

  // a pad of figures for gloves
  for (const pad of document.querySelectorAll("[data-pad]")) {
    const input = document.getElementById(pad.dataset.pad);
    for (const figure of ["1", "2", "3", "4", "5", "6", "7", "8", "9", "clear", "0"]) {
      const button = make("button", { type: "button" }, figure);
      button.addEventListener("click", () => { input.value = figure === "clear" ? "" : input.value + figure; });
      pad.append(button);
    }
    pad.hidden = false;
  }

  // the last mark that is answered sends the form: two marks are two presses
  for (const form of document.querySelectorAll("form.seat")) {
    const sets = form.querySelectorAll("fieldset");
    form.addEventListener("change", () => {
      if (sets.length && [...sets].every((set) => $("input:checked", set))) form.requestSubmit($("button", form));
    });
  }

  // what waits, and what was refused while nobody looked
  function show() {
    const box = $("#waiting"), waiting = Queue.waiting(), refused = Queue.refused();
    const late = waiting.filter((press) => Date.now() - press.at > 2000);
    box.hidden = !late.length && !refused.length;
    if (box.hidden) return;
    const rows = [];
    if (late.length) {
      const why = Queue.isOffline() ? "no connection; kept here and sent later" : Queue.needs() ? `to be sent when this is done: sign in as ${Queue.needs()}` : "being sent";
      rows.push(make("div", {}, `WAITING: ${late.length} (${why})`, make("ul", {}, ...late.slice(0, 6).map((press) => make("li", {}, `${press.who}: ${press.words}`)))));
    }
    if (refused.length) {
      const list = refused.map((press) => {
        const seen = make("button", { type: "button" }, `${press.who} has seen it`);
        seen.addEventListener("click", () => Queue.forget(press.key));
        return make("li", {}, `${press.who}: ${press.words}: ${press.lines.join(" ")} `, seen);
      });
      rows.push(make("div", {}, `REFUSED, NOT RECORDED: ${refused.length}`, make("ul", {}, ...list)));
    }
    box.replaceChildren(...rows);
  }
  document.addEventListener("queue", show);

  // what others do: the head of the record is asked for, and the marked part of the page fetched anew
  async function refresh(whole) {
    const live = $("[data-live]");
    if (!live && !whole) return;
    try {
      const response = await fetch(location.href, { credentials: "same-origin" });
      if (!response.ok || response.redirected) return;
      const fresh = new DOMParser().parseFromString(await response.text(), "text/html");
      const busy = document.activeElement;
      if (whole && !live) {
        if (main.contains(busy) && busy.matches("input") && busy.value) return;
        location.reload();
        return;
      }
      const next = $("[data-live]", fresh);
      if (next && !live.contains(busy)) live.replaceWith(next);
      const zone = $(".top nav"), other = $(".top nav", fresh);
      if (zone && other) zone.replaceWith(other);
      for (const field of document.querySelectorAll("input[name=area]")) {
        const told = $("input[name=area]", fresh);
        if (told) field.value = told.value;
      }
    } catch { /* no connection: the next round asks again */ }
  }
  async function poll() {
    const live = $("[data-live][data-head]");
    if (!live || document.hidden || !page.job) return;
    try {
      const response = await fetch(`/job/${page.job}/changes`, { headers: { Accept: "application/json" }, credentials: "same-origin" });
      if (response.ok && (await response.json()).head !== live.dataset.head) refresh(false);
    } catch { /* same */ }
  }
  setInterval(poll, 3000);

  show();
  Queue.send();
})();
