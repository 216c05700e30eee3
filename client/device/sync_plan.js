/*
 * What sync decides, and nothing else: no network, no database, no clock. Run unchanged by tests/device/.
 *
 *   plan_request(cursor, batch, check, size) -> the body of POST /api/sync
 *   within_limits(batch, most_bytes, size) -> as much of the batch as one request may carry (at least one)
 *   plan_answer(cursor, batch, answer, verified, owed) -> a CHANGE
 *   plan_reconciled(cursor, answer, verified) -> a CHANGE
 *   read_answer(answer) -> the answer, or Problem server_answer_wrong
 *   differing(server_digests, held_digests) -> [cards]
 *   newest_claims(batch, answer, verified) -> {news, own}: entries, or undefined; see `proofs`
 *   next_pause(failures, chance) -> milliseconds
 *
 * CHANGE, applied by sync_store.apply_change in one transaction:
 *   asked_epoch   the epoch the request was made with; the change is void when the phone has moved on
 *   reopen        another epoch: offer everything again
 *   cards, entries    to keep; entries are verified and are known to be on the server
 *   marks         [{id, state, problem}] for entries of this phone
 *   cursor        to move to, or null to stay
 *   compare       [cards] whose held set the digests of the answer can be compared with
 *   proofs        {news, own}: {id, signed, size} of the newest entry of other phones and of the newest of this phone that the
 *                 answer claims to be in the log; the proof is owed from then on. A name is left out when there is none
 *   more, owed, answered, problem    for the syncer: another page waits; cards still to be compared; how many entries
 *                 of the batch got a verdict; the first news that could not be verified
 */
import { Problem } from "../rules/problems.js";

const HEX_32 = /^[0-9a-f]{32}$/;
const HEX_64 = /^[0-9a-f]{64}$/;
const FIRST_PAUSE_MS = 2000;
const LONGEST_PAUSE_MS = 300000;

/** `size`: of the checkpoint this phone holds; 0 for none. */
export function plan_request(cursor, batch, check, size) {
  return { epoch: cursor.epoch, after: cursor.after, entries: batch.map(({ text }) => text), check: [...check].sort(), size };
}

/** `size(text)` gives the bytes of one entry in the request. */
export function within_limits(batch, most_bytes, size) {
  let sum = 0;
  const end = batch.findIndex(({ text }) => (sum += size(text)) > most_bytes);
  return end < 0 ? batch : batch.slice(0, Math.max(1, end));
}

/** The answer of POST /api/sync when it has the agreed shape. Throws Problem server_answer_wrong. */
export function read_answer(answer) {
  agree(answer && typeof answer.epoch === "string" && answer.epoch !== "", "epoch");
  agree(Number.isSafeInteger(answer.sequence) && answer.sequence >= 0, "sequence");
  agree(typeof answer.more === "boolean", "more");
  agree(Array.isArray(answer.answers) && answer.answers.every(goodVerdict), "answers");
  agree(Array.isArray(answer.news) && answer.news.every(goodNews), "news");
  agree(answer.digests && Object.values(answer.digests).every((hex) => HEX_64.test(hex)), "digests");
  agree(typeof answer.checkpoint?.note === "string" && Array.isArray(answer.checkpoint.proof), "checkpoint");
  agree(HEX_64.test(answer.phone), "phone");
  return answer;
}

/**
 * `verified`: {id, text, payload} of each news entry in order, or {problem} where it could not be verified.
 * `owed`: cards whose sets earlier pages have touched without a comparison.
 */
