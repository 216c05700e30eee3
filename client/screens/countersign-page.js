/*
 * Countersigning, one item after another: exactly what is signed, the sentence, the code each time.
 *
 * Usage: <countersign-page .card_id=${card}></countersign-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { session } from "../device/session.js";
import { read_draft, save_draft } from "../device/store.js";
import { attempt } from "../parts/attempt.js";
import { contested_note } from "../parts/contested_note.js";
import { entry_lines } from "../parts/entry_lines.js";
import { page_head, say } from "../parts/page_head.js";
import { awaits_or_has_second, count_words } from "../parts/status_words.js";
import { StoreWatch, card_line, find_item, open_card } from "./open_card.js";
import { sign_and_record, statement_for, why_not } from "./record.js";
import { empty_draft } from "./result_body.js";
import "../parts/code-field.js";

/** The items of an open card that wait for a countersignature: [{item, refusal: Problem | null}], in walk order. */
export function waiting_items(view) {
  return view.state.items
    .filter((item) => item.countersignature === "needed" && awaits_or_has_second(item))
    .map(({ item }) => ({ item, refusal: why_not(view, "countersignature", item) }));
}

class CountersignPage extends LitElement {
  static properties = {
    card_id: { attribute: false },
    view: { state: true },
    passed_over: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
    this.passed_over = [];
    new StoreWatch(this);
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    this.view = await open_card(this.card_id);
  }

  async sign({ item, state }, secret) {
    if (this.busy) return;
    const body = { covers: state.heads, statement: statement_for(this.view, "countersignature") };
    const signed = await attempt(this, () => sign_and_record(this.view, {
      kind: "countersignature", item: item.item, supersedes: [], body,
    }, secret));
    if (!signed) return;
    say(`Saved on this phone: ${state.number} countersigned`);
    await this.read();
    this.to_top();
  }

  to_top() {
    scrollTo(0, 0);
    document.getElementById("screen").focus({ preventScroll: true });
  }

  pass_over(item) {
    this.passed_over = [...this.passed_over, item];
    this.problem = "";
    this.to_top();
  }

  /* The item's own page asks why, because a photo may be taken there. */
  async send_back(item) {
    const draft = { ...empty_draft(), ...await read_draft(this.card_id, item), mode: "rejection" };
    await attempt(this, async () => {
      await save_draft(this.card_id, item, draft);
      location.hash = `#/card/${this.card_id}/item/${item}`;
    });
  }

  to_sign(found) {
    const { item, state } = found;
    return html`
      <p class="second-person"><strong>Why a second person:</strong> ${item.countersign.reason}</p>
      ${state.countersigners_needed > 1 ? html`<p class="second-person"><strong>It disturbs controls:</strong>
        ${state.countersigners_needed} different persons countersign it;
        ${state.countersigned_by.length ? `${this.signers(state)} has signed.` : "nobody has yet."}</p>` : nothing}
      <section><h2>To look at</h2><ul>${item.look_for.map((sign) => html`<li>${sign}</li>`)}</ul></section>
      <section><h2>What you sign</h2>
        <div class="entries">${state.heads.map((id) => entry_lines(item, this.view.entries.get(id)))}</div></section>
      <blockquote class="statement">${statement_for(this.view, "countersignature")}</blockquote>
      <code-field .person=${session.person} .words=${"Countersign"} .busy=${this.busy} .refusal=${this.problem}
        @given=${(event) => this.sign(found, event.detail)}></code-field>
      <div class="ways apart">
        <button type="button" @click=${() => this.send_back(item.item)}>Send it back, and say why</button>
        <a class="button" href="#/card/${this.card_id}/item/${item.item}">Record what I found instead</a>
        <button type="button" @click=${() => this.pass_over(item.item)}>Leave it for later</button>
      </div>`;
  }

  signers({ countersigned_by }) {
    return countersigned_by.map((id) => this.view.entries.get(id).author.name).join(" and ");
  }

  refused(waiting) {
    const refused = waiting.filter(({ refusal }) => refusal);
    return html`
      ${waiting.length ? "" : html`<p>Nothing on this card waits for a countersignature.</p>`}
      ${refused.map(({ item, refusal }) => {
        const found = find_item(this.view, item);
        return html`<p class="problem"><strong>${found.state.number} ${found.item.title}.</strong> ${refusal.sentence}</p>`;
      })}
      ${this.passed_over.length ? html`<button type="button" @click=${() => { this.passed_over = []; }}>
        Show the items left for later</button>` : ""}
      <a class="button primary" href="#/card/${this.card_id}">Back to the card</a>`;
  }

  render() {
    const { view } = this;
    if (!view?.template) return html`<p class="quiet">Opening the card …</p>`;
    const waiting = waiting_items(view);
    const open = waiting.filter(({ item, refusal }) => !refusal && !this.passed_over.includes(item));
    const found = open.length ? find_item(view, open[0].item) : null;
    const subject = found && {
      above: `Countersign ${found.state.number} · ${count_words(open.length, "item", "items")} to go`,
      title: found.item.title, item: found.state,
    };
    return html`
      ${page_head({
        back: `#/card/${this.card_id}`, back_words: card_line(view),
        title: "Countersign", ...subject,
      })}
      ${contested_note(this.card_id, view.state)}
      ${found ? this.to_sign(found) : this.refused(waiting)}`;
  }
}

customElements.define("countersign-page", CountersignPage);
