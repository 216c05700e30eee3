/*
 * The only file that talks to the server. Every request ends: by its answer or by its time-out, because a Wi-Fi that is
 * up with a dead server behind it would otherwise keep a request for ever.
 *
 * Usage:
 *   const { cards } = await ask("GET", "/api/cards/…");
 *   await ask("POST", "/api/cards", { json: {...} });      await ask("PUT", path, { bytes: arrayBuffer });
 * Throws Problem server_unreachable (nothing arrived, time-out, or the server is ill), or ServerProblem with the
 * server's own `code`, `sentence`, `fields` and the HTTP `status`.
 */
import { Problem } from "../rules/problems.js";

const PATIENCE_MS = 20000;
// 4 kB/s: a chunk of 256 kB on the slowest link we have heard of still gets through.
const SLOWEST_BYTES_PER_MS = 4;
const WORTH_PACKING = 1000;
// What any session of this phone may ask: entries are signed, and whoever signs in is not known yet.
const FOR_ANYBODY = /^\/api\/(sync$|session|photos\/|cards\/\w+\/reconcile$)/;

let holder = null;

/** Who holds this phone (a person id, or null): what is asked in somebody else's session is refused from here on. */
export function speak_for(person) {
  holder = person;
}

/** A refusal in the server's words. */
export class ServerProblem extends Error {
  constructor(status, { code, sentence, fields }) {
    super(sentence);
    this.status = status;
    this.code = code;
    this.fields = fields ?? {};
  }

  get sentence() {
    return this.message;
  }
}

/** One request. `json`: a body to send as JSON; `bytes`: an ArrayBuffer to send as it is; `pack`: gzip the
 * JSON; `raw`: give the answer as text; `patience` in milliseconds, for the answer of an empty request. */
export async function ask(method, path, { json, bytes, pack = false, raw = false, patience = PATIENCE_MS } = {}) {
  const headers = { "X-Witnessmark": "1", Accept: "application/json" };
  if (holder && method !== "GET" && !FOR_ANYBODY.test(path)) headers["X-Witnessmark-Person"] = holder;
  const body = await bodyOf({ json, bytes, pack }, headers);
  const controller = new AbortController();
  const time = patience + (body?.byteLength ?? 0) / SLOWEST_BYTES_PER_MS;
  const timer = setTimeout(() => controller.abort(), time);
  try {
    const options = { method, headers, body, signal: controller.signal, cache: "no-store", redirect: "error" };
    const response = await fetch(path, { ...options, credentials: "same-origin" });
    const text = await response.text();
    return raw && response.ok ? text : readResponse(response.status, text);
  } catch (error) {
    if (error instanceof ServerProblem || error instanceof Problem) throw error;
    throw new Problem("server_unreachable");
  } finally {
    clearTimeout(timer);
  }
}

function readResponse(status, text) {
  if (status === 204) return null;
  let answer;
  try {
    answer = JSON.parse(text);
  } catch {
    // A proxy or a router page, not our server.
    if (status >= 500) throw new Problem("server_unreachable");
    throw new Problem("server_answer_wrong", { detail: `status ${status}` });
  }
  if (status < 300) return answer;
  if (typeof answer?.problem?.sentence === "string") throw new ServerProblem(status, answer.problem);
  throw new Problem("server_answer_wrong", { detail: `status ${status}` });
}

async function bodyOf({ json, bytes, pack }, headers) {
  if (bytes) {
    headers["Content-Type"] = "application/octet-stream";
    return bytes;
  }
  // Unsafe methods need the type even without a body: it is one of the server's three guards against forged requests.
  headers["Content-Type"] = "application/json";
  if (json === undefined) return undefined;
  const plain = new TextEncoder().encode(JSON.stringify(json));
  if (!pack || plain.byteLength < WORTH_PACKING || !globalThis.CompressionStream) return plain;
  headers["Content-Encoding"] = "gzip";
  const packed = new Blob([plain]).stream().pipeThrough(new CompressionStream("gzip"));
  return new Response(packed).arrayBuffer();
}

export function sync(request) {
  return ask("POST", "/api/sync", { json: request, pack: true, patience: 30000 });
}

/** The leaf of an entry, and the proof that it is in the log's tree of `size` leaves: {number, leaf, size, root, proof}. */
export function inclusion(entry, size) {
  return ask("GET", `/api/log/entries/${entry}?size=${size}`);
}

export function reconcile(card, ids) {
  return ask("POST", `/api/cards/${card}/reconcile`, { json: { ids }, patience: 30000 });
}

/** The template's canonical text, exactly as served: its hash is its name. */
export async function revision_text(revision) {
  return ask("GET", `/api/revisions/${revision}`, { raw: true });
}

/** As revision_text, for a local code. */
export async function local_code_text(revision) {
  return ask("GET", `/api/local-codes/${revision}`, { raw: true });
}

/** What the shop tells this phone: see phone_facts.js. */
export function phone_facts() {
  return ask("GET", "/api/phone");
}

/** Tell the shop a public key: {jwk, guard, label, proof}. */
export function enrol_key(enrolment) {
  return ask("POST", "/api/keys", { json: enrolment });
}

/** A nonce for signing in by the key `kid`. */
export async function session_challenge(kid) {
  return (await ask("POST", "/api/session/challenge", { json: { kid } })).nonce;
}

/** Sign in by a key: {person, server}. */
export function session_by_key(proof) {
  return ask("POST", "/api/session/key", { json: { proof } });
}

export function photos_lacking(photos) {
  return ask("POST", "/api/photos/lacking", { json: { photos } });
}

/** Send a part of a photo of `total` bytes, from `offset`. A wrong offset is ServerProblem 409 with fields.received. */
export function put_photo(sha256, offset, total, bytes) {
  return ask("PUT", `/api/photos/${sha256}?offset=${offset}&bytes=${total}`, { bytes });
}

export async function aircraft() {
  return (await ask("GET", "/api/aircraft")).aircraft;
}

export async function templates() {
  return (await ask("GET", "/api/templates")).templates;
}

export async function issue_card(wanted) {
  return ask("POST", "/api/cards", { json: wanted });
}

export function card_on_server(card) {
  return ask("GET", `/api/cards/${card}`);
}

export function paper_path(card) {
  return `/api/cards/${card}/paper`;
}

export function photo_path(sha256) {
  return `/api/photos/${sha256}/view`;
}

export function quarantine() {
  return ask("GET", "/api/quarantine");
}
