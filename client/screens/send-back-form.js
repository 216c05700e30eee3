/*
 * An inspector sends an item back: why, with a photo if one helps. The item must then be inspected again.
 *
 * Usage:
 *   <send-back-form .draft=${draft} .busy=${false} .refusal=${"not saved: ..."} .person=${session.person}
 *     .asking=${null | "Sign: ..."} .before_camera=${async () => {}} @draft=${(event) => event.detail} @record=${(event) => event.detail}
 *     @given=${...} @cancelled=${...} @leave=${() => {}}></send-back-form>        detail of record = the body of a rejection
 */
import { html, live } from "../vendor/lit.js";
import { problem_note } from "../parts/page_head.js";
import { Problem } from "../rules/problems.js";
import { DraftForm } from "./draft_form.js";
import { rejection_body } from "./result_body.js";
import "../parts/code-field.js";
import "../parts/photo-strip.js";

class SendBackForm extends DraftForm {
  finish() {
    const body = rejection_body(this.draft);
    this.record(body, body.reason ? "" : new Problem("reason_needed").sentence);
  }

  ending() {
    return html`
      ${problem_note([this.problem, this.refusal])}
      <div class="ways">
        <button type="button" class="primary" ?disabled=${this.busy} @click=${this.finish}>Send it back</button>
        <button type="button" @click=${() => this.dispatchEvent(new CustomEvent("leave"))}>Let it stand</button>
      </div>`;
  }

  render() {
    const { draft } = this;
    return html`
      <section class="found">
        <h2>Send it back</h2>
        <label class="line" for="reason">Why? What must be looked at or done again?</label>
        <textarea id="reason" rows="3" maxlength="4000" .value=${live(draft.reason ?? "")}
          @input=${(event) => this.change({ reason: event.target.value })}></textarea>
        <photo-strip .photos=${draft.photos} .before_camera=${this.before_camera}
          @photos=${(event) => this.change({ photos: event.detail })}></photo-strip>
        <p class="quiet">The result and your reason both stay in the history. The item must be inspected again.</p>
        ${this.asking ? html`<code-field cancel .person=${this.person} .words=${this.asking} .busy=${this.busy}
          .refusal=${this.refusal}></code-field>` : this.ending()}
      </section>`;
  }
}

customElements.define("send-back-form", SendBackForm);
