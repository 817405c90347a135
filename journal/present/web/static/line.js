// The connection of a capture to the journal: sends what waits, in order, and connects again until everything is there.

const MOST = 40; // chunks read from the device at once
const AHEAD = 60; // chunks sent before the first of them is acknowledged

export class Line {
  constructor(outbox, capture, told) {
    this.outbox = outbox;
    this.capture = capture; // {id, begun}
    this.told = told;
    this.socket = null;
    this.sent = 0;
    this.acknowledged = 0;
    this.ready = false;
    this.pumping = false;
    this.wait = 500;
    this.closed = false;
    window.addEventListener("online", () => this.connect());
  }

  async connect() {
    if (this.closed || this.connecting || this.socket?.readyState <= 1) return;
    this.connecting = true;
    try {
      await this.begin();
    } catch (trouble) {
      this.connecting = false;
      if (trouble.final) { this.told({ kind: "refused", text: trouble.message, status: trouble.status }); if (trouble.status !== 401) return; }
      this.later();
      return;
    }
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    const socket = new WebSocket(`${scheme}://${location.host}/captures/${this.capture.id}/sound`);
    socket.binaryType = "arraybuffer";
    this.socket = socket;
    this.connecting = false;
    socket.onmessage = (event) => this.heard(JSON.parse(event.data));
    socket.onclose = () => { this.ready = false; if (this.socket === socket) { this.socket = null; this.told({ kind: "apart" }); this.later(); } };
  }

  // Tell the journal of the capture; one that it knows already goes on.
  async begin() {
    const me = await fetch("/who", { headers: { accept: "application/json" } });
    if (me.status === 401) throw Object.assign(new Error("Log in to send what was spoken."), { final: true, status: 401 });
    const { form } = await me.json(); // asking also renews the cookie of somebody who need not log in
    if (this.capture.begun) return;
    const body = new URLSearchParams({ id: this.capture.id, site: this.capture.site ?? "", title: this.capture.title ?? "" });
    const answer = await fetch("/captures", { method: "POST", body, headers: { "x-form-token": form, accept: "application/json" } });
    if (answer.status >= 500) throw new Error("busy");
    if (!answer.ok) throw Object.assign(new Error((await answer.json()).problem), { final: answer.status !== 409, status: answer.status });
    this.capture.begun = true;
    await this.outbox.note(this.capture);
  }

  later() {
    if (this.closed) return;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.connect(), this.wait);
    this.wait = Math.min(this.wait * 1.6, 5000);
  }

  async heard(message) {
    if (message.kind === "welcome") {
      this.wait = 500;
      this.sent = this.acknowledged = message.next;
      await this.outbox.kept(this.capture.id, message.next);
      this.ready = true;
      this.pump();
    } else if (message.kind === "kept") {
      this.acknowledged = Math.max(this.acknowledged, message.next);
      if (message.next < this.sent - AHEAD * 2) this.sent = message.next;
      await this.outbox.kept(this.capture.id, message.next);
      this.pump();
    } else if (message.kind === "trouble") {
      this.sent = this.acknowledged; // nothing of it was kept: all of it is sent again
    } else if (message.kind === "finished") {
      this.closed = true;
    }
    this.told(message);
  }

  // Send what waits; called whenever something was added or acknowledged.
  async pump() {
    if (this.pumping || !this.ready) return;
    this.pumping = true;
    try {
      while (this.ready && this.sent - this.acknowledged < AHEAD && this.socket.bufferedAmount < 1 << 20) {
        const found = await this.outbox.from(this.capture.id, this.sent, MOST);
        if (!found.length) break;
        for (const chunk of found) {
          if (chunk.number !== this.sent || this.socket?.readyState !== 1) return;
          this.socket.send(chunk.data);
          this.sent = chunk.number + 1;
        }
      }
    } finally {
      this.pumping = false;
    }
  }

  close() { this.closed = true; clearTimeout(this.timer); this.socket?.close(); }
}
