/*
 * A server in a hundred lines that keeps the agreed protocol, and a link to it that loses, repeats and replays.
 * The oracle of simulation.js: sets of ids, no clever step. Written from the protocol, not from the real server.
 */
import { canonical_text } from "../../client/rules/canonical.js";
import { Problem } from "../../client/rules/problems.js";
import { content_id, read_entry, set_digest } from "../../client/rules/entry.js";
import { sha256_hex } from "../../client/device/hash.js";
import { ServerProblem } from "../../client/device/api.js";
import { ModelLog, consistency, path, root } from "./model_log.js";
import { published } from "./signers.js";

export const CALLS = ["sync", "reconcile", "photos_lacking", "put_photo", "revision_text", "local_code_text", "phone_facts",
  "inclusion"];

export class ModelServer {
  epoch = "epoch-1";
  signing = new ModelLog(`witnessmark/${"a".repeat(32)}`);
  leaves = [];
  log = [];
  entries = new Map();
  photos = new Map();
  templates = new Map();
  page = 4;

  /** What a backup made now would hold. */
  backup() {
    return { leaves: [...this.leaves], log: [...this.log], entries: new Map(this.entries), photos: new Map(this.photos) };
  }

  restore(backup, epoch) {
    Object.assign(this, { leaves: [...backup.leaves ?? []], log: [...backup.log], entries: new Map(backup.entries),
      photos: new Map(backup.photos), epoch });
  }

  /** A disk loses one entry and nobody notices: same epoch, and its number may be given again. */
  loseEntry(chance) {
    const lost = this.log.filter(({ kind }) => kind === "entry").at(Math.floor(-chance * 3));
    if (!lost) return;
    this.log = this.log.filter((change) => change !== lost);
    const id = [...this.entries].find(([, held]) => held.text === lost.text)[0];
    this.entries.delete(id);
    this.leaves = this.leaves.filter((leaf) => !leaf.includes(id));
  }

  get #sequence() {
    return this.log.at(-1)?.sequence ?? 0;
  }

  addCard(card) {
    this.log.push({ sequence: this.#sequence + 1, kind: "card", card });
    this.leaves.push(card.card);
  }

  async phone_facts() {
    const facts = { people: [], ended: [], tools: [], keys: await published(), log_key: await this.signing.public_key(),
      lease_days: 14 };
    return { digest: await content_id(canonical_text(facts)), ...facts };
  }

  async sync({ epoch, after, entries, check, size }) {
    const answers = [];
    const touched = new Set(check);
    for (const text of entries) answers.push(await this.take(text, touched));
    const from = epoch === this.epoch ? after : 0;
    const [news, sequence] = [this.log.filter((change) => change.sequence > from), this.#sequence];
    const page = news.slice(0, this.page);
    for (const change of page) touched.add(change.card?.card ?? (await read_entry(change.text)).payload.card);
    const digests = {};
    for (const card of touched) digests[card] = await set_digest(this.idsOf(card));
    // One look at the leaves: a second copy of a request may add some meanwhile.
    const [leaves, phone] = [[...this.leaves], await this.phone_facts()];
    const checkpoint = { note: await this.signing.note(leaves), proof: await consistency(size, leaves) };
    return structuredClone({ epoch: this.epoch, sequence,
      more: news.length > page.length, answers, news: page, digests, checkpoint, phone: phone.digest });
  }

  async take(text, touched) {
    const { id, payload } = await read_entry(text);
    if (this.entries.has(id)) return { id, verdict: "already_here", problem: null };
    if (payload.body.note === "refuse this") {
      return { id, verdict: "refused", problem: { code: "not_allowed", sentence: "The key was revoked.", fields: {} } };
    }
    const leaf = await leafOf(id, text);
    // Node and browsers hash on other threads: a second copy of the same request may have been faster.
    if (!this.entries.has(id)) {
      this.log.push({ sequence: this.#sequence + 1, kind: "entry", text });
      this.leaves.push(leaf);
    }
    this.entries.set(id, { card: payload.card, text });
    touched.add(payload.card);
    return { id, verdict: "kept", problem: null };
  }

  async inclusion(id, size) {
    const leaves = this.leaves.slice(0, size);
    const at = leaves.findIndex((leaf) => leaf.includes(id));
    if (size > this.leaves.length || at < 0) {
      throw new ServerProblem(404, { code: "not_found", sentence: "There is no entry here by that name.", fields: {} });
    }
    return { number: at + 1, leaf: leaves[at], size, root: await root(leaves), proof: await path(at, leaves) };
  }

  idsOf(card) {
    return [...this.entries].filter(([, held]) => held.card === card).map(([id]) => id);
  }

  async reconcile(card, ids) {
    const held = this.idsOf(card);
    const texts = this.log.filter(({ kind }) => kind === "entry");
    const read = await Promise.all(texts.map(({ text }) => read_entry(text)));
    return { lack: ids.filter((id) => !held.includes(id)),
      entries: read.filter(({ id, payload }) => payload.card === card && !ids.includes(id)).map(({ text }) => text) };
  }

  async photos_lacking(asked) {
    const lack = asked.filter((sha256) => !this.photos.get(sha256)?.complete);
    return { lack: lack.map((sha256) => ({ sha256, received: this.photos.get(sha256)?.bytes.length ?? 0 })) };
  }

  async put_photo(sha256, offset, total, chunk) {
    const held = this.photos.get(sha256) ?? { bytes: [], complete: false };
    if (held.complete) return { received: total, complete: true };
    if (offset !== held.bytes.length) {
      throw new ServerProblem(409, { code: "wrong_offset", sentence: "Go on from there.",
        fields: { received: held.bytes.length } });
    }
    const bytes = [...held.bytes, ...new Uint8Array(chunk)];
    const complete = bytes.length === total;
    if (complete && (await sha256_hex(new Uint8Array(bytes))) !== sha256) {
      this.photos.delete(sha256);
      throw new ServerProblem(422, { code: "photo_hash", sentence: "The photo changed on its way.", fields: {} });
    }
    this.photos.set(sha256, { bytes, complete });
    return { received: bytes.length, complete };
  }

  async local_code_text(revision) {
    return this.revision_text(revision);
  }

  async revision_text(revision) {
    const text = this.templates.get(revision);
    if (!text) throw new ServerProblem(404, { code: "unknown", sentence: `No template ${revision}.`, fields: {} });
    return text;
  }
}

async function leafOf(id, text) {
  return canonical_text({ kind: "entry", at: "2026-11-25T08:00:00Z", id, signed: await content_id(text) });
}

/** The same server behind a link that loses requests, loses answers, sends twice and replays an old request. */
export function broken_link(server, random, rate) {
  const past = [];
  const call = (name) => async (...given) => {
    const bytesKept = given.map((value) => (value instanceof ArrayBuffer ? value.slice(0) : structuredClone(value)));
    const chance = random();
    if (chance < rate) throw new Problem("server_unreachable");
    past.push([name, bytesKept]);
    if (chance < rate * 1.5) await replay(server, past[Math.floor(random() * past.length)]);
    if (chance < rate * 2) await replay(server, [name, bytesKept]);
    const answer = await server[name](...given);
    if (chance < rate * 3) throw new Problem("server_unreachable");
    return answer;
  };
  return Object.fromEntries(CALLS.map((name) => [name, call(name)]));
}

async function replay(server, [name, given]) {
  try {
    await server[name](...given);
  } catch (error) {
    if (!(error instanceof ServerProblem)) throw error;
  }
}
