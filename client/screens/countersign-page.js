/*
 * Countersigning, one item after another: exactly what is signed, the sentence, one large button.
 *
 * Usage: <countersign-page .card_id=${card}></countersign-page>
 */
import { LitElement, html } from "../vendor/lit.js";
import { attempt } from "../parts/attempt.js";
import { entry_lines } from "../parts/entry_lines.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { awaits_or_has_second, count_words } from "../parts/status_words.js";
import { statement } from "../rules/sign_off.js";
import { StoreWatch, card_line, find_item, open_card } from "./open_card.js";
import { record, why_not } from "./record.js";

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

  async sign({ item, state }) {
    const body = { covers: state.heads, statement: statement("countersignature", this.view.card) };
    const signed = await attempt(this, () => record(this.view, {
      kind: "countersignature", item: item.item, supersedes: [], body,
    }));
    if (!signed) return;
    say(`Saved on this phone: ${state.number} countersigned`);
    await this.read();
    scrollTo(0, 0);
    document.getElementById("screen").focus({ preventScroll: true });
  }

  pass_over(item) {
    this.passed_over = [...this.passed_over, item];
    scrollTo(0, 0);
  }

  to_sign(found) {
    const { item, state } = found;
    return html`
      <p class="second-person"><strong>Why a second person:</strong> ${item.countersign.reason}</p>
      <section><h2>To look at</h2><ul>${item.look_for.map((sign) => html`<li>${sign}</li>`)}</ul></section>
      <section><h2>What you sign</h2>
        <div class="entries">${state.heads.map((id) => entry_lines(item, this.view.entries.get(id)))}</div></section>
      <blockquote class="statement">${statement("countersignature", this.view.card)}</blockquote>
      ${problem_note(this.problem)}
      <button type="button" class="sign" ?disabled=${this.busy} @click=${() => this.sign(found)}>Countersign</button>
      <div class="ways apart">
        <button type="button" @click=${() => this.pass_over(item.item)}>Leave it for later</button>
        <a class="button" href="#/card/${this.card_id}/item/${item.item}">I do not agree: record what I found</a>
      </div>`;
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
      ${found ? this.to_sign(found) : this.refused(waiting)}`;
  }
}

customElements.define("countersign-page", CountersignPage);
