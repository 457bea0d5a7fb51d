// What people have typed and chosen on a page, so that the page can be exchanged under their hands.
"use strict";
const Fields = (() => {
  const FIELD = "input:not([type=hidden]):not([type=file]), textarea";
  // these change from page to page, and say nothing of what a form is about
  const PASSING = new Set(["form_token", "as", "key", "area", "back"]);
  const ticked = (field) => field.type === "radio" || field.type === "checkbox";

  // a form is the same on a later page where it says the same of itself: the tag, the callout, the finding
  function formName(form) {
    if (!form) return "";
    const said = [...form.querySelectorAll("input[type=hidden]")].filter((field) => !PASSING.has(field.name));
    return [form.getAttribute("action"), form.className, ...said.map((field) => `${field.name}=${field.value}`)].join("\n");
  }
  const name = (field) => [formName(field.form), field.name || field.id, ticked(field) ? field.value : ""].join("\t");
  const stands = (field) => (ticked(field) ? field.checked : field.value);
  const meant = (field) => (ticked(field) ? field.defaultChecked : field.defaultValue);
  function set(field, value) {
    if (ticked(field)) field.checked = value;
    else field.value = value;
  }
  const within = (part, which = FIELD) => [...part.querySelectorAll(which)];

  // what differs from how the page came, by field
  const changed = (part, which) => new Map(within(part, which).filter((field) => stands(field) !== meant(field)).map((field) => [name(field), stands(field)]));
  function restore(part, kept) {
    for (const field of within(part)) if (kept.has(name(field))) set(field, kept.get(name(field)));
  }

  // what stands in a form as it is sent; and, once that is recorded, the form made clean but for what was changed since
  const sent = (form) => ({ form: formName(form), fields: new Map(within(form).map((field) => [name(field), stands(field)])) });
  const like = (known) => [...document.forms].filter((form) => formName(form) === known.form);
  function clean(known) {
    for (const form of like(known)) {
      const done = within(form).filter((field) => known.fields.get(name(field)) === stands(field));
      for (const field of done) set(field, meant(field));
      form.dispatchEvent(new Event("cleaned"));
    }
  }
  function reset(known) {
    for (const form of like(known)) { form.reset(); form.dispatchEvent(new Event("cleaned")); }
  }

  // where the hand is: what is focused, and where in it
  const spot = (node) => [node.tagName, node.matches("input, button, textarea") ? name(node) : "", node.matches("a, button, summary") ? node.textContent : ""].join("\t");
  function hand(part) {
    const node = document.activeElement;
    if (!node || node === part || !part.contains(node)) return () => {};
    const where = spot(node), caret = node.matches(FIELD) && !ticked(node) ? [node.selectionStart, node.selectionEnd] : null;
    return () => {
      const found = [...part.querySelectorAll("a, button, summary, input, textarea")].find((each) => spot(each) === where);
      if (!found) return;
      found.focus({ preventScroll: true });
      if (caret) found.setSelectionRange(...caret);
    };
  }
  // a number at its end counts what is in it, and may have changed
  const headOf = (details) => details.querySelector("summary").textContent.replace(/: \d+\s*$/, "");

  // puts other content into a part of the page; what was typed since, chosen, unfolded and focused there stays so
  function exchange(part, nodes, ready) {
    const kept = changed(part), back = hand(part), height = scrollY;
    const open = new Set([...part.querySelectorAll("details[open]")].map(headOf));
    part.replaceChildren(...nodes);
    restore(part, kept);
    for (const details of part.querySelectorAll("details")) if (open.has(headOf(details))) details.open = true;
    ready(part);
    back();
    scrollTo(0, height);
  }
  // a photo that was chosen is on its way and can be put into no other page, nor half a word of a keyboard that composes
  let composing = false;
  addEventListener("compositionstart", () => { composing = true; });
  addEventListener("compositionend", () => { composing = false; document.dispatchEvent(new Event("composed")); });
  const held = (part) => composing || [...part.querySelectorAll("input[type=file]")].some((field) => field.files.length);

  const here = (known) => like(known).length > 0;
  return { changed, restore, sent, here, clean, reset, exchange, held };
})();
