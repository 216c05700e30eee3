/*
 * The work cards on this phone: which aircraft, how far, and what needs the person signed in.
 *
 * Usage: <card-list></card-list>
 */
import { LitElement, html, nothing, repeat } from "../vendor/lit.js";
import { session } from "../device/session.js";
import { cards } from "../device/store.js";
import { page_head } from "../parts/page_head.js";
import { card_words, progress_words } from "../parts/status_words.js";
import { may } from "../rules/sign_off.js";
import { StoreWatch, open_card } from "./open_card.js";
import "../parts/witness-mark.js";

/** What a card asks of somebody with `roles`, as short sentences. */
export function asks({ counts, status, items }, roles) {
  const count = (wanted) => items.filter((item) => item.status === wanted).length;
  const inspects = may(roles, "countersignature");
  const records = may(roles, "result");
  return [
    inspects && counts.to_countersign && `${counts.to_countersign} to countersign`,
    inspects && counts.disputed && `${counts.disputed} to settle`,
    records && count("failed") && `${count("failed")} to correct`,
    records && count("corrected") && `${count("corrected")} to inspect again`,
    inspects && status === "complete" && "ready to release",
    inspects && status === "contested" && "contested: look again and release anew",
  ].filter(Boolean);
}

/* What is being worked on stands first; released cards stand last, because nothing on them waits. */
function place({ state }) {
  if (state?.status === "released") return 2;
  return state?.entries ? 0 : 1;
}

/* The items of one zone stay together. */
function by_zone(items) {
  const zones = new Map();
  for (const item of items) zones.set(item.zone, [...zones.get(item.zone) ?? [], item]);
  return [...zones.values()];
}

class CardList extends LitElement {
  static properties = { views: { state: true } };

  constructor() {
    super();
    new StoreWatch(this);
  }

  createRenderRoot() {
    return this;
  }

  async read() {
    const known = await cards();
    const views = await Promise.all(known.map(({ card }) => open_card(card)));
    this.views = views.sort((a, b) => place(a) - place(b) || (a.card.number < b.card.number ? 1 : -1));
  }

  card({ card, state }) {
    const asked = state ? asks(state, session.person.roles) : [];
    return html`
      <li><a class="card" href="#/card/${card.card}">
        <span class="plate">${card.aircraft.registration}</span>
        <span class="quiet">${card.number}</span>
        <strong class="title">${card.title}</strong>
        ${state ? html`
          <span class="marks" aria-hidden="true">${by_zone(state.items).map((items) => html`
            <span>${items.map((item) => html`<witness-mark .item=${item}></witness-mark>`)}</span>`)}</span>
          <span class="progress">${card_words(state.status)}. ${progress_words(state.counts)}</span>` : html`<span class="quiet">Steps not on this phone yet</span>`}
        ${asked.length ? html`<span class="asks">${asked.map((words, index) => html`${index ? " · " : ""}<span class="whole">${words}</span>`)}</span>` : nothing}
      </a></li>`;
  }

  render() {
    const { roles } = session.person;
    if (!this.views) return html`<p class="quiet">Opening the work cards …</p>`;
    return html`
      ${page_head({ back: null, above: session.server.shop.name, title: "Work cards" })}
      <p class="signed-in">${session.person.name}, ${roles.join(" and ")} <a href="#/hand-over">Hand over</a></p>
      ${this.views.length ? html`<ul class="cards">${repeat(this.views, ({ card }) => card.card, (view) => this.card(view))}</ul>`
        : html`<p>No work cards on this phone yet. Connect to the shop’s server to fetch them, or issue one.</p>`}
      ${roles.includes("reader") && roles.length === 1 ? nothing : html`<a class="button" href="#/issue">Issue a work card</a>`}`;
  }
}

customElements.define("card-list", CardList);
