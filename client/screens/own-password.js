/*
 * Changing one's own password. Needs the shop's server.
 *
 * Usage: <own-password></own-password>
 */
import { LitElement, html } from "../vendor/lit.js";
import { change_password } from "../device/desk_api.js";
import { attempt } from "../parts/attempt.js";
import { problem_note, say } from "../parts/page_head.js";

class OwnPassword extends LitElement {
  static properties = { busy: { state: true }, problem: { state: true } };

  createRenderRoot() {
    return this;
  }

  async submit(event) {
    event.preventDefault();
    const form = event.target;
    const { old, fresh } = form.elements;
    if (!await attempt(this, () => change_password(old.value, fresh.value))) return;
    form.reset();
    form.closest("details").open = false;
    say("The password is changed");
  }

  render() {
    return html`
      <details class="decision"><summary>Change my password</summary>
        <form @submit=${this.submit}>
          <label class="line" for="old-password">Password until now</label>
          <input id="old-password" name="old" type="password" autocomplete="current-password" required>
          <label class="line" for="fresh-password">New password</label>
          <input id="fresh-password" name="fresh" type="password" autocomplete="new-password" required>
          ${problem_note(this.problem)}
          <button class="decide" ?disabled=${this.busy}>Change it</button>
        </form></details>`;
  }
}

customElements.define("own-password", OwnPassword);
