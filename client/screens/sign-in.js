/*
 * Signing in, or handing this phone to another person. The first time needs the shop's server.
 *
 * Usage: <sign-in></sign-in>     <sign-in hand_over></sign-in>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { session } from "../device/session.js";
import { attempt } from "../parts/attempt.js";
import { page_head, problem_note, say } from "../parts/page_head.js";

class SignIn extends LitElement {
  static properties = { hand_over: { type: Boolean }, busy: { state: true }, problem: { state: true } };

  createRenderRoot() {
    return this;
  }

  async submit(event) {
    event.preventDefault();
    const { login, password } = event.target.elements;
    const enter = this.hand_over ? "hand_over" : "sign_in";
    if (await attempt(this, () => session[enter](login.value.trim(), password.value))) {
      say(`Signed in: ${session.person.name}`);
      location.hash = "#/";
    }
  }

  render() {
    const now = session.person;
    return html`
      ${page_head({ back: this.hand_over ? "#/" : null, above: "Witnessmark", title: this.hand_over ? "Hand over" : "Sign in" })}
      ${this.hand_over && now ? html`<p><strong>${now.name}</strong> is signed in and stays so until the
        other person’s password is accepted. Unsent work stays on this phone.</p>` : nothing}
      <p>${this.hand_over ? "The person who takes this phone signs in:"
        : "The first sign-in on a phone needs the shop’s server. After that this phone works without a network."}</p>
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
