/*
 * The work cards on this phone: which aircraft, how far, and what needs the person signed in.
 *
 * Usage: <card-list></card-list>
 */
import { LitElement, html, nothing, repeat } from "../vendor/lit.js";
import { quarantine } from "../device/api.js";
import { session } from "../device/session.js";
import { cards } from "../device/store.js";
import { attempt } from "../parts/attempt.js";
import { page_head } from "../parts/page_head.js";
import { card_words, count_words, progress_words } from "../parts/status_words.js";
import { may } from "../rules/sign_off.js";
import { StoreWatch, open_card } from "./open_card.js";
import { roles_today } from "./record.js";
import { undecided } from "./refused-page.js";
import "../parts/witness-mark.js";

/** What a card asks of somebody with `roles`, as short sentences. */
export function asks({ counts, status, items }, roles) {
  const count = (wanted) => items.filter((item) => item.status === wanted).length;
  const inspects = may(roles, "countersignature");
  const records = may(roles, "result");
  return [
    inspects && counts.to_countersign && `${counts.to_countersign} to countersign`,
    inspects && counts.disputed && `${counts.disputed} to settle`,
    records && count("rejected") && `${count("rejected")} sent back`,
    records && count("failed") && `${count("failed")} to correct`,
    records && count("corrected") && `${count("corrected")} to inspect again`,
    inspects && status === "complete" && "ready to release",
    inspects && status === "contested" && "look again and release anew",
  ].filter(Boolean);
}

/* Contested before all, then what is being worked on; released cards stand last, because nothing on them waits. */
function place({ state }) {
  if (state?.status === "contested") return 0;
  if (state?.status === "released") return 3;
  return state?.entries ? 1 : 2;
}

/* The ways to the desk's pages: [address, words, kinds of people who need it]. */
const DESK = [
  ["refused", "Refused entries", ["mechanic", "inspector", "author"]],
  ["people", "People", ["author"]],
  ["tools", "Tools", ["mechanic", "inspector", "author"]],
  ["published", "Published values", ["mechanic", "inspector", "author", "reader"]],
  ["local-code", "Local code", ["inspector", "author"]],
];

/* The items of one zone stay together. */
function by_zone(items) {
  const zones = new Map();
  for (const item of items) zones.set(item.zone, [...zones.get(item.zone) ?? [], item]);
  return [...zones.values()];
}

const STANDS_OUT = ["contested", "disapproved"];

class CardList extends LitElement {
  static properties = { views: { state: true }, refused: { state: true } };

  constructor() {
    super();
    new StoreWatch(this);
  }

  createRenderRoot() {
    return this;
  }

  connectedCallback() {
    super.connectedCallback();
    if (may(roles_today(), "admission")) this.count_refused();
  }

  /* How many wait for a decision is known to the server only: without it, the way there stands without a number. */
  async count_refused() {
    const asked = {};
    await attempt(asked, async () => { this.refused = (await quarantine()).entries.filter(undecided).length; });
  }

  async read() {
    const known = await cards();
    const views = await Promise.all(known.map(({ card }) => open_card(card)));
    this.views = views.sort((a, b) => place(a) - place(b) || (a.card.number < b.card.number ? 1 : -1));
  }

  card({ card, state }) {
    const asked = state ? asks(state, roles_today()) : [];
    return html`
      <li><a class="card" href="#/card/${card.card}">
        <span class="plate">${card.aircraft.registration}</span>
        <span class="quiet">${card.number}</span>
        <strong class="title">${card.title}</strong>
        ${state ? html`
          <span class="marks" aria-hidden="true">${by_zone(state.items).map((items) => html`
            <span>${items.map((item) => html`<witness-mark .item=${item}></witness-mark>`)}</span>`)}</span>
          <span class="progress ${state.status}">${STANDS_OUT.includes(state.status)
            ? html`<strong class="stand">${card_words(state.status)}</strong>` : `${card_words(state.status)}.`} ${progress_words(state.counts)}</span>` : html`<span class="quiet">Steps not on this phone yet</span>`}
        ${asked.length ? html`<span class="asks">${asked.map((words, index) => html`${index ? " · " : ""}<span class="whole">${words}</span>`)}</span>` : nothing}
      </a></li>`;
  }

  desk() {
    const roles = roles_today();
    const ways = DESK.filter(([, , needed]) => needed.some((role) => roles.includes(role)));
    if (!ways.length) return nothing;
    return html`<h2>The shop</h2><ul class="shop">${ways.map(([address, words]) => html`
      <li><a class="button" href="#/${address}">${words}${address === "refused" && this.refused
        ? html` <strong class="waits">${this.refused}</strong>` : nothing}</a></li>`)}</ul>`;
  }

  render() {
    const roles = roles_today();
    if (!this.views) return html`<p class="quiet">Opening the work cards …</p>`;
    return html`
      ${page_head({ back: null, above: session.server.shop.name, title: "Work cards" })}
      <p class="signed-in">${session.person.name}, ${roles.join(" and ")} <a href="#/hand-over">Hand over</a></p>
      ${this.refused ? html`<p class="asks"><a href="#/refused">${count_words(this.refused, "refused entry waits", "refused entries wait")}
        for your decision</a></p>` : nothing}
      ${this.views.length ? html`<ul class="cards">${repeat(this.views, ({ card }) => card.card, (view) => this.card(view))}</ul>`
        : html`<p>No work cards on this phone yet. Connect to the shop’s server to fetch them, or issue one.</p>`}
      ${roles.includes("reader") && roles.length === 1 ? nothing : html`<a class="button" href="#/issue">Issue a work card</a>`}
      ${this.desk()}`;
  }
}

customElements.define("card-list", CardList);
