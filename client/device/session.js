/*
 * Who holds this phone. Signing in and handing over need the server; working does not: the phone remembers the person.
 *
 * Usage:
 *   await session.open() -> {person, server} | null      from memory; then session.person, session.server
 *   await session.sign_in(login, password)      await session.hand_over(login, password)      await session.sign_out()
 *   await session.leave_server({ exported: true })       after Problem other_server and an export
 *   session.addEventListener("changed", ({ detail }) => ...)     detail {person, server}, both null when signed out
 * Throws ServerProblem (wrong password ...), Problem server_unreachable | other_server. Nothing here
 * deletes what is unsent, except leave_server.
 */
import { Problem } from "../rules/problems.js";
import { ask } from "./api.js";
import { announce_change, in_transaction } from "./database.js";
import { forget_fact, read_fact, write_facts } from "./drafts.js";
import { device_key, forget_chain } from "./entries.js";
import { unsent_facts } from "./sync_store.js";

const OF_ONE_SERVER = ["entries", "cards", "revisions", "photos", "photo_state", "drafts"];
const FACTS_OF_ONE_SERVER = [
  "head", "cursor", "server", "person", "last_items", "pending_photo", "device", "device_key",
];

class Session extends EventTarget {
  person = null;
  server = null;
  #ending = Promise.resolve();

  async open() {
    const [person, server] = [await read_fact("person"), await read_fact("server")];
    this.person = person ?? null;
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
    await write_facts({ person: answer.person, server: answer.server });
    this.#become(answer.person, answer.server);
    return answer;
  }

  /** Another person takes this phone. Until the server agrees the first one stays; their unsent entries stay anyway. */
  hand_over(login, password) {
    return this.sign_in(login, password);
  }

  /** Sign out here at once, and on the server as soon as it answers. */
  async sign_out() {
    await write_facts({ person: null, sign_out_owed: true });
    this.#become(null, this.server);
    await this.#finishSignOut();
  }

  /** Ask the server who is signed in there, to notice changed roles. Throws as ask does. */
  async refresh() {
    const answer = await ask("GET", "/api/session");
    await write_facts({ person: answer.person });
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
    this.person = person;
    this.server = server;
    this.dispatchEvent(new CustomEvent("changed", { detail: { person, server } }));
  }
}

export const session = new Session();

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
