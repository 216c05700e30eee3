/*
 * A work card as this phone knows it: its facts, its template, its entries and the state they fold to.
 */
import { card, entries_of, store_events, template } from "../device/store.js";
import { fold } from "../rules/card_state.js";

/**
 * {card, template, entries: Map id -> payload, state}; null when this phone does not know the card, and without
 * template, entries and state while its revision has not come from the server. Refused entries do not count.
 */
export async function open_card(id) {
  const facts = await card(id);
  if (!facts) return null;
  const [revision, kept] = await Promise.all([template(facts.revision), entries_of(id)]);
  if (!revision) return { card: facts };
  const standing = kept.filter(({ state }) => state !== "refused");
  const entries = new Map(standing.map(({ id: entry, text }) => [entry, JSON.parse(text)]));
  const state = fold(revision, [...entries].map(([entry, payload]) => ({ id: entry, payload })));
  return { card: facts, template: revision, entries, state };
}

/** The zone and the item of the template, and the item's state, for an item id of an open card; or null. */
export function find_item(view, id) {
  for (const zone of view.template.zones) {
    const item = zone.items.find((found) => found.item === id);
    if (item) return { zone, item, state: view.state.items.find((found) => found.item === id) };
  }
  return null;
}

/** The item to go to after `id` in walk order: the next that needs a result, from the start again; or null. */
export function next_item({ state }, id) {
  const place = state.items.findIndex(({ item }) => item === id);
  const walk = [...state.items.slice(place + 1), ...state.items.slice(0, place)];
  return walk.find(({ status }) => status === "open")?.item ?? null;
}

/** Calls `host.read()` when the host appears and after each change of what this phone keeps. */
export class StoreWatch {
  constructor(host) {
    this.host = host;
    host.addController(this);
  }

  hostConnected() {
    this.changed = () => this.host.read();
    store_events.addEventListener("changed", this.changed);
    this.host.read();
  }

  hostDisconnected() {
    store_events.removeEventListener("changed", this.changed);
  }
}
