// Numbered chunks of a capture, kept on this device until the journal says they are on its disk.

const NAME = "journal-outbox";

function open() {
  return new Promise((done, failed) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("chunks", { keyPath: ["capture", "number"] });
      request.result.createObjectStore("captures", { keyPath: "id" });
    };
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

function settled(request) {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

export class Outbox {
  static async open() {
    const box = new Outbox();
    box.base = await open();
    navigator.storage?.persist?.().catch(() => {});
    return box;
  }

  store(name, mode = "readwrite") {
    return this.base.transaction(name, mode, { durability: "strict" }).objectStore(name);
  }

  // The capture that was not finished, if there is one.
  async unfinished() { return (await settled(this.store("captures", "readonly").getAll()))[0] ?? null; }
  note(capture) { return settled(this.store("captures").put(capture)); }
  async forget(id) {
    await settled(this.store("captures").delete(id));
    await settled(this.store("chunks").delete(IDBKeyRange.bound([id, 0], [id, Infinity])));
  }

  put(capture, number, data) { return settled(this.store("chunks").put({ capture, number, data })); }
  // The last one stays: without a connection it alone tells which number comes next.
  async kept(capture, next) {
    if (next > 1) await settled(this.store("chunks").delete(IDBKeyRange.bound([capture, 0], [capture, next - 1], false, true)));
  }
  from(capture, number, most) {
    return settled(this.store("chunks", "readonly").getAll(IDBKeyRange.bound([capture, number], [capture, Infinity]), most));
  }
  async next(capture) {
    const cursor = await settled(this.store("chunks", "readonly").openKeyCursor(IDBKeyRange.bound([capture, 0], [capture, Infinity]), "prev"));
    return cursor ? cursor.key[1] + 1 : 0;
  }
  waiting(capture) { return settled(this.store("chunks", "readonly").count(IDBKeyRange.bound([capture, 0], [capture, Infinity]))); }
}
