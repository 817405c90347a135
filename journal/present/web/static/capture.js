// The page to speak to: one large control, what was heard, what was understood, and what is asked.
import { on } from "./keys.js";
import { Line } from "./line.js";
import { Outbox } from "./outbox.js";
import { Voice } from "./voice.js";

const SOUND = 1, GAP = 2, REQUEST = 3, SPEAKING = 1;
const $ = (id) => document.getElementById(id);
const voice = new Voice();
let outbox, line, capture, context, stream, lock, node;
let number = 0, paused = false, ending = false, muted = false, lastAt = null;
let queue = Promise.resolve();

function uuid() { // version 7, RFC 9562
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  const now = Date.now();
  for (let n = 0; n < 6; n += 1) bytes[n] = Math.floor(now / 2 ** (8 * (5 - n))) % 256;
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/(.{8})(.{4})(.{4})(.{4})(.{12})/, "$1-$2-$3-$4-$5");
}

function frame(kind, flags, at, body) {
  const data = new Uint8Array(16 + body.byteLength);
  const head = new DataView(data.buffer);
  head.setUint32(0, number, true);
  head.setUint8(4, kind);
  head.setUint8(5, flags);
  head.setFloat64(8, at, true);
  data.set(new Uint8Array(body), 16);
  return data.buffer;
}

// Everything goes through the outbox, in order, sound and wishes alike.
function post(kind, body, at = Date.now(), flags = 0) {
  if (!capture) return;
  const own = number;
  const data = frame(kind, flags, at, body);
  number += 1;
  queue = queue
    .then(() => outbox.put(capture.id, own, data))
    .then(() => line.pump())
    .catch(() => state("trouble", "This device has no room left to keep sound. Free some, then start again."));
}
const ask = (message) => post(REQUEST, new TextEncoder().encode(JSON.stringify(message)));
const gap = (why) => post(GAP, new TextEncoder().encode(JSON.stringify({ why })), lastAt ?? Date.now());

function state(kind, text) {
  const shown = $("line");
  if (shown.dataset.state === kind && shown.textContent === text) return;
  shown.dataset.state = kind;
  shown.textContent = text;
}

async function listen() {
  stream = await navigator.mediaDevices.getUserMedia({ audio: { channelCount: 1, echoCancellation: true, noiseSuppression: false, autoGainControl: true } });
  context = new AudioContext({ sampleRate: 16000, latencyHint: "interactive" });
  await context.audioWorklet.addModule("/static/worklet.js");
  node = new AudioWorkletNode(context, "ear", { numberOfOutputs: 1 });
  const ear = node;
  ear.port.onmessage = ({ data }) => {
    if (node !== ear) return; // on its way when the microphone was let go: behind the gap it would end it at once
    if (data.stopped) { stopped("the device stopped the microphone for a while", true); return; }
    if (muted) return; // nothing but silence comes: it becomes a gap, not seconds in which nobody spoke
    lastAt = data.at + 100;
    post(SOUND, data.samples, data.at, voice.speaking ? SPEAKING : 0);
  };
  const silent = new GainNode(context, { gain: 0 });
  context.createMediaStreamSource(stream).connect(node).connect(silent).connect(context.destination);
  const track = stream.getAudioTracks()[0];
  track.onended = () => { stopped("the microphone was taken away", false); };
  muted = track.muted;
  track.onmute = () => { muted = true; state("trouble", "The microphone is silent: another program or a call has it."); };
  track.onunmute = () => { if (muted) { muted = false; stopped("the microphone was muted: another program or a call had it", true); } };
  context.onstatechange = () => { if (context && context.state !== "running") context.resume().catch(() => {}); };
  await context.resume();
}

// Sound was missed: it is said aloud, stands on the page, and becomes a gap in the record.
function stopped(why, again) {
  gap(why);
  const text = again ? "The device stopped listening for a while. It stands in the record as a gap." : "The microphone is gone. Touch to go on.";
  state(again ? "on" : "trouble", text);
  voice.say(text);
  if (!again) { $("start").textContent = "Go on"; $("start").setAttribute("aria-pressed", "false"); quiet(); }
}

function quiet() {
  stream?.getTracks().forEach((track) => track.stop());
  context?.close().catch(() => {});
  stream = context = node = null;
}

async function awake() {
  try { lock = await navigator.wakeLock?.request("screen"); } catch { /* refused while the page is hidden: asked again when it shows */ }
}
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible" && capture && stream) { awake(); context?.resume().catch(() => {}); } });

