/*
 * The server's log does not continue what this phone has seen: said in red on every page, until somebody signed in has
 * asked about it and says so on the phone page.
 *
 * Usage: <log-alarm></log-alarm>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { log_alarm, store_events } from "../device/store.js";
import { syncer } from "../device/sync.js";

class LogAlarm extends LitElement {
  static properties = { alarm: { state: true } };

  constructor() {
    super();
    this.look = () => this.read();
  }

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    store_events.addEventListener("changed", this.look);
    syncer.addEventListener("status", this.look);
    this.read();
  }

  disconnectedCallback() {
    super.disconnectedCallback();
    store_events.removeEventListener("changed", this.look);
    syncer.removeEventListener("status", this.look);
  }

  async read() {
    this.alarm = await log_alarm();
  }

  render() {
    return html`<div role="alert">${this.alarm ? html`
      <a href="#/phone"><strong>${this.alarm.sentence}</strong></a>` : nothing}</div>`;
  }
}

customElements.define("log-alarm", LogAlarm);
