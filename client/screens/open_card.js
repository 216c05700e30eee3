/*
 * A work card as this phone knows it: its facts, its template, its entries and the state they fold to.
 */
import { read_fact } from "../device/drafts.js";
import { card, entries_of, store_events, template } from "../device/store.js";
import { last_values } from "../device/trends.js";
import { Watch } from "../parts/watch.js";
import { fold } from "../rules/card_state.js";
import { ENTRY_TYP, read_jws } from "../rules/signature.js";
import { control_persons } from "../rules/local_code.js";

/**
 * {card, template, code, tools, entries: Map id -> payload, state}; null when this phone does not know the card, and only
 * {card} while its revision or its local code has not come from the server. Refused entries do not count.
 * `code` is the card's local code, `tools` the shop's register: [{serial, name, calibrated_until, facts}].
 */
export async function open_card(id) {
  const facts = await card(id);
  if (!facts) return null;
  const [revision, code, kept, phone] = await Promise.all([
    template(facts.revision), template(facts.code), entries_of(id), read_fact("phone_facts")]);
  if (!revision || !code) return { card: facts };
  const standing = kept.filter(({ state }) => state !== "refused");
  const entries = new Map(standing.map(({ id: entry, text }) => [entry, JSON.parse(read_jws(text, ENTRY_TYP).payload_text)]));
  const state = fold(revision, [...entries].map(([entry, payload]) => ({ id: entry, payload })), control_persons(code));
  return { card: facts, template: revision, code, tools: phone?.tools ?? [], entries, state };
}

/** The zone and the item of the template, and the item's state, for an item id of an open card; or null. */
export function find_item(view, id) {
  for (const zone of view.template.zones) {
    const item = zone.items.find((found) => found.item === id);
    if (item) return { zone, item, state: view.state.items.find((found) => found.item === id) };
  }
  return null;
}

/** The next item after `id` in walk order, from the start again, whose status is the first of `wanted` found; or null. */
export function next_item({ state }, id, wanted = ["open"]) {
  const place = state.items.findIndex(({ item }) => item === id);
  const walk = [...state.items.slice(place + 1), ...state.items.slice(0, Math.max(place, 0))];
  const found = wanted.map((status) => walk.find((item) => item.status === status)).find(Boolean);
  return found ? found.item : null;
}

/** What past cards say of the followed fields of an item: {address: of their trends, last: see `last_values`}. */
export async function past_of(view, id) {
  const found = view?.template && find_item(view, id);
  return { address: `#/card/${view?.card.card}/trend/${id}`, last: found ? await last_values(view.card.card, found.item) : {} };
}

/** "WC-0001, N0417W", and that it is contested or disputed, which every page of the card says. */
export function card_line({ card, state }) {
  const contested = state.status === "contested" ? ", CONTESTED" : "";
  const disputed = state.counts.disputed ? `, ${state.counts.disputed} disputed` : "";
  return `${card.number}, ${card.aircraft.registration}${contested}${disputed}`;
}

/** Calls `host.read()` when the host appears and after each change of what this phone keeps. */
export class StoreWatch extends Watch {
  constructor(host) {
    super(host, [[store_events, "changed"]]);
  }
}
