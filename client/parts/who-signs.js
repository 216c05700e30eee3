/*
 * One line beside a verdict: who signs what is recorded here, and whether the code is asked for first. With `fresh` it
 * is asked for each time.
 *
 * Usage: <who-signs .person=${session.person} ?fresh=${true}></who-signs>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { enrolled, keys_events, unlocked } from "../device/keys.js";
import { Watch } from "./watch.js";

const STANDS = {
  open: "signs this",
  locked: "signs this, after the code",
};

class WhoSigns extends LitElement {
  static properties = { person: { attribute: false }, fresh: { type: Boolean }, stand: { state: true } };

  constructor() {
    super();
    new Watch(this, [[keys_events, "changed"]]);
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    const { person } = this.person;
    const known = (await enrolled()).some((one) => one.person === person);
    this.stand = !known ? "none" : unlocked(person) && !this.fresh ? "open" : "locked";
  }

  render() {
    if (!this.stand) return nothing;
    if (this.stand === "none") {
      return html`<p class="quiet">${this.person.name} cannot sign on this phone yet.
        <a href="#/enrol/${location.hash.replace(/^#\/?/, "")}">Set it up</a></p>`;
    }
    return html`<p class="quiet ${this.stand}"><strong>${this.person.name}</strong> ${STANDS[this.stand]}</p>`;
  }
}

customElements.define("who-signs", WhoSigns);
