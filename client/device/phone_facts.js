/*
 * What the shop tells this phone (GET /api/phone), and what this phone remembers of the shop's log.
 *
 *   await phone_facts() -> {digest, people, ended, tools, keys, log_key, lease_days} | null
 *   await keep_phone_facts(answer)         checked, kept with every public key; returns it
 *   await public_key(kid) -> {kid, jwk, person, name, device, enrolled_at, label, ended} | undefined
 *   await check_lease() -> the checkpoint {size, root} held, or null: what the next entry names; throws lease_over
 *   await note_sync(at)                    "2026-11-25T08:00:00.000Z"
 *   await held_log() -> {size, root, note, key} | null          await log_alarm() -> {code, fields, at, seen} | null
 *   await keep_log(held, verdict) -> whether it still applied          see log_check.js
 *   await settle_proof(proof)              a proof of inclusion that is owed no longer; see sync_plan.js
 *   await accept_log()                     the person has asked: what the server shows now is held from here on
 *   await keys_elsewhere(person) -> [{kid, label, enrolled_at}]      living keys on other phones of which they have not said
 *                                          whose they are; [] without a key on this one
 *   await answer_key(kid)                  they have: it is not shown again
 */
import { canonical_text } from "../rules/canonical.js";
import { content_id } from "../rules/entry.js";
import { Problem, sentence } from "../rules/problems.js";
import { check_public_key, thumbprint } from "../rules/signature.js";
import { announce_change, in_transaction } from "./database.js";
import { read_fact, write_facts } from "./drafts.js";

const LEASE_DAYS = 14;
const DAY_MS = 86400000;
const NOT_SIGNED = "the log's key has not signed it. This phone goes on holding what it has seen, and takes no other. Press "
  + "Send now; if this stays, the server is not the one of before";

export async function phone_facts() {
  return (await read_fact("phone_facts")) ?? null;
}

export async function keep_phone_facts(answer) {
  const { digest, ...rest } = answer;
  if ((await content_id(canonical_text(rest))) !== digest) {
    throw new Problem("server_answer_wrong", { detail: "the phone's facts have another digest" });
  }
  for (const { kid, jwk } of rest.keys) {
    check_public_key(jwk);
    if ((await thumbprint(jwk)) !== kid) throw new Problem("server_answer_wrong", { detail: `key ${kid.slice(0, 8)}` });
  }
  await in_transaction(["device", "public_keys"], "readwrite", async (tx) => {
    for (const key of rest.keys) tx.objectStore("public_keys").put(key);
    await tx.objectStore("device").put(answer, "phone_facts");
  });
  announce_change(["*"]);
  return answer;
}

export function public_key(kid) {
  return in_transaction(["public_keys"], "readonly", (tx) => tx.objectStore("public_keys").get(kid));
}

export async function check_lease() {
  const { log, last, days } = await in_transaction(["device"], "readonly", async (tx) => {
    const device = tx.objectStore("device");
    const facts = await device.get("phone_facts");
    return { log: await device.get("log"), last: await device.get("last_sync_at"), days: facts?.lease_days ?? LEASE_DAYS };
  });
  const away = last ? Date.now() - Date.parse(last) : 0;
  if (away > days * DAY_MS) throw new Problem("lease_over", { days: Math.floor(away / DAY_MS) });
  return log ? { size: log.size, root: log.root } : null;
}

export async function note_sync(at) {
  await write_facts({ last_sync_at: at });
}

export async function held_log() {
  return (await read_fact("log")) ?? null;
}

/** With its sentence, for who shows it. */
export async function log_alarm() {
  const alarm = await read_fact("log_alarm");
  return alarm ? { ...alarm, sentence: sentence(alarm.code, alarm.fields) } : null;
}

/**
 * `held` is what was held when the server was asked: another tab may have learned more since, then nothing is kept and the
 * answer is false.
 */
export async function keep_log(held, { log, alarm, verified }) {
  const { applied, told } = await in_transaction(["device"], "readwrite", async (tx) => {
    const device = tx.objectStore("device");
    const [now, before] = [await device.get("log"), await device.get("log_alarm")];
    if ((now?.size ?? 0) !== (held?.size ?? 0) || (now?.root ?? null) !== (held?.root ?? null)) return { applied: false };
    // Only what the log's key has signed can be accepted later.
    const seen = verified ? log : null;
    if (!alarm) {
      await device.put(log, "log");
      // An alarm stays until somebody has asked; what they then accept is what the server shows by then.
      if (before) await device.put({ ...before, seen, verified }, "log_alarm");
      return { applied: true, told: false };
    }
    const at = before?.code === alarm.code ? before.at : new Date().toISOString();
    await device.put({ ...alarm, at, seen, verified }, "log_alarm");
    return { applied: true, told: !before || before.code !== alarm.code };
  });
  if (told) announce_change(["*"]);
  return applied;
}

export async function settle_proof({ id }) {
  await in_transaction(["device"], "readwrite", async (tx) => {
    const device = tx.objectStore("device");
    const owed = Object.entries((await device.get("proofs_owed")) ?? {}).filter(([, proof]) => proof.id !== id);
    await device.put(Object.fromEntries(owed), "proofs_owed");
  });
}

export async function accept_log() {
  await in_transaction(["device"], "readwrite", async (tx) => {
    const device = tx.objectStore("device");
    const alarm = await device.get("log_alarm");
    if (!alarm) return;
    if (!alarm.verified) throw new Problem("note_malformed", { why: NOT_SIGNED });
    const { code, at } = alarm;
    const history = (await device.get("log_history")) ?? [];
    const before = (await device.get("log")) ?? null;
    await device.put([...history, { code, at, before, accepted_at: new Date().toISOString() }], "log_history");
    await device.put(alarm.seen, "log");
    await device.delete("log_alarm");
  });
  announce_change(["*"]);
}

export async function keys_elsewhere(person) {
  const { own, answered, facts, device } = await in_transaction(["device", "keys"], "readonly", async (tx) => {
    const [own, store] = [await tx.objectStore("keys").get(person), tx.objectStore("device")];
    return { own, answered: await store.get("keys_answered"), facts: await store.get("phone_facts"), device: await store.get("device") };
  });
  if (own?.state !== "living") return [];
  return (facts?.keys ?? [])
    .filter((key) => key.person === person && key.device !== device && key.ended === null && !answered?.includes(key.kid))
    .map(({ kid, label, enrolled_at }) => ({ kid, label, enrolled_at }));
}

export async function answer_key(kid) {
  await in_transaction(["device"], "readwrite", async (tx) => {
    const device = tx.objectStore("device");
    await device.put([...new Set([...(await device.get("keys_answered")) ?? [], kid])], "keys_answered");
  });
  announce_change(["*"]);
}
