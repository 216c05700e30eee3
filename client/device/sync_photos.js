/*
 * Photos to the server: by hash, only what it lacks, in chunks from the offset it has, two at a time.
 *
 * Usage: await send_photos(store, api, {pace, skip, tell}) -> [Problem | ServerProblem of single photos]
 *   pace   {chunk, lanes}, kept by the caller; smaller after a broken link so that less is sent twice
 *   skip   Set of hashes the server refused since this page was opened; grows
 *   tell({done, total})   bytes
 * Throws server_unreachable, and ServerProblem for 401, 429 and 5xx; what has arrived stays arrived.
 */
import { Problem } from "../rules/problems.js";
import { ServerProblem } from "./api.js";

const ASKED_AT_ONCE = 500;
const MOST_WRONG_OFFSETS = 5;

export const FAST = { chunk: 256000, lanes: 2 };
export const CAREFUL = { chunk: 64000, lanes: 1 };

export async function send_photos(store, api, { pace = FAST, skip = new Set(), tell = () => {} } = {}) {
  const waiting = (await store.unsent_photos()).filter(({ sha256 }) => !skip.has(sha256));
  const queue = await lackingOf(store, api, waiting);
  const run = { store, api, queue, skip, problems: [], stopped: false, chunk: pace.chunk,
    done: 0, total: queue.reduce((sum, { bytes, received }) => sum + bytes - received, 0), tell };
  if (queue.length) tell({ done: 0, total: run.total });
  const lanes = Array.from({ length: Math.min(pace.lanes, queue.length) }, () => lane(run));
  const ended = await Promise.allSettled(lanes);
  const broken = ended.find(({ status }) => status === "rejected");
  if (broken) throw broken.reason;
  return run.problems;
}

async function lackingOf(store, api, waiting) {
  const lacking = [];
  for (let at = 0; at < waiting.length; at += ASKED_AT_ONCE) {
    const asked = waiting.slice(at, at + ASKED_AT_ONCE);
    const { lack } = await api.photos_lacking(asked.map(({ sha256 }) => sha256));
    const received = new Map(lack.map((photo) => [photo.sha256, photo.received]));
    for (const photo of asked) {
      if (received.has(photo.sha256)) lacking.push({ ...photo, received: received.get(photo.sha256) });
      else await store.mark_photo(photo.sha256, { state: "sent", received: photo.bytes, problem: null });
    }
  }
  return lacking;
}

async function lane(run) {
  while (run.queue.length && !run.stopped) {
    const photo = run.queue.shift();
    try {
      await sendOne(run, photo);
    } catch (error) {
      if (!isAboutPhoto(error)) {
        run.stopped = true;
        throw error;
      }
      run.skip.add(photo.sha256);
      run.problems.push(error);
      await run.store.mark_photo(photo.sha256, { problem: { code: error.code, sentence: error.sentence } });
    }
  }
}

async function sendOne(run, { sha256, bytes, received }) {
  const buffer = await run.store.photo_bytes(sha256);
  if (buffer?.byteLength !== bytes) throw new Problem("photo_damaged", { sha256: sha256.slice(0, 8) });
  let offset = received;
  let wrongOffsets = 0;
  for (;;) {
    if (run.stopped) return;
    const chunk = buffer.slice(offset, offset + run.chunk);
    const answer = await putChunk(run.api, { sha256, offset, bytes, chunk });
    if (answer.received <= offset && !answer.complete) wrongOffsets += 1;
    if (wrongOffsets > MOST_WRONG_OFFSETS) {
      throw new Problem("server_answer_wrong", { detail: `photo ${sha256.slice(0, 8)} stays at ${answer.received}` });
    }
    run.done += Math.max(0, answer.received - offset);
    offset = answer.received;
    run.tell({ done: Math.min(run.done, run.total), total: run.total });
    if (answer.complete) break;
    await run.store.mark_photo(sha256, { received: offset });
  }
  await run.store.mark_photo(sha256, { state: "sent", received: bytes, problem: null });
}

async function putChunk(api, { sha256, offset, bytes, chunk }) {
  try {
    return await api.put_photo(sha256, offset, bytes, chunk);
  } catch (error) {
    if (error.status === 409 && Number.isSafeInteger(error.fields.received)) {
      return { received: error.fields.received, complete: false };
    }
    throw error;
  }
}

/** Whether the error concerns this one photo, so that the others may go on. */
function isAboutPhoto(error) {
  if (error instanceof ServerProblem) return error.status < 500 && error.status !== 401 && error.status !== 429;
  return error.code === "photo_damaged";
}
