/*
 * A phone's own syncer in Node, told by lines of JSON what to do: three entries and a photo, synced until agreed.
 *
 * First line {address, cookie, device, server, person, card}: the person sets up signing on this phone, then
 * {number, photo: base64}, each answered by a line {made: ids, sha256, attempts, agreed, trouble: [codes], alarm, digest,
 * held}. The memory is tests/device/memory_store.js, the keys are those of tests/device/signers.js.
 */
import { createInterface } from "node:readline";
import * as api from "../../client/device/api.js";
import { sha256_hex } from "../../client/device/hash.js";
import { Syncer } from "../../client/device/syncer.js";
import { make_entry, set_digest } from "../../client/rules/entry.js";
import { MemoryStore } from "../device/memory_store.js";
import { enrolment_of } from "../device/signers.js";

const MOST_ATTEMPTS = 6;
const lines = createInterface({ input: process.stdin })[Symbol.asyncIterator]();
const { address, cookie, device, server, person, card } = JSON.parse((await lines.next()).value);
const store = new MemoryStore(device, server);
const fetch_anywhere = globalThis.fetch;
// What a browser adds by itself: whole address, cookie, and where the request comes from.
globalThis.fetch = (path, options) => fetch_anywhere(address + path,
  { ...options, headers: { ...options.headers, Cookie: cookie, "Sec-Fetch-Site": "same-origin" } });

function keep(item, note, photos = []) {
  return store.keep((chain) => make_entry({ ...chain, kind: "result", item, supersedes: [], server, card: card.card,
    revision: card.revision, aircraft: card.aircraft, claimed_at: "2026-11-25T08:00:00Z",
    author: { person: person.person, name: person.name, certificate: person.certificate },
    body: { result: "pass", readings: {}, note, photos, discrepancy: null } }));
}

async function sync_until_agreed() {
  const syncer = new Syncer({ store, api });
  const trouble = [];
  for (let attempts = 1; ; attempts += 1) {
    const { state, unsent, photos_unsent, problem } = await syncer.now();
    if (problem) trouble.push(problem.code);
    const agreed = state === "idle" && !problem && !unsent && !photos_unsent;
    if (agreed || attempts === MOST_ATTEMPTS) return { attempts, trouble, agreed };
  }
}

async function job({ number, photo }) {
  const bytes = Uint8Array.from(Buffer.from(photo, "base64"));
  const sha256 = await sha256_hex(bytes);
  await store.keepPhoto({ sha256, type: "image/jpeg", buffer: bytes.buffer });
  const picture = { sha256, bytes: bytes.length, type: "image/jpeg", caption: "" };
  const made = [await keep("surface", `Job ${number}.`), await keep("grip", `Job ${number}.`),
    await keep("boom", `Job ${number}.`, [picture])];
  const synced = await sync_until_agreed();
  const held = await store.sent_ids(card.card);
  return { made: made.map(({ id }) => id), sha256, ...synced, alarm: store.alarm, digest: await set_digest(held),
    held: held.length };
}

const say = (words) => process.stdout.write(`${JSON.stringify(words)}\n`);
await api.enrol_key(await enrolment_of(device, person.person, server));
say(await sync_until_agreed());
for await (const line of lines) say(await job(JSON.parse(line)));
