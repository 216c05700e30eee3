/*
 * Entries and cards in both directions, until the server and this phone hold the same.
 *
 * Usage: await exchange_all({store, api, told}, check, tell) -> {problem, differing}
 *   store   sync_store.js or its double      api   api.js or its double      told   see sync_checks.js
 *   check   cards to compare although nothing happened to them      tell(sent)   entries answered so far
 *   problem     the first news or checkpoint that could not be verified, or null; nothing was passed over
 *   differing   cards whose sets still differ after asking for every single id
 * Throws what api throws, and Problem server_answer_wrong.
 */
import { Problem } from "../rules/problems.js";
import { content_id, set_digest } from "../rules/entry.js";
import { check_answer, demand_proofs, verify_entries } from "./sync_checks.js";
import { differing, newest_claims, plan_answer, plan_reconciled, plan_request, read_answer, within_limits } from "./sync_plan.js";

const BATCH = 500;
const MOST_BYTES = 3000000;
const MOST_VOID = 5;
const MOST_RECONCILED = 2;

export async function exchange_all(parts, check, tell = () => {}) {
  const { store } = parts;
  const run = { ...parts, owed: [...check], more: false, problem: null, sent: 0, voids: 0, reconciled: new Map(), brought: null,
    alarmed: false };
  do {
    await exchangeOnce(run);
    tell(run.sent);
  } while (run.more || run.owed.length || (await store.unsent_batch(1)).length);
  // After an alarm the held checkpoint is not the one that the server shows, so it has no proof for it.
  if (!run.alarmed) run.problem ??= await demand_proofs(run);
  const stubborn = [...run.reconciled].filter(([, times]) => times > MOST_RECONCILED).map(([card]) => card);
  return { problem: run.problem, differing: stubborn };
}

async function exchangeOnce(run) {
  const { store, api } = run;
  const facts = await store.sync_facts();
  const { cursor, log } = facts;
  // Pages of news come first: after a change of epoch they tell which entries need not travel again.
  const batch = run.more ? [] : within_limits(await store.unsent_batch(BATCH), MOST_BYTES, bytesInJson);
  const answer = read_answer(await api.sync(plan_request(cursor, batch, run.owed, log?.size ?? 0)));
  const { problem, enrolled_again, alarm, size } = await check_answer(run, facts, answer);
  run.problem ??= problem;
  run.alarmed ||= alarm !== null;
  const news = answer.news.filter(({ kind }) => kind === "entry").map(({ text }) => text);
  const verified = await verify_entries(run, news);
  const change = plan_answer(cursor, batch, answer, verified, run.owed);
  change.proofs = await owedProofs(run, newest_claims(batch, answer, verified), size);
  const outcome = await store.apply_change(change);
  if (enrolled_again) await store.offer_again("key_unknown");
  if (!outcome.applied) {
    run.voids += 1;
    if (run.voids > MOST_VOID) throw new Problem("server_answer_wrong", { detail: "its epoch keeps changing" });
    return;
  }
  if (batch.length && !change.answered) throw new Problem("server_answer_wrong", { detail: "no verdict on any entry" });
  run.sent += change.answered;
  run.problem ??= change.problem;
  run.more = change.more;
  run.owed = change.owed;
  await reconcileAll(run, differing(answer.digests, await digestsOf(outcome.held)));
}

/** What was brought by comparing sets, before this exchange, stands in for news. `size` is that of the answer's checkpoint. */
async function owedProofs(run, claims, size) {
  const found = Object.entries({ ...claims, news: claims.news ?? run.brought }).filter(([, entry]) => entry);
  run.brought = null;
  const proofs = found.map(async ([name, { id, text }]) => [name, { id, signed: await content_id(text), size }]);
  return Object.fromEntries(await Promise.all(proofs));
}

/** Ask which single entries differ, then compare those cards once more in the next exchange. */
async function reconcileAll(run, cards) {
  const { store, api } = run;
  for (const card of cards) {
    const times = (run.reconciled.get(card) ?? 0) + 1;
    run.reconciled.set(card, times);
    if (times > MOST_RECONCILED) continue;
    const { cursor } = await store.sync_facts();
    const answer = await api.reconcile(card, await store.sent_ids(card));
    const change = plan_reconciled(cursor, answer, await verify_entries(run, answer.entries ?? []));
    await store.apply_change(change);
    run.problem ??= change.problem;
    run.brought = change.entries.at(-1) ?? run.brought;
    run.owed.push(card);
  }
}

async function digestsOf(held) {
  const pairs = await Promise.all(Object.entries(held).map(async ([card, ids]) => [card, await set_digest(ids)]));
  return Object.fromEntries(pairs);
}

const encoder = new TextEncoder();

function bytesInJson(text) {
  return encoder.encode(JSON.stringify(text)).byteLength + 1;
}
