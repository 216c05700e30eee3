/*
 * What a server's checkpoint says to a phone that holds an older one. Pure: nothing is stored or asked here.
 *
 * Usage: await judge_checkpoint(held, {note, proof}, {name, key}, kept) -> {log, alarm, problem}
 *   held       {size, root, note, key} or null when this phone has seen none
 *   name, key  of the log: "witnessmark/<server id>", and the key to trust when none is held yet (64 hex)
 *   kept       how many entries the same answer says were taken in just now: each is a leaf of the log
 *   log        {size, root, note, key} that the server shows now; the held one when the note cannot be read
 *   alarm      null | {code: "log_rewritten" | "log_set_back" | "log_key_changed", fields}
 *   problem    null | Problem note_unverifiable: this browser has no Ed25519; the rest was checked all the same
 * A note that cannot be read has no signature of the log's key, so it is the same alarm as a wrong one: a server that may
 * leave out its proof would prove nothing.
 */
import { EMPTY_ROOT, verify_consistency } from "../rules/merkle.js";
import { Problem } from "../rules/problems.js";
import { read_checkpoint, verify_note } from "../rules/signed_note.js";

const KEY_CHANGED = { code: "log_key_changed", fields: {} };

export async function judge_checkpoint(held, checkpoint, facts, kept = 0) {
  try {
    return await judged(held, checkpoint, facts, kept);
  } catch (error) {
    if (error.code !== "note_malformed") throw error;
    return { log: held, alarm: KEY_CHANGED, problem: error };
  }
}

async function judged(held, { note, proof }, { name, key }, kept) {
  const { origin, size, root } = read_checkpoint(note);
  const log = { size, root, note, key };
  const signed = await signedBy(note, name, held?.key ?? key);
  const other = origin !== name || signed === false || (held !== null && held.key !== key);
  const alarm = other ? KEY_CHANGED : await compared(held, log, proof, kept);
  return { log, alarm, problem: signed === null ? new Problem("note_unverifiable") : null };
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
