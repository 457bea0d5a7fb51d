// The answer that fills the screen, with its tone; what is right goes by itself, what asks or stops stays.
"use strict";
const Answer = (() => {
  const HEADS = { done: "RECORDED", open: "RECORDED: MORE TO DO", ask: "ANSWER THIS", wrong: "STOP", note: "GO ON", found: "FINDINGS STAND" };
  const box = document.getElementById("answer");
  let leave, from;

  function make(tag, attributes = {}, ...children) {
    const node = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
    node.append(...children);
    return node;
  }

  // high and short is right, low and long is wrong; the same by vibration
  let sound;
  addEventListener("pointerdown", () => { try { sound = sound || new AudioContext(); sound.resume(); } catch { sound = undefined; } }, { passive: true });
  function signal(tone) {
    const [pitch, seconds, buzz] = { done: [1300, 0.09, [50]], open: [900, 0.12, [50]], ask: [700, 0.18, [60, 80, 60]], found: [700, 0.18, [60, 80, 60]], wrong: [170, 0.7, [500, 120, 500]] }[tone] || [950, 0.05, [20]];
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

  function hide() {
    box.hidden = true;
    box.replaceChildren();
    for (const node of document.body.children) node.inert = false;
    clearTimeout(leave);
    // back to what was pressed; never into a field, where the next scan would be typed
    if (from && from.isConnected) from.focus({ preventScroll: true });
    from = null;
  }
  function cover(full) {
    if (box.hidden) from = document.activeElement.matches("button, a, summary") ? document.activeElement : null;
    box.replaceChildren(full);
    box.hidden = false;
    for (const node of document.body.children) if (node !== box) node.inert = true;
    full.querySelector("h1").focus();
    box.scrollTop = 0;
    clearTimeout(leave);
  }

  // `how.on` goes on from it; a question is also answered: `how.record` takes the reason, `how.because` is what was said before
  function fill(answer, how) {
    signal(answer.tone);
    const full = make("section", { class: `full ${answer.tone}`, role: "alertdialog", "aria-labelledby": "answer-head" },
      make("span", { class: "shape", "aria-hidden": "true" }), make("h1", { id: "answer-head", tabindex: "-1" }, HEADS[answer.tone]));
    if (answer.tone === "wrong") full.append(make("p", { class: "note" }, answer.recorded ? "recorded, and wrong" : "not recorded"));
    // how far a line is set in says what it is under
    const rank = (line) => (line.search(/\S/) >= 8 ? "deep" : line.startsWith(" ") ? "under" : "first");
    for (const line of answer.lines) full.append(make("p", { class: rank(line) }, line.trim()));
    const after = make("div", { class: "after" });
    const on = make("button", { class: "main", type: "button" }, answer.asked ? "No: nothing was recorded" : "Go on");
    const go = () => { hide(); how.on(); };
    on.addEventListener("click", go);
    if (answer.asked) {
      const input = make("input", { id: "because", required: "", autocomplete: "off" });
      const form = make("form", {}, make("label", { for: "because" }, "It really is so, because"), input,
        make("button", { class: "main two" }, "RECORD IT as it is"));
      // one question may follow another: what was said to the first stands there, to be added to
      input.value = how.because || "";
      form.addEventListener("submit", (event) => { event.preventDefault(); hide(); how.record(input.value); });
      after.append(form);
    }
    // what was asked beside it, answered by one press
    for (const offer of answer.offers || []) {
      const say = make("button", { class: "main two offer", type: "button" }, offer.words);
      say.addEventListener("click", () => { hide(); how.offer(offer.line); });
      after.append(say);
    }
    after.append(on);
    full.append(after);
    cover(full);
    const seconds = answer.stays ? 0 : how.seconds || { done: 1400, open: 3000, note: answer.lines.length === 1 ? 700 : 0 }[answer.tone];
    if (seconds) leave = setTimeout(go, seconds);
  }

  // what the page itself has to say; nothing follows
  const tell = (tone, lines, seconds = 0) => fill({ tone, lines, recorded: false, asked: "" }, { on: () => {}, seconds });

  // a badge of somebody was scanned who is not signed in here: till that is settled nobody works
  function nobody() {
    const who = document.body.dataset.nobody;
    if (who) tell("wrong", [`${who} is not signed in here`, "nothing was recorded; sign in, or change over to somebody who is"]);
    return Boolean(who);
  }

  return { nobody, make, signal, hide, cover, fill, tell };
})();
