/*
 * Signing keys of the people who share this phone. The exports are described in README.md beside this file.
 *
 * A private key leaves this phone never, and is in the clear only while it is made or opened. Without the code (or the
 * phone's own unlock) the wrapped key is useless elsewhere; ten wrong codes erase it here.
 */
import { canonical_text } from "../rules/canonical.js";
import { Problem } from "../rules/problems.js";
import { ENROLMENT_TYP, VOUCH_TYP, read_jws, thumbprint, verify } from "../rules/signature.js";
import { VOUCH_STATEMENT, check_vouch } from "../rules/vouch.js";
import { enrol_key } from "./api.js";
import { forgetConnection } from "./database.js";
import { end_key, send_vouch } from "./desk_api.js";
import { read_fact, write_facts } from "./drafts.js";
import { device_id } from "./entries.js";
import { adopt_key, all_keys, count_try, drop_new_key, erase_key, forget_tries, key_of, new_key_of, put_new_key }
  from "./key_store.js";
import { can_keep_keys } from "./key_trial.js";
import { new_guard, new_pair, open_inner, open_outer, seal } from "./key_wrap.js";
import { ask_passkey, make_passkey } from "./passkey.js";
import { check_code } from "./signing_code.js";
import { for_one_signature, keys_events, lock, open_key, sign_as, sign_with, unlocked, unlocked_facts } from "./unlocked.js";

export { can_keep_keys } from "./key_trial.js";
export { passkey_possible } from "./passkey.js";
export { check_code } from "./signing_code.js";
export { keys_events, lock, sign, unlocked, unlocked_facts } from "./unlocked.js";

const MOST_TRIES = 10;

export async function enrolled() {
  const living = (await all_keys()).filter(({ state }) => state === "living");
  return living.map(({ person, name, kid, guard, iterations }) => ({ person, name, kid, guard, iterations }));
}

/** The person facts with which `person` set up signing here; what the server told later is in the phone's facts. */
export async function facts_at_enrolment(person) {
  return (await key_of(person))?.facts ?? null;
}

/** Make, keep, prove and register a key for the person signed in; it is open afterwards. Returns {kid, vouch_needed}. */
export async function enrol({ guard, code }, label) {
  const weak = guard === "code" ? check_code(code) : null;
  if (weak) throw weak;
  const trouble = await can_keep_keys();
  if (trouble) throw trouble;
  const { person: facts, server, device } = await holder();
  const passkey = guard === "passkey" ? await make_passkey(facts) : { credential: null, prf_salt: null };
  const secret = guard === "passkey" ? { prf: await ask_passkey(passkey) } : { code };
  const kid = await keepNew({ guard, secret, passkey, facts });
  let told;
  try {
    const key = await openedAgain(facts.person, secret);
    const claim = { v: 1, server, person: facts.person, device, guard, claimed_at: now() };
    const { jwk } = await new_key_of(facts.person);
    const proof = await sign_with({ kid, key }, ENROLMENT_TYP, canonical_text(claim));
    if (!(await verify(read_jws(proof, ENROLMENT_TYP), jwk))) throw notKept("a test signature does not verify");
    const enrolment = { jwk, guard, label, proof };
    await put_new_key({ ...(await new_key_of(facts.person)), enrolment });
    told = await enrol_key(enrolment);
    await adopt_key(facts.person, kid);
    open_key({ person: facts.person, kid, by: guard, key });
  } catch (error) {
    await dropUnlessRegistered(facts.person, error);
    throw error;
  }
  return { kid, vouch_needed: told.vouch_needed };
}

async function holder() {
  const [person, server] = [await read_fact("person"), await read_fact("server")];
  if (!person || !server) throw new Problem("signed_in_nobody");
  return { person, server: server.server, device: await device_id() };
}

async function keepNew({ guard, secret, passkey, facts }) {
  const { pkcs8, jwk } = await new_pair();
  const kid = await thumbprint(jwk);
  const bound = { person: facts.person, kid, guard, ...(await new_guard(guard, secret)) };
  const sealed = await seal(pkcs8, secret, bound);
  new Uint8Array(pkcs8).fill(0);
  await put_new_key({ ...sealed, ...passkey, name: facts.name, facts, jwk, state: "living", tries: 0, enrolment: null });
  return kid;
}

