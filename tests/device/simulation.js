/*
 * A day in the hangar from one seed: phones record and photograph, links break, the server is restored from a backup.
 * At the end the link is whole, everybody syncs, and nothing may be missing anywhere; and no phone has been shown a log
 * that does not continue what it had seen without raising the alarm.
 *
 * Usage: await simulate(seed, phones) -> the trace of what happened; throws Error at the first broken promise.
 *   phones: [{name, store, keep(make), keepPhoto(photo), everyEntry(), everyPhoto(), alarm()}]
 */
import { Syncer } from "../../client/device/syncer.js";
import { sha256_hex } from "../../client/device/hash.js";
import { content_id, make_entry, set_digest } from "../../client/rules/entry.js";
import { root } from "./model_log.js";
import { broken_link, ModelServer } from "./model_server.js";

const STEPS = 40;
const TEMPLATE = '{"card":"mast"}';
const CARDS = ["1", "2", "3"].map((digit) => digit.repeat(32));

export async function simulate(seed, phones) {
  const random = seeded(seed);
  const server = new ModelServer();
  const day = { random, server, phones, kept: new Set(), refused: new Set(), pictures: new Map(), backups: [], trace: [],
    rate: random() * 0.25 };
  day.revision = await content_id(TEMPLATE);
  server.templates.set(day.revision, TEMPLATE);
  for (const card of CARDS) server.addCard({ card, revision: day.revision });
  for (const phone of phones) {
    phone.syncer = new Syncer({ store: phone.store, api: broken_link(server, random, day.rate), random });
  }
  for (let step = 0; step < STEPS; step += 1) await liveOneStep(day, step);
  await settle(day);
  await checkPromises(day);
  return day.trace;
}

async function liveOneStep(day, step) {
  const phone = pick(day.random, day.phones);
  const chance = day.random();
  if (chance < 0.55) await record(day, phone, step);
  else if (chance < 0.92) await sync(day, phone);
  else if (chance < 0.94) lose(day);
  else if (chance < 0.97) day.backups.push(day.server.backup());
  else if (day.backups.length) {
    day.server.restore(pick(day.random, day.backups), `epoch-${step + 2}`);
    day.trace.push("restored");
  }
}

function lose(day) {
  day.server.loseEntry(day.random());
  day.trace.push("lost one");
}

async function record(day, phone, step) {
  const photos = day.random() < 0.2 ? [await photograph(day, phone)] : [];
  const refuse = day.random() < 0.08;
  const entry = await phone.keep((chain) => make_entry({ ...facts(day, step), ...chain,
    body: { result: "pass", readings: {}, note: refuse ? "refuse this" : `step ${step}`, photos, discrepancy: null } }));
  (refuse ? day.refused : day.kept).add(entry.id);
  day.trace.push(`${phone.name} kept ${entry.id}`);
}

async function photograph(day, phone) {
  const bytes = new Uint8Array(60000 + Math.floor(day.random() * 150000)).map(() => Math.floor(day.random() * 256));
  const sha256 = await sha256_hex(bytes);
  await phone.keepPhoto({ sha256, type: "image/jpeg", buffer: bytes.buffer });
  day.pictures.set(sha256, bytes.length);
  return { sha256, bytes: bytes.length, type: "image/jpeg", caption: "" };
}

async function sync(day, phone) {
  const { state, unsent } = await phone.syncer.now();
  day.trace.push(`${phone.name} ${state} ${unsent}`);
}

async function settle(day) {
  for (const phone of day.phones) {
    phone.syncer = new Syncer({ store: phone.store, api: broken_link(day.server, day.random, 0), random: day.random });
  }
  // Twice round: what the last phone brings, the first must fetch.
  for (const phone of [...day.phones, ...day.phones]) await sync(day, phone);
}

async function checkPromises({ server, phones, kept, refused, pictures, trace }) {
  const expected = [...kept].sort();
  same("the server holds every kept entry", [...server.entries.keys()].sort(), expected);
  for (const phone of phones) {
    const { state, problem } = phone.syncer.status;
    same(`${phone.name} ends idle, without trouble`, [state, problem && problem.message], ["idle", null]);
    same(`${phone.name} has the template`, await phone.store.lacking_templates(), []);
    const held = await phone.everyEntry();
    same(`${phone.name} holds every kept entry once`, ids(held, "sent"), expected);
    same(`${phone.name} has nothing left to send`, ids(held, "unsent"), []);
    const own = ids(held, "refused");
    same(`${phone.name} marks only refused entries`, own.filter((id) => !refused.has(id)), []);
    same(`${phone.name} says why`, held.filter(({ state, problem }) => state === "refused" && !problem?.sentence), []);
    same(`${phone.name} has sent its photos`, (await phone.everyPhoto()).filter(({ state }) => state === "unsent"), []);
  }
  const heldRefused = (await Promise.all(phones.map((phone) => phone.everyEntry()))).flat();
  same("no refused entry is lost", ids(heldRefused, "refused"), [...refused].sort());
  for (const phone of phones) await checkLog(phone, server, trace);
  const complete = [...server.photos].filter(([, photo]) => photo.complete).map(([sha256]) => sha256);
  same("the server holds every photo", complete.sort(), [...pictures.keys()].sort());
  trace.push(await set_digest(expected));
}

/** What the phone holds of the log is the beginning of the server's, or it has raised the alarm. */
async function checkLog(phone, server, trace) {
  const { log, proofs_owed } = await phone.store.sync_facts();
  const alarm = await phone.alarm();
  const continued = log.size <= server.leaves.length && log.root === await root(server.leaves.slice(0, log.size));
  if (!alarm) same(`${phone.name} has every proof`, proofs_owed, {});
  if (!continued) same(`${phone.name} raises the alarm`, Boolean(alarm), true);
  if (!trace.some((word) => word === "restored" || word === "lost one")) same(`${phone.name} raises none`, alarm, null);
  if (alarm) trace.push(`${phone.name} alarm ${alarm.code}`);
}

function facts(day, step) {
  return { kind: "result", server: "a".repeat(32), card: pick(day.random, CARDS), revision: day.revision,
    aircraft: { registration: "N0417W", serial_number: "0042" }, item: "tube_surface", supersedes: [],
    author: { person: "d".repeat(32), name: "Ann", certificate: { kind: "mechanic", number: "1" } },
    // No clock decides anything: these jump by years.
    claimed_at: `20${10 + Math.floor(day.random() * 80)}-11-25T08:00:${String(step).padStart(2, "0")}Z` };
}

function ids(held, state) {
  return held.filter((entry) => entry.state === state).map(({ id }) => id).sort();
}

function same(promise, found, expected) {
  const [a, b] = [JSON.stringify(found), JSON.stringify(expected)];
  if (a !== b) throw new Error(`${promise}: found ${a}, expected ${b}`);
}

function pick(random, list) {
  return list[Math.floor(random() * list.length)];
}

/** Numbers in 0..1 from a seed (mulberry32, public domain; from memory). */
export function seeded(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}
