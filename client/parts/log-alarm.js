/*
 * The server's log does not continue what this phone has seen: said in red on every page, until somebody signed in has
 * asked about it and says so on the phone page. And, over the work cards: a key of the person signed in on another phone,
 * until they say there whose it is.
 *
 * Usage: <log-alarm></log-alarm>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { session } from "../device/session.js";
import { keys_elsewhere, log_alarm, store_events } from "../device/store.js";
import { syncer } from "../device/sync.js";
import { time_words } from "./status_words.js";
import { Watch } from "./watch.js";

const WORK_CARDS = /^#?\/?$/;

/* Two rows at 360 px: the page below must stay usable. The whole sentence stands behind it, on the page of the phone. */
const SHORT = {
  log_rewritten: "ALARM: the server’s records were changed. Do not release any aircraft.",
  log_key_changed: "ALARM: the server signs with another key. Do not release any aircraft.",
  log_set_back: "The server knows less than this phone has seen. Ask before you go on.",
};

class LogAlarm extends LitElement {
  static properties = { alarm: { state: true }, elsewhere: { state: true } };

  constructor() {
    super();
    this.elsewhere = [];
    new Watch(this, [[store_events, "changed"], [syncer, "status"], [session, "changed"], [globalThis, "hashchange"]]);
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    this.alarm = await log_alarm();
    const { person } = session;
    const found = person && WORK_CARDS.test(location.hash) ? await keys_elsewhere(person.person) : [];
    // The page or the person may have changed meanwhile.
    this.elsewhere = person === session.person && WORK_CARDS.test(location.hash) ? found : [];
  }

  /* Always two rows or more: as tall as a gloved finger needs. */
  other_phone({ label, enrolled_at }) {
    return html`<a href="#/phone"><strong>Another phone signs as you: ${label || "a phone"}, since ${time_words(enrolled_at)}.</strong>
      <br>Say whether it is yours</a>`;
  }

  render() {
    return html`<div role="alert">${this.alarm ? html`
      <a href="#/phone"><strong>${SHORT[this.alarm.code]}</strong></a>` : nothing}
      ${this.elsewhere.slice(0, 1).map((key) => this.other_phone(key))}</div>`;
  }
}

customElements.define("log-alarm", LogAlarm);
