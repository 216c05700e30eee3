/*
 * The one signing key that is open in this tab, in memory only and never extractable. It locks after 5 minutes without
 * a touch or a key, in sight or hidden, and when another person's key is opened.
 *
 *   keys_events                   EventTarget: "changed" detail {person: whose key is open | null}
 *   open_key({person, kid, by, key})      lock()       unlocked(person) -> boolean
 *   unlocked_facts(person) -> {by, at, use}            for the payload of the next signature; throws Problem key_locked
 *   signer() -> {person, unlocked: {by, at, use}}      of whoever's key is open; throws Problem key_locked
 *   await sign(person, payload_text) -> JWS of an entry        count_use(person)    once the entry is kept
 *   await sign_as(person, typ, payload_text) -> JWS of another type; counts nothing
 *   await for_one_signature(opened, work)              `opened` as for open_key; afterwards as it was before
 */
import { Problem } from "../rules/problems.js";
import { ENTRY_TYP, finish_jws, signing_input } from "../rules/signature.js";

const IDLE_MS = 300000;

export const keys_events = new EventTarget();

let open = null;
let resting = null;
let touched = 0;
let timer = null;

export function open_key({ person, kid, by, key }) {
  resting = null;
  become({ person, kid, by, key, at: now(), use: 0, once: false });
}

export function lock() {
  resting = null;
  if (open) become(null);
}

export function unlocked(person) {
  lockIdle();
  return open?.person === person && !(open.once && open.use);
}

export function unlocked_facts(person) {
  if (!unlocked(person)) throw new Problem("key_locked");
  return { by: open.by, at: open.at, use: open.use + 1 };
}

export function signer() {
  lockIdle();
  if (!open) throw new Problem("key_locked");
  return { person: open.person, unlocked: unlocked_facts(open.person) };
}

export function sign(person, payload_text) {
  return sign_as(person, ENTRY_TYP, payload_text);
}

export async function sign_as(person, typ, payload_text) {
  if (!unlocked(person)) throw new Problem("key_locked");
  return sign_with(open, typ, payload_text);
}

/** The JWS that `key` makes; also for a key that is only being tried. */
export async function sign_with({ kid, key }, typ, payload_text) {
  const bytes = new TextEncoder().encode(signing_input(kid, typ, payload_text));
  const signature = await crypto.subtle.sign({ name: "ECDSA", hash: "SHA-256" }, key, bytes);
  return finish_jws(kid, typ, payload_text, new Uint8Array(signature));
}

export function count_use(person) {
  if (open?.person === person) open.use += 1;
}

export async function for_one_signature({ person, kid, by, key }, work) {
  lockIdle();
  const before = open;
  const single = { person, kid, by, key, at: now(), use: 0, once: true };
  become(single);
  resting = before;
  try {
    return await work();
  } finally {
    if (open === single) become(resting);
    resting = null;
    lockIdle();
  }
}

function become(next) {
  open = next;
  touched = Date.now();
  clearTimeout(timer);
  if (open) timer = setTimeout(lockIdle, IDLE_MS);
  keys_events.dispatchEvent(new CustomEvent("changed", { detail: { person: open?.person ?? null } }));
}

/** A phone asleep runs no timer, and a clock can be set back: both are looked at again before each use. */
function lockIdle() {
  if (!open) return;
  const left = IDLE_MS - Math.abs(Date.now() - touched);
  clearTimeout(timer);
  if (left <= 0) lock();
  else timer = setTimeout(lockIdle, left);
}

function touch() {
  lockIdle();
  touched = Date.now();
}

function now() {
  return `${new Date().toISOString().slice(0, 19)}Z`;
}

for (const kind of ["pointerdown", "keydown"]) globalThis.document?.addEventListener(kind, touch, { capture: true, passive: true });
globalThis.document?.addEventListener("visibilitychange", lockIdle);
