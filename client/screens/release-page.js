/*
 * Approval for return to service, or disapproval with the list of discrepancies: the sentence exactly as signed,
 * what it covers, and what still stops it.
 *
 * Usage: <release-page .card_id=${card}></release-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { attempt } from "../parts/attempt.js";
import { author_words } from "../parts/entry_lines.js";
import { number_input } from "../parts/field_frame.js";
import { page_head, problem_note, say } from "../parts/page_head.js";
import { card_words, count_words, item_words, kind_words, stop_words, time_words } from "../parts/status_words.js";
import { number_problem } from "../parts/typed_number.js";
import { Problem } from "../rules/problems.js";
import { may, statement } from "../rules/sign_off.js";
import { session } from "../device/session.js";
import { approval_body, open_discrepancies } from "./approval_body.js";
import { item_list } from "./item_list.js";
import { StoreWatch, card_line, find_item, open_card } from "./open_card.js";
import { record } from "./record.js";

class ReleasePage extends LitElement {
  static properties = {
    card_id: { attribute: false },
    view: { state: true },
    hours: { state: true },
    disapproving: { state: true },
    anew: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
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
    this.hours ??= view?.card.times?.airframe?.value ?? "";
    this.view = view;
  }

  async sign(kind) {
    const unreadable = this.hours.trim() ? number_problem(this.hours) : new Problem("readings_none");
    if (unreadable) {
      this.problem = `Total time of the airframe: ${unreadable.sentence}`;
      return;
    }
    const signed = await attempt(this, () => record(this.view, {
      kind, item: null, supersedes: this.view.state.approvals.map(({ id }) => id),
      body: approval_body(this.view, kind, this.hours),
    }));
    if (!signed) return;
    say(`Saved on this phone: ${kind_words(kind)}`);
    location.hash = `#/card/${this.card_id}`;
  }

  earlier() {
    const { state, entries } = this.view;
    return state.approvals.map(({ id, kind, standing }) => {
      const { author, body, claimed_at } = entries.get(id);
      return html`
        <article class="entry ${kind}"><p class="verdict-words">${kind_words(kind)}
            <span class="quiet">${standing ? "stands" : "the card has changed since"}</span></p>
          <p class="who">${author_words(author)}<br>${time_words(claimed_at)}</p>
          <p>${body.statement}</p>
          <p>Total time of the airframe: <span class="whole">${body.times.airframe?.value} ${body.times.airframe?.unit}</span></p>
          ${this.listed(body.discrepancies)}</article>`;
    });
  }

  covered() {
    const { state } = this.view;
    return html`
      <details><summary>What the signature covers: ${count_words(state.covers.length, "entry", "entries")}</summary>
        <ol class="covered">${state.items.map((item) => html`
          <li>${item.number} ${find_item(this.view, item.item).item.title}: ${item_words(item)}</li>`)}</ol></details>`;
  }

  stops() {
    const { stops } = this.view.state;
    return html`
      <section><h2>What still stops a release</h2>
        ${item_list(this.view, stops.map(({ code, item }) => ({ item, words: `${stop_words(code)}.` })))}</section>`;
  }

  time() {
    return html`
      <section><h2><label id="hours-label" for="hours">Total time of the airframe now</label></h2>
        ${number_input({ id: "hours", label: "hours-label", value: this.hours, unit: "h",
          change: (typed) => { this.hours = typed; } })}</section>`;
  }

  signing(kind, words) {
    return html`
      <blockquote class="statement">${statement(kind, this.view.card)}</blockquote>
      ${problem_note(this.problem)}
      <button type="button" class="sign ${kind}" ?disabled=${this.busy} @click=${() => this.sign(kind)}>${words}</button>`;
  }

  listed(discrepancies) {
    return discrepancies.length ? html`<ol>${discrepancies.map(({ item, what, where }) => html`
      <li><strong>${find_item(this.view, item).item.title}:</strong> ${what} (${where})</li>`)}</ol>` : nothing;
  }

  disapproval() {
    const listed = open_discrepancies(this.view);
    if (!this.disapproving) {
      return html`<button type="button" class="apart" @click=${() => { this.disapproving = true; }}>
        Disapprove instead</button>`;
    }
    return html`
      <section class="found"><h2>Disapprove</h2>
        <p>The list of discrepancies that goes with it:</p>
        ${listed.length ? this.listed(listed)
          : html`<p>No item has failed. Record what makes the aircraft unairworthy as a fail first.</p>`}
        ${listed.length ? this.signing("disapproval", "Sign the disapproval") : nothing}</section>`;
  }

  to_sign() {
    const { state } = this.view;
    if (!may(session.person.roles, "release")) return html`<p class="told">Only an inspector signs here. Hand over to one.</p>`;
    if (state.approvals.some(({ standing }) => standing) && !this.anew) {
      return html`<button type="button" @click=${() => { this.anew = true; }}>Sign anew, in its place</button>`;
    }
    const signs = !state.stops.length || this.disapproving;
    return html`
      ${signs ? html`${this.time()} ${this.covered()}` : nothing}
      ${state.stops.length || this.disapproving ? nothing : this.signing("release", "Approve for return to service")}
      ${this.disapproval()}`;
  }

  render() {
    const { view } = this;
    if (!view?.template) return html`<p class="quiet">Opening the card …</p>`;
    const { card, state } = view;
    return html`
      ${page_head({ back: `#/card/${this.card_id}`, back_words: card_line(view),
        above: card.title, title: "Release" })}
      <p class="card-status ${state.status}"><strong class="stand">${card_words(state.status)}</strong></p>
      ${this.earlier()}
      ${state.stops.length ? this.stops() : nothing}
      ${this.to_sign()}`;
  }
}

customElements.define("release-page", ReleasePage);
