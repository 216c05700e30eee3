/*
 * Approval for return to service, or disapproval with the list of discrepancies: what stops it, what was signed
 * before and what has changed since, then the record and the sentence exactly as signed.
 *
 * Usage: <release-page .card_id=${card}></release-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { session } from "../device/session.js";
import { read_draft } from "../device/store.js";
import { attempt } from "../parts/attempt.js";
import { contested_note } from "../parts/contested_note.js";
import { author_words } from "../parts/entry_lines.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { card_words, count_words, kind_words, stop_words, time_words } from "../parts/status_words.js";
import { record_of } from "../rules/local_code.js";
import { Problem } from "../rules/problems.js";
import { may } from "../rules/sign_off.js";
import { approval_body, changed_since, first_approval, open_discrepancies, stop_groups } from "./approval_body.js";
import { DraftKeeper } from "./draft_keeper.js";
import { item_list } from "./item_list.js";
import { StoreWatch, card_line, find_item, open_card } from "./open_card.js";
import { roles_today, sign_and_record, today, why_not } from "./record.js";
import "./release-form.js";

class ReleasePage extends LitElement {
  static properties = {
    card_id: { attribute: false },
    view: { state: true },
    typed: { state: true },
    disapproving: { state: true },
    anew: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
    this.keeper = new DraftKeeper(this);
    new StoreWatch(this);
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    const view = await open_card(this.card_id);
    const seen = this.view?.state?.covers.join();
    if (seen !== undefined && !this.busy && seen !== view.state.covers.join()) {
      this.problem = new Problem("covers_changed").sentence;
    }
    if (view?.template) {
      this.typed ??= { ...first_approval(view, today(), session.person.person), ...await read_draft(this.card_id, null) };
    }
    this.view = view;
  }

  change(typed) {
    this.typed = typed;
    this.problem = "";
    this.keeper.change(this.card_id, null, typed);
  }

  async sign(kind, secret) {
    if (this.busy) return;
    const { typed } = this;
    this.keeper.forget();
    const signed = await attempt(this, () => sign_and_record(this.view, {
      kind, item: null, supersedes: this.view.state.approvals.map(({ id }) => id),
      body: approval_body(this.view, kind, typed),
    }, secret));
    if (!signed) {
      this.keeper.change(this.card_id, null, typed);
      return;
    }
    say(`Saved on this phone: ${kind_words(kind)}`);
    location.hash = `#/card/${this.card_id}`;
  }

  earlier() {
    const { state, entries } = this.view;
    return state.approvals.map(({ id, kind, standing }) => {
      const { author, body, claimed_at } = entries.get(id);
      const changed = standing ? [] : changed_since(this.view, body);
      return html`
        <article class="entry ${kind}"><p class="verdict-words">${kind_words(kind)}
            <span class="quiet">${standing ? "stands" : "does not stand: the card has changed since"}</span></p>
          <p class="who">${author_words(author)}<br>${time_words(claimed_at)}</p>
          <p>${body.statement}</p>
          ${body.times.airframe ? html`<p>Total time of the airframe:
            <span class="whole">${body.times.airframe.value} ${body.times.airframe.unit}</span></p>` : nothing}
          ${this.listed(body.discrepancies)}
          ${changed.length ? html`<h2>Changed since</h2>${item_list(this.view, changed)}` : nothing}</article>`;
    });
  }

  listed(discrepancies) {
    return discrepancies.length ? html`<ol>${discrepancies.map(({ item, what, where }) => html`
      <li><strong>${find_item(this.view, item).item.title}:</strong> ${what} (${where})</li>`)}</ol>` : nothing;
  }

  stops() {
    const groups = stop_groups(this.view.state);
    return html`
      <section><h2>What still stops a release</h2>
        ${groups.map(({ code, title, items }) => html`
          <h3>${title} <span class="quiet">${count_words(items.length, "item", "items")}</span></h3>
          ${item_list(this.view, items.map((stop) => this.stop(stop, code)))}`)}</section>`;
  }

  stop({ item, code }, group) {
    return { item, words: group ? "" : `${stop_words(code)}.` };
  }

  form(kind) {
    return html`
      <release-form .view=${this.view} .kind=${kind} .typed=${this.typed} .person=${session.person} .busy=${this.busy}
        .refusal=${this.problem} @typed=${(event) => this.change(event.detail)}
        @given=${(event) => this.sign(kind, event.detail)}></release-form>`;
  }

  disapproval() {
    if (record_of(this.view.template) === "maintenance") return nothing;
    if (!this.disapproving) {
      return html`<button type="button" class="apart" @click=${() => { this.disapproving = true; }}>
        Disapprove instead</button>`;
    }
    const listed = open_discrepancies(this.view);
    return html`
      <section class="found"><h2>Disapprove</h2>
        ${listed.length ? html`<p>The list of discrepancies that goes with it:</p> ${this.listed(listed)}` : nothing}
        ${this.form("disapproval")}</section>`;
  }

  to_sign() {
    const { state } = this.view;
    if (!may(roles_today(), "release")) return html`<p class="told">Only an inspector signs here.</p>
      <a class="button" href="#/hand-over">Hand over to one</a>`;
    if (state.approvals.some(({ standing }) => standing) && !this.anew) {
      return html`<button type="button" @click=${() => { this.anew = true; }}>Sign anew, in its place</button>`;
    }
    const unfit = why_not(this.view, "release", null);
    if (unfit?.code === "certificate_unfit") return problem_note(unfit.sentence);
    return html`
      ${state.stops.length || this.disapproving ? nothing : this.form("release")}
      ${this.disapproval()}`;
  }

  render() {
    const { view } = this;
    if (!view?.template) return html`<p class="quiet">Opening the card …</p>`;
    const { card, state } = view;
    return html`
      ${page_head({ back: `#/card/${this.card_id}`, back_words: card_line(view),
        above: card.title, title: `Release of ${card.aircraft.registration}` })}
      <p class="card-status ${state.status}"><strong class="stand">${card_words(state.status)}</strong></p>
      ${contested_note(this.card_id, state, true)}
      ${this.earlier()}
      ${state.stops.length ? this.stops() : nothing}
      ${this.to_sign()}`;
  }
}

customElements.define("release-page", ReleasePage);
