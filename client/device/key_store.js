/*
 * The wrapped keys of this phone's people, and how many wrong codes each has seen. Store `keys`: under a person's id the
 * key in use, under `<id> new` one that the server has not confirmed yet.
 *
 *   record {person, name, facts, kid, jwk, guard, iterations, salt, iv, outer_iv, wrapped, outer, credential, prf_salt,
 *           state: "living"|"erased"|"gone", tries, enrolment}
 *   await key_of(person) -> record | undefined        await all_keys() -> [record] in use
 *   await put_new_key(record)  await new_key_of(person)  await adopt_key(person, kid)  await drop_new_key(person)
 *   await count_try(record) -> tries, this one included; kept on disk before the code is tried
 *   await forget_tries(record)      await erase_key(person, "erased" | "gone")
 */
import { in_transaction } from "./database.js";

const NEW = " new";

export function key_of(person) {
  return in_transaction(["keys"], "readonly", (tx) => tx.objectStore("keys").get(person));
}

export function new_key_of(person) {
  return key_of(person + NEW);
}

export async function all_keys() {
  const held = await in_transaction(["keys"], "readonly", async (tx) => {
    const keys = tx.objectStore("keys");
    const [names, records] = [await keys.getAllKeys(), await keys.getAll()];
    return records.filter((_, at) => !names[at].endsWith(NEW));
  });
  return held;
}

export async function put_new_key(record) {
  await in_transaction(["keys"], "readwrite", (tx) => tx.objectStore("keys").put(record, record.person + NEW));
}

export async function drop_new_key(person) {
  await in_transaction(["keys"], "readwrite", (tx) => tx.objectStore("keys").delete(person + NEW));
}

/** The new key, if it is the one called `kid`, takes the place of the one before. Whether it did. */
export function adopt_key(person, kid) {
  return in_transaction(["keys"], "readwrite", async (tx) => {
    const keys = tx.objectStore("keys");
    const fresh = await keys.get(person + NEW);
    if (fresh?.kid !== kid) return false;
    keys.put(fresh, person);
    await keys.delete(person + NEW);
    return true;
  });
}

/* Two counters, because each of the two stores can be put back alone: the larger one counts. */
export async function count_try({ person, kid }) {
  const beside = triesBeside(kid);
  const tries = await in_transaction(["keys"], "readwrite", async (tx) => {
    const held = await tx.objectStore("keys").get(person);
    if (held?.kid !== kid) return null;
    const counted = Math.max(held.tries, beside) + 1;
    tx.objectStore("keys").put({ ...held, tries: counted }, person);
    return counted;
  });
  if (tries !== null) writeBeside(kid, tries);
  return tries;
}

export async function forget_tries({ person, kid }) {
  await change(person, (held) => (held.kid === kid ? { ...held, tries: 0 } : held));
  writeBeside(kid, 0);
}

/** What could open the key is gone for good; that there was one, and why it went, stays. */
export async function erase_key(person, state) {
  await change(person, (held) => ({ person, name: held.name, kid: held.kid, guard: held.guard,
    iterations: held.iterations, tries: held.tries, state }));
}

function change(person, changed) {
  return in_transaction(["keys"], "readwrite", async (tx) => {
    const held = await tx.objectStore("keys").get(person);
    if (held) tx.objectStore("keys").put(changed(held), person);
  });
}

function triesBeside(kid) {
  return Number(beside(() => localStorage.getItem(place(kid)))) || 0;
}

function writeBeside(kid, tries) {
  beside(() => (tries ? localStorage.setItem(place(kid), String(tries)) : localStorage.removeItem(place(kid))));
}

/** Without localStorage (a full or forbidding browser) the count in the database still stands. */
function beside(work) {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
    return null;
  }
}

function place(kid) {
  return `witnessmark-tries-${kid}`;
}
