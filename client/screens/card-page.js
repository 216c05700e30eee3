/*
 * A work card: its zones along the seam, what still stops a release, and the ways on from here.
 *
 * Usage: <card-page .card_id=${card}></card-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { card_on_server, paper_path } from "../device/api.js";
import { last_items } from "../device/store.js";
import { contested_note } from "../parts/contested_note.js";
import { card_words, count_words, kind_words, progress_words, stop_words, time_words } from "../parts/status_words.js";
import { page_head } from "../parts/page_head.js";
import { may } from "../rules/sign_off.js";
import { item_list } from "./item_list.js";
import { StoreWatch, find_item, next_item, open_card } from "./open_card.js";
import { roles_today } from "./record.js";
import "../parts/caution-note.js";
import "../parts/witness-mark.js";

const ASK_AGAIN_MS = 3000;
const RELEASE_IS_NEXT = ["complete", "contested"];

class CardPage extends LitElement {
  static properties = { card_id: { attribute: false }, view: { state: true }, last: { state: true },
    paper: { state: true } };

  constructor() {
    super();
    new StoreWatch(this);
  }

  createRenderRoot() {
    return this;
  }

  disconnectedCallback() {
    super.disconnectedCallback();
    clearTimeout(this.timer);
  }

  async read() {
    this.last = await last_items(this.card_id);
    this.view = await open_card(this.card_id);
    if (["released", "disapproved", "contested"].includes(this.view?.state?.status)) await this.ask_for_paper();
  }

  /* The paper is made after the release has arrived: ask again by itself while this page is open. */
  async ask_for_paper() {
    clearTimeout(this.timer);
    try {
      this.paper = (await card_on_server(this.card_id)).paper;
      if (!this.paper.ready && this.isConnected) this.timer = setTimeout(() => this.ask_for_paper(), ASK_AGAIN_MS);
    } catch (refusal) {
      if (!refusal.sentence) throw refusal;
      this.paper = { ready: false, sentence: refusal.sentence };
    }
  }

  item_row(item, state) {
    return html`
      <li><a class="item-row" href="#/card/${this.card_id}/item/${item.item}">
        <witness-mark .item=${state} words></witness-mark>
        <span class="number-of">${state.number}</span><span class="title">${item.title}</span></a></li>`;
  }

  zone(zone) {
    const rows = zone.items.map((item) => [item, find_item(this.view, item.item).state]);
    const done = rows.filter(([, state]) => state.done).length;
    return html`
      <section class="zone">
        <h2>${zone.title} <span class="quiet">${done} of ${rows.length}</span></h2>
        <ol class="seam">${rows.map(([item, state]) => this.item_row(item, state))}</ol>
      </section>`;
  }

  ways() {
    const { state } = this.view;
    const roles = roles_today();
    const here = `#/card/${this.card_id}`;
    const next = next_item(this.view, null, ["rejected", "open", "corrected", "failed"]);
    const signs = may(roles, "countersignature") && state.counts.to_countersign;
    const disputed = may(roles, "settlement") && state.items.find(({ status }) => status === "disputed");
    return html`
      <div class="ways">
        ${disputed ? html`<a class="button primary" href="${here}/item/${disputed.item}">Settle the dispute at ${disputed.number}</a>` : nothing}
        ${signs ? html`<a class="button ${disputed ? "" : "primary"}" href="${here}/countersign">
          Countersign ${count_words(state.counts.to_countersign, "item", "items")}</a>` : nothing}
        ${next && may(roles, "result") ? html`<a class="button ${signs || disputed ? "" : "primary"}" href="${here}/item/${next}">
          ${this.go_words(next)} at ${find_item(this.view, next).state.number}</a>` : nothing}
        ${this.paper_way()}
        ${may(roles, "release") ? html`<a class="button ${RELEASE_IS_NEXT.includes(state.status) ? "primary" : ""}" href="${here}/release">
          ${state.status === "released" ? "See the release" : "Release or disapprove"}</a>` : nothing}
      </div>`;
  }

  go_words(item) {
    if (find_item(this.view, item).state.status === "rejected") return "Sent back: inspect again";
    return this.view.state.entries ? "Go on" : "Start";
  }

  paper_way() {
    if (!this.paper) return nothing;
    return this.paper.ready
      ? html`<a class="button primary" href=${paper_path(this.card_id)} download>Fetch the PDF</a>`
      : html`<p class="quiet">PDF: ${this.paper.sentence}</p>
        <button type="button" @click=${this.ask_for_paper}>Ask again for the PDF</button>`;
  }

  last_done() {
    if (!this.last.length || !this.view.state.stops.length) return nothing;
    return html`
      <details><summary>After a break: last items done</summary>
        <p>Look at them once more before you go on.</p>
        ${item_list(this.view, this.last.map(({ item }) => ({ item, words: "" })))}</details>`;
  }

  stops() {
    const { stops } = this.view.state;
    if (!stops.length) return nothing;
    return html`
      <details><summary>What still stops a release: ${count_words(stops.length, "point", "points")}</summary>
        ${item_list(this.view, stops.map(({ code, item }) => ({ item, words: `${stop_words(code)}.` })))}</details>`;
  }

  /* Who approved or disapproved, for what still stands. */
  approved() {
    const { state, entries } = this.view;
    return state.approvals.filter(({ standing }) => standing).map(({ id, kind }) => html`
      <p class="who">${kind_words(kind)} signed by ${entries.get(id).author.name}, ${time_words(entries.get(id).claimed_at)}</p>`);
  }

  render() {
    const { view } = this;
    if (!view) return html`<p class="quiet">${view === null ? "This phone does not know this card. Sync, then try again." : "Opening the card …"}</p>`;
    const { card, template, state } = view;
    const head = page_head({ above: `${card.number} · ${card.aircraft.registration}, s/n ${card.aircraft.serial_number}`, title: card.title });
    if (!template) return html`${head}<p>The steps of this card, or the sentences it is signed with, have not come from the server yet. Connect once, then walk it offline.</p>`;
    return html`
      ${head}
      <p class="card-status ${state.status}"><strong class="stand">${card_words(state.status)}</strong> ${progress_words(state.counts)}.</p>
      ${contested_note(card.card, state)}
      ${this.approved()} ${this.ways()} ${this.last_done()} ${this.stops()}
      <details ?open=${!state.entries}><summary>Cautions and scope of this card</summary>
        <caution-note .cautions=${template.cautions}></caution-note><p>${template.scope}</p>
        <ul>${template.references.map((reference) => html`<li>${reference}</li>`)}</ul></details>
      ${template.zones.map((zone) => this.zone(zone))}`;
  }
}

customElements.define("card-page", CardPage);