async function start() {
  if (stream) { ask({ do: paused ? "resume" : "pause" }); return; }
  $("start").disabled = true;
  try {
    await listen();
  } catch (trouble) {
    state("trouble", trouble.name === "NotAllowedError" ? "The browser was told not to give the microphone. Allow it for this page, then start." : "There is no microphone here. Connect one, then start.");
    $("start").disabled = false;
    return;
  }
  if (!capture) {
    const form = new FormData($("before"));
    capture = { id: uuid(), site: form.get("site"), title: form.get("title"), begun: false };
    number = 0;
    await outbox.note(capture);
  }
  follow();
  $("start").disabled = false;
  $("start").textContent = "Pause";
  $("start").setAttribute("aria-pressed", "true");
  $("before").hidden = true;
  $("controls").hidden = false;
  state("on", "Listening");
  awake();
}

function follow() {
  if (!line) line = new Line(outbox, capture, told);
  line.connect();
}

async function told(message) {
  switch (message.kind) {
    case "welcome":
      number = Math.max(number, message.next);
      if (stream) state("on", paused ? "Paused" : "Listening");
      break;
    case "apart": {
      const waiting = await outbox.waiting(capture.id);
      if (!ending || waiting > 1) state("apart", stream ? "No connection. Sound is kept on this device." : "No connection. What was spoken is kept on this device.");
      break;
    }
    case "words":
      $("heard").textContent = message.text;
      $("heard").classList.toggle("final", message.final);
      if (message.final) $("grey").replaceChildren();
      break;
    case "provisional":
      $("grey").innerHTML = message.html;
      break;
    case "panel":
      paused = message.paused;
      $("grey").replaceChildren();
      $("panel").innerHTML = message.html;
      if (stream) { $("start").textContent = paused ? "Carry on" : "Pause"; state("on", paused ? "Paused" : "Listening"); }
      break;
    case "say":
    case "gap":
      $("said").textContent = message.text; // for whoever has no voice here, or has silenced it
      voice.say(message.text);
      break;
    case "question":
      $("said").textContent = ""; // the question stands in the panel, with what it offers
      voice.say(message.text);
      break;
    case "trouble":
      state("trouble", message.text);
      voice.say(message.text);
      break;
    case "refused":
      state("trouble", message.text);
      if (message.status === 401) location.href = "/sign-in?to=/capture";
      break;
    case "finishing":
      ending = true;
      state("on", "Finishing");
      break;
    case "finished":
      await over(message.code);
      break;
    case "unknown":
      capture.begun = false; // the journal lost it before a chunk was on its disk: told of again, with all chunks
      line.socket?.close();
      break;
  }
}

async function over(code) {
  ending = true;
  quiet();
  lock?.release?.().catch(() => {});
  await outbox.forget(capture.id);
  state("idle", code ? `The visit is kept as ${code}.` : "Nothing was said; nothing is kept.");
  if (code) location.href = `/visits/${code}`;
}

function finish() {
  ending = true;
  $("sure").close();
  state("on", "Sending what is left");
  quiet();
  ask({ do: "finish" });
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button || !capture) return;
  if (button.dataset.do) ask({ do: button.dataset.do });
  if (button.dataset.answer) ask({ do: button.dataset.answer, reading: button.dataset.reading });
});
$("start").addEventListener("click", start);
$("finish").addEventListener("click", () => $("sure").showModal());
$("sure-yes").addEventListener("click", finish);
$("sure-no").addEventListener("click", () => $("sure").close());
function showVoice() {
  $("voice").textContent = voice.local ? `Voice: ${voice.on ? "on" : "off"}` : "Voice: none on this device";
  $("voice").setAttribute("aria-pressed", String(voice.on && Boolean(voice.local)));
}
$("voice").addEventListener("click", () => { voice.toggle(); showVoice(); ask({ do: voice.on ? "speak" : "quiet" }); });
window.speechSynthesis?.addEventListener?.("voiceschanged", showVoice);
on(" ", () => start());
on("m", () => ask({ do: "mark" }));
on("b", () => ask({ do: "read_back" }));
window.addEventListener("beforeunload", (event) => { if (stream && !ending) event.preventDefault(); });

outbox = await Outbox.open();
showVoice();
capture = await outbox.unfinished();
if (capture) { // the page was closed or reloaded in the middle: what waits is sent, and the gap is told
  number = await outbox.next(capture.id);
  follow();
  lastAt = null;
  const welcomed = new Promise((done) => { const old = line.told; line.told = (message) => { if (message.kind === "welcome" || message.kind === "apart") done(); return old(message); }; });
  await Promise.race([welcomed, new Promise((done) => setTimeout(done, 1500))]);
  if (capture) {
    gap("the page was closed or the device stopped it");
    $("before").hidden = true;
    $("controls").hidden = false;
    $("start").textContent = "Go on";
    state("trouble", "The capture was stopped by the device. Touch to go on; the time between stands in the record as a gap.");
  }
}
if ("serviceWorker" in navigator) navigator.serviceWorker.register("/service-worker.js").catch(() => {});
document.body.dataset.ready = "yes";
