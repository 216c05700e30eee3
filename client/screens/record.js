/*
 * The one way from a page into a card's history: facts of this phone and person, rules/entry, device/keys, device/store.
 */
import { unlock, unlocked, with_fresh_code } from "../device/keys.js";
import { session } from "../device/session.js";
import { keep_entry } from "../device/store.js";
import { syncer } from "../device/sync.js";
import { make_entry } from "../rules/entry.js";
import { record_of, slots_of, statement, statement_key } from "../rules/local_code.js";
import { Problem } from "../rules/problems.js";
import { FRESH, MAY, certificate_fits, countersign_refusals, refusals, roles_on } from "../rules/sign_off.js";

/** Today where this phone is, "YYYY-MM-DD": the day that stands on paper. */
export function today() {
  const now = new Date();
  return new Date(now - now.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
}

/** The roles that the person signed in holds today, also when this phone last met the server some days ago. */
export function roles_today() {
  const { authorities, roles } = session.person;
  return authorities ? roles_on(authorities, new Date().toISOString().slice(0, 10)) : roles;
}

/** Must the person signed in give the code before an entry of this kind? */
export function asks_code(kind) {
  return FRESH.includes(kind) || !unlocked(session.person.person);
}

/**
 * Sign and keep one entry about an open card. `secret` is what <code-field> gave: {code} | {passkey: true}, or null when
 * asks_code(kind) is false. Throws Problem when the code is wrong, the person may not, or the phone could not keep it.
 */
export async function sign_and_record(view, entry, secret) {
  const { person } = session.person;
  if (FRESH.includes(entry.kind)) return with_fresh_code(person, secret, () => record(view, entry));
  if (secret) await unlock(person, secret);
  return record(view, entry);
}

/**
 * Keep one entry about an open card, signed by the person signed in. Resolves once it is on the disk of this phone.
 * `item` is null for an entry of the card. Throws Problem as above, key_locked too.
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
  }), { drop_draft: kind !== "admission" });
  syncer.request();
  return kept;
}

/** The sentence of the card's local code that is signed with an entry of this kind and `body`. Throws Problem. */
export function statement_for(view, kind, body = {}) {
  return statement(view.code, statement_key(kind, record_of(view.template)), slots_of(view.card, body));
}

/** The Problem that keeps the person signed in from making this kind of entry now, or null. */
export function why_not(view, kind, item) {
  const { person, name } = session.person;
  const roles = roles_today();
  const [code] = kind === "countersignature"
    ? countersign_refusals(view.state, roles, item, person, Object.fromEntries(view.entries))
    : refusals(view.state, roles, kind, item);
  if (code) return new Problem(code, { name, needs: MAY[kind].join(" or "), count: view.state.stops.length });
  return certificate_problem(view, kind);
}

function certificate_problem(view, kind) {
  const { name, certificate } = session.person;
  const key = statement_key(kind, record_of(view.template));
  if (!key || certificate_fits(view.code, key, certificate.kind)) return null;
  const needs = view.code.statements[key].certificates.join(" or ");
  return new Problem("certificate_unfit", { name, kind: certificate.kind, needs });
}
