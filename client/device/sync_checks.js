/*
 * What a phone does not take on trust from its server: other people's signatures, the keys, and the log that may only grow.
 *
 * Usage:
 *   await check_answer({store, api, told}, facts, answer) -> {problem, enrolled_again, alarm, size}      size: of its checkpoint
 *   await demand_proofs({store, api}) -> problem | null         at most two requests: what is owed, against the held checkpoint
 *   await verify_entries({store, api, told}, texts) -> [{id, payload, text, kid} | {problem}]
 *   facts       of store.sync_facts() when the server was asked
 *   told(facts) called with each new GET /api/phone; answers true when this phone's key was given to the server again
 * Alarms about the log are kept by the store and stop nothing: work must go on. Throws what api throws, and Problem
 * server_answer_wrong.
 */
import { entry_of } from "../rules/entry.js";
import { Problem } from "../rules/problems.js";
import { ENTRY_TYP, read_jws, verify } from "../rules/signature.js";
import { ServerProblem } from "./api.js";
import { judge_checkpoint, proves } from "./log_check.js";

const VERIFIED_AT_ONCE = 25;

export async function check_answer(run, facts, answer) {
  const fetched = answer.phone !== facts.phone?.digest;
  const phone = fetched ? await fetchPhone(run) : facts.phone;
  const enrolled_again = fetched && await run.told(phone);
  const log = { name: `witnessmark/${facts.server}`, key: phone.log_key };
  const kept = answer.answers.filter(({ verdict }) => verdict === "kept").length;
  const verdict = await judge_checkpoint(facts.log, answer.checkpoint, log, kept);
  await run.store.keep_log(facts.log, verdict);
  return { problem: verdict.problem, enrolled_again, alarm: verdict.alarm, size: verdict.log?.size ?? 0 };
}

/**
 * Entries came, or were taken in: the log that everybody is shown must hold them. A server that does not answer is no alarm;
 * the proof stays owed until it has come.
 */
export async function demand_proofs({ store, api }) {
  const { log, proofs_owed } = await store.sync_facts();
  // Another tab may hold a checkpoint that is older than what this one was told.
  const owed = Object.values(proofs_owed).filter(({ size }) => log && size <= log.size);
  for (const proof of new Map(owed.map((one) => [one.id, one])).values()) {
    try {
      if (!(await proved(api, log, proof))) {
        const alarm = { code: "log_rewritten", fields: {} };
        if (!(await store.keep_log(log, { log, alarm, verified: true }))) continue;
      }
    } catch (error) {
      if (error.status === 401 || !(error instanceof Problem || error instanceof ServerProblem)) throw error;
      return error;
    }
    await store.settle_proof(proof);
  }
  return null;
}

async function proved(api, log, proof) {
  try {
    return await proves(log, proof, await api.inclusion(proof.id, log.size));
  } catch (error) {
    if (error.code === "not_found") return false;
    throw error;
  }
}

async function fetchPhone({ store, api }) {
  return store.keep_phone_facts(await api.phone_facts());
}

/** Each text read strictly and its signature verified. In small parts, so that a tap is never kept waiting. */
export async function verify_entries(run, texts) {
  const verified = [];
  for (let at = 0; at < texts.length; at += VERIFIED_AT_ONCE) {
    if (at) await breath();
    const part = texts.slice(at, at + VERIFIED_AT_ONCE);
    await haveKeys(run, part);
    verified.push(...(await Promise.all(part.map((text) => verifyOne(run.store, text)))));
  }
  return verified;
}

/** A key that this phone has never seen was enrolled a moment ago: ask once for all keys. */
async function haveKeys(run, texts) {
  for (const text of texts) {
    const kid = kidOf(text);
    if (!kid || (await run.store.public_key(kid))) continue;
    await run.told(await fetchPhone(run));
    return;
  }
}

function kidOf(text) {
  try {
    return read_jws(text, ENTRY_TYP).kid;
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return null;
  }
}

async function verifyOne(store, text) {
  try {
    const signed = read_jws(text, ENTRY_TYP);
    const entry = await entry_of(signed, text);
    await checkSignature(entry.payload, signed, await store.public_key(entry.kid));
    return entry;
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return { problem: error };
  }
}

async function checkSignature({ author, device }, signed, key) {
  if (!key) throw new Problem("key_unknown");
  if (!(await verify(signed, key.jwk))) throw new Problem("signature_wrong", { name: author.name });
  if (key.person !== author.person || key.device !== device) throw new Problem("key_of_other", { name: author.name });
}

function breath() {
  return globalThis.scheduler?.yield ? scheduler.yield() : new Promise((resolve) => setTimeout(resolve));
}
