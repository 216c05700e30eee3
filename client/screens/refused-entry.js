/*
 * One refused entry, whole, and the decision about it: taken in by a signed admission, or set aside with a reason.
 *
 * Usage: <refused-entry .entry=${entry} .decides=${true} .waits=${false}
 *     @signed=${() => {}} @set_aside=${({ detail }) => detail}></refused-entry>
 *   entry: as in GET /api/quarantine, with {payload, view} of refused-page; "set_aside" has the reason as its detail
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { session } from "../device/session.js";
import { attempt } from "../parts/attempt.js";
import { author_words, entry_lines } from "../parts/entry_lines.js";
import { reasoned } from "../parts/reasoned.js";
import { kind_words, time_words } from "../parts/status_words.js";
import { Problem } from "../rules/problems.js";
import { find_item } from "./open_card.js";
import { sign_and_record, statement_for } from "./record.js";
import "../parts/code-field.js";

class RefusedEntry extends LitElement {
  static properties = {
    entry: { attribute: false },
    decides: { attribute: false },
    waits: { attribute: false },
    taking: { state: true },
    reason: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
    this.reason = "";
  }

  createRenderRoot() {
    return this;
  }

  async sign(secret) {
    if (!this.reason.trim()) {
      this.problem = new Problem("reason_needed").sentence;
      return;
    }
    const { id, view } = this.entry;
    const body = { entry: id, reason: this.reason.trim(), statement: statement_for(view, "admission") };
    const admission = { kind: "admission", item: null, supersedes: [], body };
    const done = await attempt(this, () => sign_and_record(view, admission, secret));
    if (done) this.dispatchEvent(new CustomEvent("signed", { bubbles: true }));
  }

  async take() {
    this.taking = true;
    await this.updateComplete;
    this.querySelector("#take-reason").focus();
  }

  place() {
    const { payload, view } = this.entry;
    const card = view ? `${view.card.number}, ${view.card.aircraft.registration}` : `Card ${payload.card.slice(0, 8)}, not on this phone`;
    const found = payload.item && view?.template && find_item(view, payload.item);
    return found ? html`${card}: <a href="#/card/${payload.card}/item/${payload.item}">${found.state.number} ${found.item.title}</a>` : card;
  }

  said() {
    const { payload, view } = this.entry;
    if (!payload) return html`<p>It cannot be read as an entry.</p>`;
    const found = payload.item && view?.template ? find_item(view, payload.item) : null;
    return html`
      <p class="place">${this.place()}</p>
      ${found ? entry_lines(found.item, payload) : html`
        <article class="entry ${payload.kind}"><p class="verdict-words">${kind_words(payload.kind)}</p>
          <p class="who">${author_words(payload.author)}<br>${time_words(payload.claimed_at)}</p>
          ${payload.body.statement ? html`<p class="told">${payload.body.statement}</p>` : nothing}</article>`}`;
  }

  outcome() {
    const { resolution, kept } = this.entry;
    if (!resolution) return kept ? html`<p class="outcome">Taken in since.</p>` : nothing;
    const verdict = resolution.verdict === "admitted" ? "Taken in" : "Set aside";
    return html`<p class="outcome"><strong>${verdict} by ${resolution.name}</strong>, ${time_words(resolution.at)}: ${resolution.reason}</p>`;
  }

  /* Why taking in is not offered, or "". */
  hindrance() {
    const { admissible, payload, problem, view } = this.entry;
    if (problem.code === "key_unvouched") return "It is taken in by itself once a colleague has vouched for the key.";
    if (!admissible || !payload) return "This refusal cannot be lifted: record it anew at the aircraft, then set this one aside.";
    if (payload.author.person === session.person.person) return "You signed it yourself: another inspector decides about it.";
    return view?.code ? "" : "Its work card is not on this phone yet. Sync, then open this list again.";
  }

  admission() {
    const hindrance = this.hindrance();
    if (hindrance) return html`<p class="quiet">${hindrance}</p>`;
    if (!this.taking) return html`<div class="ways"><button type="button" @click=${this.take}>Take it in …</button></div>`;
    return html`
      <div class="found kept"><h2>Take it in</h2>
        <label class="line" for="take-reason">Why it may stand</label>
        <textarea id="take-reason" rows="2" maxlength="400" .value=${this.reason}
          @input=${(event) => { this.reason = event.target.value; }}></textarea>
        <blockquote class="statement told">${statement_for(this.entry.view, "admission")}</blockquote>
        <code-field .person=${session.person} .words=${"Sign: take it in"} .busy=${this.busy} .refusal=${this.problem}
          @given=${({ detail }) => this.sign(detail)}></code-field>
        <div class="ways"><button type="button" @click=${() => { this.taking = false; }}>Not yet</button></div></div>`;
  }

  decision() {
    if (this.entry.resolution || this.entry.kept || !this.decides) return nothing;
    return html`
      ${this.admission()}
      ${this.taking ? nothing : reasoned({
        id: `aside-${this.entry.number}`, summary: "Set it aside", busy: this.waits, button: "Set it aside",
        words: "It is kept, but never counts. The person who signed it sees your reason.",
        decide: (reason) => this.dispatchEvent(new CustomEvent("set_aside", { detail: reason })),
      })}`;
  }

  render() {
    const { problem, sent_by, received_at } = this.entry;
    return html`
      <section class="refused">
        <p class="problem">${problem.sentence}</p>
        ${this.said()}
        <p class="who">Sent by ${sent_by}, arrived ${time_words(received_at)}</p>
        ${this.outcome()} ${this.decision()}
      </section>`;
  }
}

customElements.define("refused-entry", RefusedEntry);