/** What was kept, read back through a new connection and opened from nothing but that and the secret. */
async function openedAgain(person, secret) {
  await forgetConnection();
  const record = await new_key_of(person);
  if (!record) throw notKept("what it was given to keep is not there");
  const key = await open_inner(record, await open_outer(record), secret);
  if (!key) throw notKept("what it keeps does not open again");
  return key;
}

/* When the answer got lost the server may know the key already: the phone's facts will tell (see settle_keys). */
async function dropUnlessRegistered(person, error) {
  if (error.code !== "server_unreachable") await drop_new_key(person);
}

export async function unlock(person, given) {
  open_key(await opened(person, given));
}

export async function with_fresh_code(person, given, work) {
  return for_one_signature(await opened(person, given), work);
}

/** `by` vouches, with a code given for this alone, that the key `kid` is that of `person`. Throws as unlock, and what the server says. */
export async function vouch(by, given, { kid, person }) {
  const { server, device } = await holder();
  const proof = await with_fresh_code(by, given, () => {
    const said = { v: 1, server, kid, person, by, device, statement: VOUCH_STATEMENT, claimed_at: now(), unlocked: unlocked_facts(by) };
    check_vouch(said);
    return sign_as(by, VOUCH_TYP, canonical_text(said));
  });
  await send_vouch(kid, proof);
}

async function opened(person, { code, passkey }) {
  const record = await key_of(person);
  refuseUnlessLiving(record, person, await read_fact("person"));
  if (passkey && record.guard !== "passkey") throw new Problem("passkey_failed");
  const inner = await open_outer(record);
  const by = passkey ? { prf: await ask_passkey(record) } : { code: code ?? "" };
  if (!passkey) await refuseSpent(record);
  const key = record.guard === (passkey ? "passkey" : "code") ? await open_inner(record, inner, by) : null;
  if (key) {
    if (!passkey) await forget_tries(record);
    return { person, kid: record.kid, by: record.guard, key };
  }
  if (passkey) throw new Problem("passkey_failed");
  throw await countedWrong(record);
}

function refuseUnlessLiving(record, person, holder) {
  const name = record?.name ?? (holder?.person === person ? holder.name : "this person");
  if (!record) throw new Problem("key_none", { name });
  if (record.state === "erased") throw new Problem("code_erased");
  if (record.state === "gone") throw new Problem("key_gone", { name });
}

/** Count this try before it is made: an app killed in the middle of a guess has guessed. */
async function refuseSpent(record) {
  const tries = await count_try(record);
  if (tries === null) throw new Problem("key_locked");
  record.tries = tries;
  if (tries > MOST_TRIES) throw await countedWrong(record);
}

async function countedWrong({ person, tries }) {
  if (tries < MOST_TRIES) return new Problem("code_wrong", { left: MOST_TRIES - tries });
  await erase_key(person, "erased");
  if (unlocked(person)) lock();
  changed();
  return new Problem("code_erased");
}

/** Remove a person's key from this phone, and end it at the shop as far as the server can be reached. */
export async function remove_key(person, why) {
  const record = await key_of(person);
  if (!record) return;
  if (unlocked(person)) lock();
  await erase_key(person, "gone");
  changed();
  await end_key(record.kid, why);
}

/**
 * Bring the keys here in line with what the server told: `living` {person: kid} and `ended` [kid] of this phone.
 * A key whose answer got lost is taken into use, an ended one is erased.
 */
export async function settle_keys(living, ended) {
  for (const [person, kid] of Object.entries(living)) await adopt_key(person, kid);
  for (const { person, kid, state } of await all_keys()) {
    if (state !== "living" || !ended.includes(kid)) continue;
    if (unlocked(person)) lock();
    await erase_key(person, "gone");
  }
  changed();
}

/**
 * A server restored from an older backup has forgotten keys. The enrolment of `person` is offered again when their key
 * is not among the `known` kids; the kid that was offered, or null.
 */
export async function enrol_again(person, known) {
  const record = await key_of(person);
  if (record?.state !== "living" || !record.enrolment || known.includes(record.kid)) return null;
  await enrol_key(record.enrolment);
  return record.kid;
}

function changed() {
  keys_events.dispatchEvent(new CustomEvent("changed", { detail: { person: null } }));
}

function notKept(why) {
  return new Problem("key_not_kept", { why });
}

function now() {
  return `${new Date().toISOString().slice(0, 19)}Z`;
}
