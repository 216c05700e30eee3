/*
 * The followed readings of past cards that this phone keeps. Read anew each time, never kept.
 */
import { read_canonical } from "../rules/canonical.js";
import { ENTRY_TYP, read_jws } from "../rules/signature.js";
import { field_trends } from "../rules/trend_series.js";
import { in_transaction } from "./database.js";

/**
 * {card, item, field, series} of a field of a card: `item` and `field` of its template, `series` as `field_trends`
 * gives them. null when this phone does not know the card, its template or the field. Refused entries do not count.
 */
export async function field_trend(card_id, item_id, field_id) {
  const held = await in_transaction(["cards", "revisions", "entries"], "readonly",
    (tx) => read_past(tx, card_id, item_id));
  const item = held?.template.zones.flatMap((zone) => zone.items).find((one) => one.item === item_id);
  const field = item?.fields.find((one) => one.field === field_id);
  if (!field) return null;
  const past = held.past.map(({ entries, ...one }) => ({ ...one, entries: entries.map(opened) }));
  return { card: held.card, item, field, series: field_trends(held.card, held.template, item, field, past) };
}

/* Only the cards of this aircraft that were issued from the same card template, and of them only this item. */
async function read_past(tx, card_id, item_id) {
  const cards = await tx.objectStore("cards").getAll();
  const card = cards.find((one) => one.card === card_id);
  if (!card) return null;
  const alike = cards.filter(({ aircraft }) => aircraft.registration === card.aircraft.registration
    && aircraft.serial_number === card.aircraft.serial_number);
  const templates = await read_templates(tx, alike);
  const template = templates.get(card.revision);
  if (!template) return null;
  const past = [];
  for (const one of alike.filter(({ revision }) => templates.get(revision)?.card === template.card)) {
    const kept = await tx.objectStore("entries").index("card").getAll(one.card);
    const entries = kept.filter(({ item, state }) => item === item_id && state !== "refused");
    past.push({ card: one, template: templates.get(one.revision), entries });
  }
  return { card, template, past };
}

async function read_templates(tx, cards) {
  const templates = new Map();
  for (const revision of new Set(cards.map((card) => card.revision))) {
    const kept = await tx.objectStore("revisions").get(revision);
    if (kept) templates.set(revision, read_canonical(kept.text));
  }
  return templates;
}

function opened({ id, text }) {
  return { id, payload: JSON.parse(read_jws(text, ENTRY_TYP).payload_text) };
}
