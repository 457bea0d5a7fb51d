// Photos and the live camera. A photo is made smaller here where that helps, and read by the shop's computer.
"use strict";
(() => {
  const LARGE = 2560, EVERY = 350;
  const page = document.body.dataset;

  // smaller, upright, and without the notes of the camera; where that fails the photo goes as it is
  async function smaller(file) {
    try {
      const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
      const scale = LARGE / Math.max(picture.width, picture.height);
      if (scale >= 1) return file;
      const canvas = document.createElement("canvas");
      canvas.width = Math.round(picture.width * scale);
      canvas.height = Math.round(picture.height * scale);
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
      return blob ? new File([blob], file.name.replace(/\.\w+$/, "") + ".jpg", { type: "image/jpeg" }) : file;
    } catch { return file; }
  }

  function swapped(input, files) {
    const list = new DataTransfer();
    for (const file of files) list.items.add(file);
    input.files = list.files;
  }

  // a photo that was just taken is sent at once. Of a bench the pixels count: those go as they are
  function ready(form) {
    const input = form.querySelector("input[type=file]"), button = form.querySelector("button:not([type=button])");
    const words = button.textContent;
    // what is chosen goes by itself; the button is there again where that failed
    button.hidden = true;
    // who took it, by what was known then: whoever comes while it is made smaller did not
    let taken = null;
    const now = () => ({ who: page.who, as: page.as });
    function over() {
      taken = null;
      form.reset();
      button.hidden = true;
      button.textContent = words;
      document.dispatchEvent(new Event("sent"));
    }
    input.addEventListener("change", async () => {
      if (!input.files.length) return;
      if (Answer.nobody()) { over(); return; }
      taken = now();
      button.hidden = false;
      button.textContent = "Sending ...";
      if (form.dataset.pictures === undefined) swapped(input, await Promise.all([...input.files].map(smaller)));
      form.requestSubmit(button);
    });
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      if (!taken && Answer.nobody()) { over(); return; }
      taken = taken || now();
      button.disabled = true;
      button.hidden = false;
      button.textContent = "Sending ...";
      if (form.dataset.photo !== undefined && await keep(form, input.files[0], taken)) over();
      else if (await sendNow(form, taken)) over();
      else button.textContent = "Send again";
      button.disabled = false;
    });
  }

  // a photo that is to be kept waits in the browser like a press
  async function keep(form, file, by) {
    const fields = [...new FormData(form)].filter(([, value]) => typeof value === "string").map(([name, value]) => [name, name === "as" ? by.as : value]);
    const key = await Photos.add(form.action, fields, by.who, `photo of ${new FormData(form).get("about")}`, file);
    if (key) setTimeout(() => {
      // the head of the page shows what waits; whoever types is not disturbed
      const busy = !document.getElementById("answer").hidden || document.activeElement.matches("input:not([type=file])");
      if (!busy && Photos.waiting().some((press) => press.key === key))
        Answer.tell("note", ["the photo is kept on this device: it is sent by itself when there is a connection"], 3500);
    }, 2500);
    return key;
  }

  // what has to be read now goes at once; where nobody hears it, it stays chosen
  async function sendNow(form, by) {
    const body = new FormData(form);
    if (body.has("as")) body.set("as", by.as);
    try {
      const response = await fetch(form.action, { method: "POST", body, credentials: "same-origin", headers: { Accept: "application/json" } });
      if (response.redirected && response.ok) { location.assign(response.url); return true; }
      if ((response.headers.get("Content-Type") || "").includes("json")) window.tagAnswer({ asked: "", go: "", ...await response.json() });
      else {
        const fresh = new DOMParser().parseFromString(await response.text(), "text/html").getElementById("main");
        document.getElementById("main").replaceChildren(...fresh.childNodes);
        document.dispatchEvent(new Event("swapped"));
        scrollTo(0, 0);
      }
      return true;
    } catch {
      Answer.tell("wrong", ["the photo was not sent: no connection", "it stays chosen: press Send again when there is one"]);
      return false;
    }
  }
  const every = () => document.querySelectorAll("form[data-picture], form[data-photo], form[data-pictures]").forEach(ready);
  every();
  document.addEventListener("swapped", every);
  const live = document.getElementById("live-camera");
  if (!live || !window.isSecureContext || !navigator.mediaDevices) return;
  live.hidden = false;
  document.getElementById("camera-why").hidden = true;
  const video = document.getElementById("camera-video"), told = document.getElementById("camera-told"), start = document.getElementById("camera-start");
  let stream;
  function stop(words) {
    if (stream) for (const track of stream.getTracks()) track.stop();
    stream = undefined;
    video.srcObject = null;
    told.textContent = words;
    start.hidden = false;
  }
  start.addEventListener("click", async () => {
    start.hidden = true;
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: 1280 } }, audio: false });
    } catch (problem) {
      stop(`no camera: ${problem.name}; take a photo instead`);
      return;
    }
    video.srcObject = stream;
    await video.play();
    told.textContent = "hold a tag before the camera";
    const canvas = document.createElement("canvas");
    while (stream) {
      canvas.width = video.videoWidth;
      canvas.height = video.videoHeight;
      if (canvas.width) {
        canvas.getContext("2d").drawImage(video, 0, 0);
        const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.8));
        try {
          const response = await fetch(live.dataset.frame, { method: "POST", body: blob, credentials: "same-origin",
            headers: { "Content-Type": "image/jpeg", "X-Form-Token": page.formToken, Accept: "application/json" } });
          const seen = await response.json();
          if (response.status === 503) { await new Promise((done) => setTimeout(done, EVERY)); continue; }
          if (!response.ok) { stop(seen.lines.join(" ")); return; }
          if (seen.codes.length === 1) { stop(`read: ${seen.codes[0]}`); window.tagScanned(seen.codes[0]); return; }
          if (seen.codes.length > 1) told.textContent = `${seen.codes.length} tags in the picture: go nearer to one`;
          else if (seen.foreign) told.textContent = "that symbol is no tag of ours";
        } catch { told.textContent = "no connection"; }
      }
      await new Promise((done) => setTimeout(done, EVERY));
    }
  });
  addEventListener("pagehide", () => stop(""));
})();
