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
  const held = await held_past(card_id, item_id);
  const field = held?.item?.fields.find((one) => one.field === field_id);
  if (!field) return null;
  return { card: held.card, item: held.item, field, series: field_trends(held.card, held.template, held.item, field, held.past) };
}

/** {field: its values at the last inspection before this card, "" where there is none} for fields drawn as a profile. */
export async function last_values(card_id, { item, fields }) {
  const worn = fields.filter(({ wear }) => wear);
  const held = worn.length ? await held_past(card_id, item) : null;
  if (!held) return {};
  return Object.fromEntries(worn.map((field) => {
    const series = field_trends(held.card, held.template, held.item, field, held.past);
    const before = (name) => series.find(({ station }) => station === name)?.points.filter(({ card }) => card !== held.card.number);
    return [field.field, field.stations.map((name) => before(name)?.at(-1)?.value ?? "")];
  }).filter(([, values]) => values.some(Boolean)));
}

async function held_past(card_id, item_id) {
  const held = await in_transaction(["cards", "revisions", "entries"], "readonly",
    (tx) => read_past(tx, card_id, item_id));
  const item = held?.template.zones.flatMap((zone) => zone.items).find((one) => one.item === item_id);
  const past = held?.past.map(({ entries, ...one }) => ({ ...one, entries: entries.map(opened) }));
  return held && { ...held, item, past };
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