export function plan_answer(cursor, batch, answer, verified, owed = []) {
  const reopen = cursor.epoch !== null && cursor.epoch !== answer.epoch;
  const good = verified.filter((entry) => !entry.problem);
  const problem = verified.find((entry) => entry.problem)?.problem ?? null;
  const inNews = new Set(good.map(({ id }) => id));
  const offered = new Set(batch.map(({ id }) => id));
  const verdicts = answer.answers.filter(({ id }) => offered.has(id));
  const cards = answer.news.filter(({ kind }) => kind === "card").map(({ card }) => card);
  // A page that could not be verified is asked for again: moving past it would lose what it holds for ever.
  const after = lastSequence(answer);
  const compare = answer.more || problem ? [] : Object.keys(answer.digests);
  return {
    asked_epoch: cursor.epoch,
    reopen,
    cards,
    entries: good,
    marks: verdicts.filter(({ id }) => !inNews.has(id)).map(markOf),
    cursor: problem ? (reopen ? { epoch: answer.epoch, after: 0 } : null) : { epoch: answer.epoch, after },
    compare,
    more: answer.more && !problem,
    owed: answer.more ? [...new Set([...owed, ...Object.keys(answer.digests)])] : [],
    answered: verdicts.length,
    problem,
  };
}

/**
 * Of what the server says it has: the news entry of the highest sequence, and the last of the batch that it keeps. What this
 * phone has just sent comes back as news and must not stand before other people's.
 */
export function newest_claims(batch, answer, verified) {
  const offered = new Set(batch.map(({ id }) => id));
  const sequences = answer.news.filter(({ kind }) => kind === "entry").map(({ sequence }) => sequence);
  const news = verified.map((entry, at) => ({ entry, sequence: sequences[at] }))
    .filter(({ entry }) => !entry.problem && !offered.has(entry.id)).sort((a, b) => b.sequence - a.sequence)[0]?.entry;
  const held = new Set(answer.answers.filter(({ verdict }) => verdict !== "refused").map(({ id }) => id));
  return { news, own: batch.findLast(({ id }) => held.has(id)) };
}

/** What the server lacks is offered again; what this phone lacked is kept. */
export function plan_reconciled(cursor, answer, verified) {
  agree(Array.isArray(answer.lack) && answer.lack.every((id) => HEX_64.test(id)), "lack");
  const good = verified.filter((entry) => !entry.problem);
  return {
    asked_epoch: cursor.epoch,
    reopen: false,
    cards: [],
    entries: good,
    marks: answer.lack.map((id) => ({ id, state: "unsent", problem: null })),
    cursor: null,
    compare: [],
    more: false,
    owed: [],
    answered: 0,
    problem: verified.find((entry) => entry.problem)?.problem ?? null,
  };
}

export function differing(server_digests, held_digests) {
  return Object.keys(held_digests).filter((card) => server_digests[card] !== held_digests[card]).sort();
}

/** The pause after `failures` (>= 1) failed attempts in a row; `chance` in 0..1 spreads the phones of one hangar. */
export function next_pause(failures, chance) {
  const whole = Math.min(LONGEST_PAUSE_MS, FIRST_PAUSE_MS * 2 ** Math.min(failures - 1, 20));
  return Math.round(whole * (0.75 + chance / 2));
}

function markOf({ id, verdict, problem }) {
  if (verdict === "refused") return { id, state: "refused", problem };
  return { id, state: "sent", problem: null };
}

/** With another page waiting, `sequence` may name the newest of all; only what this page holds may be passed. */
function lastSequence(answer) {
  if (!answer.more || !answer.news.length) return answer.sequence;
  return Math.min(answer.sequence, Math.max(...answer.news.map(({ sequence }) => sequence)));
}

function goodVerdict({ id, verdict, problem }) {
  if (!HEX_64.test(id)) return false;
  if (verdict === "refused") return typeof problem?.sentence === "string";
  return verdict === "kept" || verdict === "already_here";
}

function goodNews({ sequence, kind, text, card }) {
  if (!Number.isSafeInteger(sequence)) return false;
  if (kind === "entry") return typeof text === "string";
  const code = card?.code ?? null;
  return kind === "card" && HEX_32.test(card?.card) && HEX_64.test(card?.revision) && (code === null || HEX_64.test(code));
}

function agree(holds, detail) {
  if (!holds) throw new Problem("server_answer_wrong", { detail });
}
