// Speaking back, with voices that live on this device only: nothing is sent anywhere to be spoken.
// `speaking` is true from before the first sound until the room is quiet again; sound taken meanwhile is marked.

const ROOM = 450; // milliseconds of echo after the last word

export class Voice {
  constructor() {
    this.on = localStorage.getItem("journal-voice") !== "off";
    this.speaking = false;
    this.waiting = [];
    speechSynthesis?.getVoices?.(); // some browsers load them only when asked
  }

  get local() {
    const all = window.speechSynthesis?.getVoices?.() ?? [];
    const here = all.filter((voice) => voice.localService === true);
    return here.find((voice) => voice.lang.startsWith("en")) ?? null;
  }

  toggle() {
    this.on = !this.on;
    localStorage.setItem("journal-voice", this.on ? "on" : "off");
    if (!this.on) speechSynthesis?.cancel();
    return this.on;
  }

  say(text) {
    const voice = this.on ? this.local : null;
    if (!voice) return false;
    const said = new SpeechSynthesisUtterance(text);
    said.voice = voice;
    said.lang = voice.lang;
    clearTimeout(this.timer);
    this.speaking = true;
    const over = () => { clearTimeout(this.timer); this.timer = setTimeout(() => { this.speaking = speechSynthesis.speaking || speechSynthesis.pending; }, ROOM); };
    said.onend = over;
    said.onerror = over;
    speechSynthesis.speak(said);
    this.timer = setTimeout(over, 2000 + 120 * text.length); // an engine that never says it is done
    return true;
  }
}
