/*
 * Setting up signing on this phone, once for each person: a key that only this phone holds, opened by the phone's own
 * unlock or by a code. Needs the server, which is told the public half.
 *
 * Usage: <enrol-page .back=${"card/..." | ""}></enrol-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { can_keep_keys, check_code, enrol, enrolled, passkey_possible } from "../device/keys.js";
import { session } from "../device/session.js";
import { attempt } from "../parts/attempt.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { Problem } from "../rules/problems.js";
import { may } from "../rules/sign_off.js";

/** A first name for this phone, from what the browser says it runs on. */
export function phone_words(agent) {
  const kind = ["iPhone", "iPad", "Android", "Windows", "Macintosh", "Linux"].find((name) => agent.includes(name));
  const words = { Android: "Android phone", Windows: "Windows computer", Macintosh: "Mac", Linux: "Linux computer" };
  return words[kind] ?? kind ?? "Phone";
}

class EnrolPage extends LitElement {
  static properties = {
    back: { attribute: false },
    facts: { state: true },
    weak: { state: true },
    with_code: { state: true },
    busy: { state: true },
    problem: { state: true },
    waits: { state: true },
  };

  createRenderRoot() {
    return this;
  }

  async connectedCallback() {
    super.connectedCallback();
    const [known, unfit, passkey] = await Promise.all([enrolled(), can_keep_keys(), passkey_possible()]);
    this.facts = { before: known.find(({ person }) => person === session.person.person), unfit, passkey };
  }

  label() {
    return this.querySelector("#phone-label").value.trim() || phone_words(navigator.userAgent);
  }

  async set_up(guard) {
    let key;
    if (!await attempt(this, async () => { key = await enrol(guard, this.label()); })) return;
    if (key.vouch_needed) {
      this.waits = key.kid;
      return;
    }
    say(`${session.person.name} signs on this phone now`);
    location.hash = `#/${this.back}`;
  }

  async submit(event) {
    event.preventDefault();
    const [code, again] = ["code", "again"].map((name) => event.target.elements[name].value);
    const wrong = check_code(code) ?? (code === again ? null : new Problem("codes_differ"));
    this.problem = wrong?.sentence ?? "";
    if (!wrong) await this.set_up({ guard: "code", code });
  }

  judge(event) {
    const code = event.target.value;
    this.weak = code ? check_code(code)?.sentence ?? "" : "";
  }

  own_unlock() {
    if (!this.facts.passkey) return nothing;
    return html`
      <section><h2>With this phone’s own unlock</h2>
        <p>Fingerprint, face or the phone’s PIN: whatever opens this phone for you. If others can open it too, take a code.</p>
        <button type="button" class="primary" ?disabled=${this.busy} @click=${() => this.set_up({ guard: "passkey" })}>
          Sign with the phone’s own unlock</button></section>`;
  }

  code() {
    const { passkey } = this.facts;
    if (passkey && !this.with_code) {
      return html`<button type="button" class="apart" @click=${() => { this.with_code = true; }}>
        Take a signing code instead</button>`;
    }
    return html`
      <form @submit=${this.submit}><h2>With a signing code</h2>
        <p class="quiet" id="code-rule">At least 8 digits, or at least 6 letters and digits mixed.
          Take one that nobody in the shop can guess.</p>
        <label class="line" for="code">Your signing code</label>
        <input id="code" name="code" type="password" autocomplete="new-password" autocapitalize="none" spellcheck="false"
          maxlength="64" aria-describedby="code-rule" required @change=${this.judge}>
        ${this.weak && !this.problem ? html`<p class="problem" role="status">${this.weak}</p>` : nothing}
        <label class="line" for="again">The same code once more</label>
        <input id="again" name="again" type="password" autocomplete="new-password" autocapitalize="none" spellcheck="false"
          maxlength="64" required>
        ${problem_note(this.problem)}
        <button class="primary" ?disabled=${this.busy}>${this.busy ? "Making the key …" : "Set up signing"}</button>
      </form>`;
  }

  vouching() {
    return html`
      <div class="caution" role="status"><strong>A colleague has to vouch for you now.</strong>
        <p>You were given a new password, so somebody else knew it. What you sign waits until a colleague says that this key
          is yours.</p></div>
      <p>Go to a mechanic or inspector with this phone. On their own phone they open <strong>Refused entries</strong>, compare the
        key, and sign.</p>
      <p class="statement">Your new key: <strong>${this.waits.slice(0, 8)}</strong></p>
      <p class="quiet">It stands on the page “What this phone keeps” too. You can work meanwhile; nothing is lost.</p>
      <a class="button primary" href="#/${this.back}">Go on</a>`;
  }

  ways() {
    const { before, unfit } = this.facts;
    if (unfit) return problem_note(unfit.sentence);
    return html`
      ${before ? html`<p class="caution"><strong>You sign on this phone already.</strong>
        Setting it up anew ends the key of before.</p>` : nothing}
      <ul><li>What you record is signed with a key that never leaves this phone and that only you can open.</li>
        <li>You open it when you begin, after 5 minutes without a touch, and each time you countersign, settle or release.</li>
        <li>Nobody can reset your code: ten wrong ones erase the key, nothing recorded is lost, and you set it up anew.</li></ul>
      <label class="line" for="phone-label">This phone’s name in the shop’s list</label>
      <input id="phone-label" maxlength="60" autocomplete="off" .defaultValue=${phone_words(navigator.userAgent)}>
      ${this.own_unlock()} ${this.code()}
      ${this.facts.passkey && !this.with_code ? problem_note(this.problem) : nothing}`;
  }

  render() {
    const { facts } = this;
    const { roles, name } = session.person;
    return html`
      ${page_head({ back: `#/${this.back}`, back_words: this.back ? "Back" : "Later: to the work cards",
        above: name, title: this.waits ? "One more thing" : "Set up signing on this phone" })}
      ${!may(roles, "result") ? html`<p>Only mechanics and inspectors sign. You need no key.</p>`
        : this.waits ? this.vouching() : facts ? this.ways() : html`<p class="quiet">Trying whether this browser can keep a key …</p>`}`;
  }
}

customElements.define("enrol-page", EnrolPage);
