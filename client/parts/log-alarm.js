/*
 * The server's log does not continue what this phone has seen: said in red on every page, until somebody signed in has
 * asked about it and says so on the phone page.
 *
 * Usage: <log-alarm></log-alarm>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { log_alarm, store_events } from "../device/store.js";
import { syncer } from "../device/sync.js";

/* Two rows at 360 px: the page below must stay usable. The whole sentence stands behind it, on the page of the phone. */
const SHORT = {
  log_rewritten: "ALARM: the server’s records were changed. Do not release any aircraft.",
  log_key_changed: "ALARM: the server signs with another key. Do not release any aircraft.",
  log_set_back: "The server knows less than this phone has seen. Ask before you go on.",
};

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
      <a href="#/phone"><strong>${SHORT[this.alarm.code]}</strong></a>` : nothing}</div>`;
  }
}

customElements.define("log-alarm", LogAlarm);
