/*
 * The phone's memory as plain maps, with the same names and promises as client/device/sync_store.js.
 * `crash()` gives what a phone would find after losing power: all of it, because every change is whole.
 */
import { read_entry } from "../../client/rules/entry.js";
import { signed } from "./signers.js";

export class MemoryStore {
  #head = { sequence: 0, previous: null };
  #arrived = 0;
  #cursor = { epoch: null, after: 0 };
  entries = new Map();
  cards = new Map();
  revisions = new Map();
  photos = new Map();
  keys = new Map();
  log = null;
  alarm = null;
  phone = null;
  owed = {};

  constructor(device, server = "a".repeat(32)) {
    Object.assign(this, { device, server });
  }

  async keep(make) {
    const { sequence, previous } = this.#head;
    const unlocked = { by: "code", at: "2026-11-25T08:00:00Z", use: 1 };
    const checkpoint = this.log && { size: this.log.size, root: this.log.root };
    const payload = await make({ device: this.device, sequence: sequence + 1, previous, checkpoint, unlocked });
    const entry = await read_entry(await signed(this.device, payload));
    this.#head = { sequence: payload.sequence, previous: entry.id };
    this.#put(entry, "unsent");
    for (const { sha256 } of payload.body.photos) {
      const photo = this.photos.get(sha256);
      if (photo.state === "draft") photo.state = "unsent";
    }
    return entry;
  }

  async keepPhoto({ sha256, buffer }) {
    this.photos.set(sha256, { sha256, bytes: buffer.byteLength, state: "draft", received: 0, problem: null, buffer });
  }

  async everyEntry() {
    return [...this.entries.values()];
  }

  async everyPhoto() {
    return [...this.photos.values()];
  }

  async sync_facts() {
    const { server, log, phone } = this;
    return { person: { person: "d".repeat(32) }, cursor: this.#cursor, cards: [...this.cards.keys()], server, log, phone,
      proofs_owed: this.owed };
  }

  async public_key(kid) {
    return this.keys.get(kid);
  }

  async keep_phone_facts(facts) {
    for (const key of facts.keys) this.keys.set(key.kid, key);
    this.phone = facts;
    return facts;
  }

  async keep_log(held, { log, alarm }) {
    if (held !== this.log) return false;
    if (alarm) this.alarm = alarm;
    else this.log = log;
    return true;
  }

  async settle_proof({ id }) {
    this.owed = Object.fromEntries(Object.entries(this.owed).filter(([, proof]) => proof.id !== id));
  }

  async note_sync(at) {
    this.last_sync_at = at;
  }

  async offer_again(code) {
    for (const held of this.entries.values()) {
      if (held.state === "refused" && held.problem.code === code) Object.assign(held, { state: "unsent", problem: null });
    }
  }

  async unsent_batch(most) {
    return this.#inState("unsent").slice(0, most).map(({ id, text }) => ({ id, text }));
  }

  async apply_change(change) {
    const cursor = this.#cursor;
    if (cursor.epoch !== change.asked_epoch) return { applied: false, held: {} };
    if (change.reopen) this.#reopen();
    if (change.proofs) this.owed = { ...(change.reopen ? {} : this.owed), ...change.proofs };
    for (const card of change.cards) this.cards.set(card.card, card);
    for (const entry of change.entries) {
      if (this.entries.has(entry.id)) Object.assign(this.entries.get(entry.id), { state: "sent", problem: null });
      else this.#put(entry, "sent");
    }
    for (const { id, state, problem } of change.marks) {
      if (this.entries.has(id)) Object.assign(this.entries.get(id), { state, problem });
    }
    if (change.cursor && (change.cursor.epoch !== cursor.epoch || change.cursor.after > cursor.after)) {
      this.#cursor = change.cursor;
    }
    return { applied: true, held: Object.fromEntries(change.compare.map((card) => [card, this.#sent(card)])) };
  }

  async sent_ids(card) {
    return this.#sent(card);
  }

  async lacking_templates() {
    return [...new Set([...this.cards.values()].map(({ revision }) => revision))].filter((r) => !this.revisions.has(r));
  }

  async lacking_codes() {
    return [];
  }

  async keep_template(revision, text) {
    this.revisions.set(revision, text);
  }

  async unsent_photos() {
    return [...this.photos.values()].filter(({ state }) => state === "unsent");
  }

  async photo_bytes(sha256) {
    return this.photos.get(sha256)?.buffer;
  }

  async mark_photo(sha256, change) {
    Object.assign(this.photos.get(sha256), change);
  }

  async unsent_facts() {
    const unsent = this.#inState("unsent");
    return { unsent: unsent.length, oldest_unsent_at: unsent[0]?.made_at ?? null, refused: this.#inState("refused").length,
      photos_unsent: (await this.unsent_photos()).length, photos_bytes_left: 0 };
  }

  #put({ id, text, payload }, state) {
    this.#arrived += 1;
    this.entries.set(id, { id, text, card: payload.card, state, problem: null, made_at: payload.claimed_at,
      arrived: this.#arrived });
  }

  #reopen() {
    for (const held of [...this.entries.values(), ...this.photos.values()]) {
      if (held.state === "sent" || held.state === "refused") Object.assign(held, { state: "unsent", problem: null });
    }
  }

  #inState(state) {
    return [...this.entries.values()].filter((held) => held.state === state).sort((a, b) => a.arrived - b.arrived);
  }

  #sent(card) {
    return this.#inState("sent").filter((held) => held.card === card).map(({ id }) => id);
  }
}
