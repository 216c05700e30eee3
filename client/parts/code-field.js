/*
 * The person's own signing code, or the phone's own unlock, asked for at the place where something is signed.
 * It only says what was given; the page signs. What is typed leaves the page at once.
 *
 * Usage:
 *   <code-field .person=${session.person} .words=${"Countersign"} .tone=${"release"} .busy=${false} .refusal=${"..."}
 *     ?cancel=${true} @given=${(event) => event.detail} @cancelled=${() => {}}></code-field>
 *   detail = {code} | {passkey: true}, as device/keys.js takes it. With `cancel` it came in place of what was tapped, and
 *   takes the focus.
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { enrolled, keys_events } from "../device/keys.js";
import { Problem } from "../rules/problems.js";
import { problem_note } from "./page_head.js";
import { Watch } from "./watch.js";

class CodeField extends LitElement {
  static properties = {
    person: { attribute: false },
    words: { attribute: false },
    tone: { attribute: false },
    busy: { attribute: false },
    refusal: { attribute: false },
    cancel: { type: Boolean },
    guard: { state: true },
    letters: { state: true },
  };

  constructor() {
    super();
    this.tone = "";
    this.letters = localStorage.code_letters === "yes";
    new Watch(this, [[keys_events, "changed"]]);
  }

  createRenderRoot() {
    return this;
  }

  willUpdate(changed) {
    if (changed.has("person") && changed.get("person")) this.read();
  }

  async read() {
    const { person } = this.person;
    this.guard = (await enrolled()).find((one) => one.person === person)?.guard ?? null;
  }

  updated(changed) {
    const came = changed.has("guard") && changed.get("guard") === undefined && this.cancel;
    const again = changed.has("refusal") && this.refusal;
    if (came || again) this.querySelector("input, button.sign, a")?.focus();
  }

  tell(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { detail, bubbles: true }));
  }

  give() {
    const input = this.querySelector("input");
    const code = input.value;
    if (!code) {
      input.focus();
      return;
    }
    input.value = "";
    this.tell("given", { code });
  }

  /* Which keypad opens is remembered for the next time. */
  turn_keypad() {
    this.letters = !this.letters;
    localStorage.code_letters = this.letters ? "yes" : "no";
    this.querySelector("input").focus();
  }

  typed() {
    return html`
      <label class="line" for="signing-code">Signing code of ${this.person.name}</label>
      <span class="code"><input id="signing-code" type="password" autocomplete="one-time-code" autocapitalize="none"
        spellcheck="false" maxlength="64" enterkeyhint="done" inputmode=${this.letters ? "text" : "numeric"} ?disabled=${this.busy}
        @keydown=${(event) => { if (event.key === "Enter") this.give(); }}>
        <button type="button" class="keypad" aria-label=${this.letters ? "Keypad with digits" : "Keypad with letters"}
          @click=${this.turn_keypad}>${this.letters ? "123" : "abc"}</button></span>`;
  }

  render() {
    const { guard, busy } = this;
    if (guard === undefined) return nothing;
    if (guard === null) return this.none();
    const give = guard === "code" ? () => this.give() : () => this.tell("given", { passkey: true });
    return html`
      ${guard === "code" ? this.typed() : html`<p class="quiet">${this.person.name} signs with this phone’s own unlock.</p>`}
      ${problem_note(this.refusal)}
      <span class="code">${this.cancelling()}
        <button type="button" class="sign ${this.tone}" ?disabled=${busy} @click=${give}>
          ${busy ? "Signing …" : this.words}</button></span>`;
  }

  none() {
    return html`
      ${problem_note([this.refusal ?? new Problem("key_none", { name: this.person.name }).sentence])}
      <a class="button primary" href="#/enrol/${location.hash.replace(/^#\/?/, "")}">Set up signing on this phone</a>
      ${this.cancelling()}`;
  }

  cancelling() {
    return this.cancel ? html`<button type="button" class="not-yet" ?disabled=${this.busy}
      @click=${() => this.tell("cancelled")}>Not yet</button>` : nothing;
  }
}

customElements.define("code-field", CodeField);
