/*
 * The one way from a page into a card's history: facts of this phone and person, rules/entry, device/store.
 */
import { session } from "../device/session.js";
import { keep_entry } from "../device/store.js";
import { syncer } from "../device/sync.js";
import { make_entry } from "../rules/entry.js";
import { Problem } from "../rules/problems.js";
import { MAY, countersign_refusals, refusals } from "../rules/sign_off.js";

/**
 * Keep one entry about an open card. Resolves once it is on the disk of this phone.
 * `item` is null for a release or disapproval. Throws Problem when the person may not, or the phone could not keep it.
 */
export async function record(view, { kind, item, supersedes, body }) {
  const refusal = why_not(view, kind, item);
  if (refusal) throw refusal;
  const { person, name, certificate } = session.person;
  const { registration, serial_number } = view.card.aircraft;
  const kept = await keep_entry((place) => make_entry({
    ...place, kind, item, supersedes, body,
    server: session.server.server, card: view.card.card, revision: view.card.revision,
    aircraft: { registration, serial_number },
    author: { person, name, certificate: { kind: certificate.kind, number: certificate.number } },
    claimed_at: `${new Date().toISOString().slice(0, 19)}Z`,
  }), { drop_draft: true });
  syncer.request();
  return kept;
}

/** The Problem that keeps the person signed in from making this kind of entry now, or null. */
export function why_not(view, kind, item) {
  const { person, name, roles } = session.person;
  const [code] = kind === "countersignature"
    ? countersign_refusals(view.state, roles, item, person, head_authors(view, item))
    : refusals(view.state, roles, kind, item);
  if (!code) return null;
  return new Problem(code, { name, needs: MAY[kind].join(" or "), count: view.state.stops.length });
}

function head_authors({ state, entries }, item) {
  const { heads } = state.items.find((found) => found.item === item);
  return heads.map((id) => entries.get(id).author.person);
}
