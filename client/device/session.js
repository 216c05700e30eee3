/*
 * Who holds this phone. Signing in by password needs the server; working and handing over by signing code do not.
 *
 * Usage:
 *   await session.open() -> {person, server} | null      from memory; then session.person, session.server
 *   await session.sign_in(login, password)      await session.hand_over(login, password)      await session.sign_out()
 *   await session.hand_over_to(person, {code} | {passkey: true})
 *   await session.leave_server({ exported: true })       after Problem other_server and an export
 *   session.addEventListener("changed", ({ detail }) => ...)     detail {person, server}, both null when signed out
 * Throws ServerProblem (wrong password ...), Problem server_unreachable | other_server, and what keys.unlock throws.
 * Nothing here deletes what is unsent, except leave_server.
 */
import { canonical_text } from "../rules/canonical.js";
import { Problem } from "../rules/problems.js";
import { SESSION_TYP } from "../rules/signature.js";
import { roles_on } from "../rules/sign_off.js";
import { ServerProblem, ask, session_by_key, session_challenge, speak_for } from "./api.js";
import { announce_change, in_transaction } from "./database.js";
import { forget_fact, read_fact, write_facts } from "./drafts.js";
import { device_id, device_key, forget_chain } from "./entries.js";
import { enrolled, facts_at_enrolment, lock, unlock, unlocked } from "./keys.js";
import { phone_facts } from "./phone_facts.js";
import { unsent_facts } from "./sync_store.js";
import { sign_as } from "./unlocked.js";

const OF_ONE_SERVER = ["entries", "cards", "revisions", "photos", "photo_state", "drafts", "keys", "public_keys"];
const FACTS_OF_ONE_SERVER = [
  "head", "cursor", "server", "person", "last_items", "pending_photo", "device", "device_key", "session_of", "phone_facts",
  "log", "log_alarm", "log_history", "last_sync_at", "proofs_owed", "keys_answered",
];

class Session extends EventTarget {
  person = null;
  server = null;
  #ending = Promise.resolve();

