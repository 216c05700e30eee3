/*
 * Reads anew whenever something that a page shows has changed.
 *
 *   new Watch(this, [[keys_events, "changed"], [syncer, "status"]]);      in the constructor of a LitElement
 *
 * Calls `host.read()` when the host appears and after each of these events; with `read` that instead.
 */
export class Watch {
  constructor(host, watched, read = () => host.read()) {
    Object.assign(this, { watched, work: read, heard: () => this.read() });
    host.addController(this);
  }

  hostConnected() {
    for (const [target, name] of this.watched) target.addEventListener(name, this.heard);
    this.read();
  }

  hostDisconnected() {
    for (const [target, name] of this.watched) target.removeEventListener(name, this.heard);
  }

  /* One at a time: an older reading must not arrive last. */
  async read() {
    this.again = true;
    if (this.reading) return;
    this.reading = true;
    try {
      while (this.again) {
        this.again = false;
        await this.work();
      }
    } finally {
      this.reading = false;
    }
  }
}
