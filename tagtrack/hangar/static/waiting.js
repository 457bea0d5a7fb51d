// What waits for the network, and what was refused while nobody looked, at the head of every page.
"use strict";
(() => {
  const box = document.getElementById("waiting"), { make } = Answer;

  function show() {
    const waiting = [...Queue.waiting(), ...Photos.waiting()], refused = Queue.refused();
    const late = waiting.filter((press) => Date.now() - press.at > 2000);
    box.hidden = !late.length && !refused.length;
    if (box.hidden) return;
    const rows = [];
    if (late.length) {
      const why = Queue.isOffline() ? "no connection; kept here and sent later" : late.every((press) => !press.needs) ? "being sent" : "to be sent when something else is done";
      const by = document.body.dataset.who;
      const row = (press) => {
        const line = make("li", {}, `${press.who}: ${press.words}`);
        if (!press.needs || Queue.isOffline()) return line;
        line.append(`: ${press.needs} `);
        if (by) {
          const aside = make("button", { type: "button" }, "Set it aside, not recorded");
          aside.addEventListener("click", () => (press.name ? Photos : Queue).aside(press, by));
          line.append(aside);
        }
        return line;
      };
      rows.push(make("div", {}, `WAITING: ${late.length} (${why})`, make("ul", {}, ...late.slice(0, 6).map(row))));
    }
    if (refused.length) {
      const list = refused.map((press) => {
        const seen = make("button", { type: "button" }, `${press.who} has seen it`);
        seen.addEventListener("click", () => Queue.forget(press.key));
        const what = press.asks ? "RECORDED, AND ASKED" : press.recorded ? "RECORDED, AND WRONG" : "NOT RECORDED";
        return make("li", {}, make("b", {}, `${what}: `), `${press.who}: ${press.words}: ${press.lines.map((line) => line.trim()).join(" ")} `, seen);
      });
      rows.push(make("div", {}, `STOP: ${refused.length} that nobody saw`, make("ul", {}, ...list)));
    }
    box.replaceChildren(...rows);
  }
  document.addEventListener("queue", show);
  show();
})();
