/*
 * Signing in with a password. The first time on a phone needs the shop's server; who records or inspects then sets up
 * signing, and needs no password here again.
 *
 * Usage: <sign-in></sign-in>     <sign-in hand_over></sign-in>     the second within the page "Hand over"
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { enrolled } from "../device/keys.js";
import { session } from "../device/session.js";
import { attempt } from "../parts/attempt.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { may } from "../rules/sign_off.js";

class SignIn extends LitElement {
  static properties = { hand_over: { type: Boolean }, known: { state: true }, busy: { state: true }, problem: { state: true } };

  createRenderRoot() {
    return this;
  }

  async connectedCallback() {
    super.connectedCallback();
    this.known = await enrolled();
  }

  async submit(event) {
    event.preventDefault();
    const { login, password } = event.target.elements;
    const enter = this.hand_over ? "hand_over" : "sign_in";
    if (!await attempt(this, () => session[enter](login.value.trim(), password.value))) return;
    say(`Signed in: ${session.person.name}`);
    const { person, roles } = session.person;
    const signs = may(roles, "result") && !(await enrolled()).some((one) => one.person === person);
    location.hash = signs ? "#/enrol" : "#/";
  }

  head() {
    return html`
      ${page_head({ back: null, above: "Witnessmark", title: "Sign in" })}
      ${this.known?.length ? html`<a class="button primary" href="#/hand-over">Take this phone with a signing code</a>` : nothing}
      <p>The first sign-in on a phone needs the shop’s server. After that this phone works without a network.</p>`;
  }

  render() {
    return html`
      ${this.hand_over ? html`<p>The person who takes this phone signs in with a password:</p>` : this.head()}
      ${navigator.onLine ? nothing : html`<p class="problem">There is no network now. Connect to the shop’s network, then sign in.</p>`}
      <form @submit=${this.submit}>
        <label class="line" for="login">Name to sign in with</label>
        <input id="login" name="login" autocomplete="username" autocapitalize="none" spellcheck="false" required>
        <label class="line" for="password">Password</label>
        <input id="password" name="password" type="password" autocomplete="current-password" required>
        ${problem_note(this.problem)}
        <button class="primary" ?disabled=${this.busy}>${this.busy ? "Asking the server …" : "Sign in"}</button>
      </form>`;
  }
}

customElements.define("sign-in", SignIn);