  async open() {
    const [person, server] = [await read_fact("person"), await read_fact("server")];
    this.person = today(person ?? null);
    speak_for(this.person?.person ?? null);
    this.server = server ?? null;
    addEventListener("online", () => this.#finishSignOut());
    // Not waited for: a phone must start although the server is silent.
    this.#finishSignOut();
    return this.person && { person: this.person, server: this.server };
  }

  async sign_in(login, password) {
    // The answer to an older sign-out would take the new session's cookie away.
    await this.#ending;
    const answer = await ask("POST", "/api/session", { json: { login, password, device_key: await device_key() } });
    await this.#refuseOtherServer(answer.server);
    await forget_fact("sign_out_owed");
    await write_facts({ person: answer.person, server: answer.server, session_of: answer.person.person });
    this.#become(answer.person, answer.server);
    return answer;
  }

  /** Another person takes this phone. Until the server agrees the first one stays; their unsent entries stay anyway. */
  hand_over(login, password) {
    return this.sign_in(login, password);
  }

  /**
   * Another person takes this phone by the key they have on it, with or without a network. The server's session follows
   * at once where it can be reached, else at a sync while their key is open.
   */
  async hand_over_to(person, given) {
    await unlock(person, given);
    const told = (await phone_facts())?.people.find((one) => one.person === person);
    const facts = told ?? (await facts_at_enrolment(person));
    await write_facts({ person: facts });
    this.#become(facts, this.server);
    try {
      await this.follow();
    } catch (error) {
      if (!error.sentence) throw error;
    }
    return { person: this.person, server: this.server };
  }

  /**
   * See to it that the server's session is that of the person who holds this phone, by their key.
   * Throws Problem session_of_other while that key is locked, and what the server says.
   */
  async follow() {
    const of = await read_fact("session_of");
    // Before phones had keys nobody noted whose session it is.
    if (!this.person || of === undefined || of === this.person.person) return;
    if (await this.#followByKey()) return;
    if (of !== null) throw new Problem("session_of_other");
  }

  /** The server knows this session no longer. Whether the key of who holds this phone has begun another one. */
  async renew() {
    if (!this.person) return false;
    await write_facts({ session_of: null });
    try {
      return await this.#followByKey();
    } catch (error) {
      if (!(error instanceof ServerProblem) || error.status >= 500) throw error;
      return false;
    }
  }

  async #followByKey() {
    const { person } = this.person;
    if (!unlocked(person)) return false;
    await this.#ending;
    const { kid } = (await enrolled()).find((one) => one.person === person);
    const nonce = await session_challenge(kid);
    const { server } = await read_fact("server");
    const said = { v: 1, server, device: await device_id(), person, nonce };
    const answer = await session_by_key(await sign_as(person, SESSION_TYP, canonical_text(said)));
    await forget_fact("sign_out_owed");
    await write_facts({ person: answer.person, session_of: person });
    this.#become(answer.person, answer.server ?? this.server);
    return true;
  }

  /** The shop has told this phone anew who may do what. */
  async notice(people) {
    const told = people.find(({ person }) => person === this.person?.person);
    if (!told) return;
    const { kid: _, ...facts } = told;
    // Nothing new must not take a page from under somebody's hands.
    if (canonical_text(today(facts)) === canonical_text(this.person)) return;
    await write_facts({ person: facts });
    this.#become(facts, this.server);
  }

  /** Sign out here at once, and on the server as soon as it answers. */
  async sign_out() {
    await write_facts({ person: null, session_of: null, sign_out_owed: true });
    this.#become(null, this.server);
    await this.#finishSignOut();
  }

  /** Ask the server who is signed in there, to notice changed roles. Throws as ask does. */
  async refresh() {
    const answer = await ask("GET", "/api/session");
    await write_facts({ person: answer.person, session_of: answer.person.person });
    this.#become(answer.person, answer.server);
    return answer;
  }

  /** Forget all that belongs to another server. With unsent entries only after they were exported. */
  async leave_server({ exported = false } = {}) {
    const { unsent, refused } = await unsent_facts();
    if (!exported && unsent + refused) throw new Problem("other_server", { count: unsent + refused });
    await in_transaction([...OF_ONE_SERVER, "device"], "readwrite", async (tx) => {
      for (const name of OF_ONE_SERVER) tx.objectStore(name).clear();
      for (const name of FACTS_OF_ONE_SERVER) tx.objectStore("device").delete(name);
    });
    forget_chain();
    this.#become(null, null);
    announce_change(["*"]);
  }

  async #refuseOtherServer({ server }) {
    const held = await read_fact("server");
    if (!held || held.server === server) return;
    try {
      await this.leave_server();
    } catch (error) {
      // With this session the syncer would offer one shop's entries to the other.
      await endOnServer();
      throw error;
    }
  }

  #finishSignOut() {
    this.#ending = this.#ending.then(async () => {
      if (!(await read_fact("sign_out_owed"))) return;
      if (await endOnServer()) await forget_fact("sign_out_owed");
    });
    return this.#ending;
  }

  #become(person, server) {
    const other = person?.person !== this.person?.person;
    if (other && !(person && unlocked(person.person))) lock();
    this.person = today(person);
    this.server = server;
    speak_for(person?.person ?? null);
    this.dispatchEvent(new CustomEvent("changed", { detail: { person: this.person, server } }));
  }
}

export const session = new Session();

/** A phone that is offline for days knows by itself which authorities have begun or ended. */
function today(person) {
  if (!person?.authorities) return person;
  return { ...person, roles: roles_on(person.authorities, new Date().toISOString().slice(0, 10)) };
}

/** End the session on the server; whether it is ended there. Throws only what is a fault of ours. */
async function endOnServer() {
  try {
    await ask("DELETE", "/api/session");
    return true;
  } catch (error) {
    if (!error.sentence) throw error;
    return error.status === 401;
  }
}
