/*
 * What a server's checkpoint says to a phone that holds an older one. Pure: nothing is stored or asked here.
 *
 * Usage: await judge_checkpoint(held, {note, proof}, {name, key}, kept) -> {log, alarm, problem, verified}
 *   held       {size, root, note, key} or null when this phone has seen none
 *   name, key  of the log: "witnessmark/<server id>", and the key to trust when none is held yet (64 hex)
 *   kept       how many entries the same answer says were taken in just now: each is a leaf of the log
 *   log        {size, root, note, key} that the server shows now; the held one when the note cannot be read
 *   verified   whether `log.key` has signed it under the log's name, as far as this browser can tell: only then may a person
 *              who has asked take it for the held one
 *   alarm      null | {code: "log_rewritten" | "log_set_back" | "log_key_changed", fields}
 *   problem    null | Problem note_unverifiable: this browser has no Ed25519; the rest was checked all the same
 * A note that cannot be read has no signature of the log's key, so it is the same alarm as a wrong one: a server that may
 * leave out its proof would prove nothing.
 *
 * await proves(held, {id, signed}, answer) -> whether GET /api/log/entries/<id> shows that the held tree has the entry of that
 *   id, with that hash of its signed text: what the phone was given is what everybody else is shown
 */
import { read_canonical } from "../rules/canonical.js";
import { EMPTY_ROOT, leaf_hash, verify_consistency, verify_inclusion } from "../rules/merkle.js";
import { Problem } from "../rules/problems.js";
import { read_checkpoint, verify_note } from "../rules/signed_note.js";

const KEY_CHANGED = { code: "log_key_changed", fields: {} };

export async function judge_checkpoint(held, checkpoint, facts, kept = 0) {
  try {
    return await judged(held, checkpoint, facts, kept);
  } catch (error) {
    if (error.code !== "note_malformed") throw error;
    return { log: held, alarm: KEY_CHANGED, problem: error, verified: false };
  }
}

async function judged(held, { note, proof }, { name, key }, kept) {
  const { origin, size, root } = read_checkpoint(note);
  const log = { size, root, note, key };
  const signed = await signedBy(note, name, held?.key ?? key);
  const verified = origin === name && (await signedBy(note, name, key)) !== false;
  const other = origin !== name || signed === false || (held !== null && held.key !== key);
  const alarm = other ? KEY_CHANGED : await compared(held, log, proof, kept);
  return { log, alarm, problem: signed === null ? new Problem("note_unverifiable") : null, verified };
}

export async function proves(held, { id, signed }, answer) {
  const { number, leaf, proof } = answer ?? {};
  if (typeof leaf !== "string" || !Number.isSafeInteger(number)) return false;
  try {
    const said = read_canonical(leaf);
    if (said?.kind !== "entry" || said.id !== id || said.signed !== signed) return false;
    return await verify_inclusion(await leaf_hash(leaf), number - 1, held.size, proof, held.root);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return false;
  }
}

async function compared(held, { size, root }, proof, kept) {
  const [before, rootBefore] = held ? [held.size, held.root] : [0, EMPTY_ROOT];
  if (size >= before && size < before + kept) return { code: "log_rewritten", fields: {} };
  if (size < before) return { code: "log_set_back", fields: { server: size, phone: before } };
  const grown = size === before ? root === rootBefore : before === 0
    || (await verify_consistency(before, rootBefore, size, root, proof));
  return grown ? null : { code: "log_rewritten", fields: {} };
}

/** Whether it is signed; null when this browser cannot tell. */
async function signedBy(note, name, key) {
  try {
    return await verify_note(note, name, key);
  } catch (error) {
    if (error.code !== "note_unverifiable") throw error;
    return null;
  }
}
