/*
 * From an open card to the body of a release or a disapproval, and what still keeps it from being signed. Pure.
 */
import { plain_lines } from "../parts/reading.js";
import { number_problem, settled } from "../parts/typed_number.js";
import { record_of } from "../rules/local_code.js";
import { Problem } from "../rules/problems.js";
import { statement_for } from "./record.js";

const WORK = ["result", "settlement", "corrective_action"];

/** The discrepancies that stand open: [{item, what, where}] in walk order, from the newest fail of each item. */
export function open_discrepancies({ state, entries }) {
  const failed = state.items.filter(({ status }) => status === "failed" || status === "corrected");
  return failed.flatMap(({ item, history }) => {
    const id = history.findLast((entry) => entries.get(entry).body.discrepancy);
    return id ? [{ item, ...entries.get(id).body.discrepancy }] : [];
  });
}

/** The names of those other than `me` who recorded work on the card, sorted. */
export function others({ entries }, me) {
  const worked = [...entries.values()].filter(({ kind }) => WORK.includes(kind)).map(({ author }) => author);
  return [...new Set(worked.filter(({ person }) => person !== me).map(({ name }) => name))].sort();
}

/** What the form begins with; `day` is today, `me` the person who signs. */
export function first_approval(view, day, me) {
  const { card, template } = view;
  return {
    hours: card.times?.airframe?.value ?? "", date: day,
    type: template.inspection ?? "", extent: template.scope,
    description: card.title, completed_on: day, by: others(view, me).join("\n"),
  };
}

/** The body to sign from what was typed. */
export function approval_body(view, kind, typed) {
  const record = record_of(view.template);
  const hours = plain_lines(settled(typed.hours));
  const body = {
    covers: view.state.covers, record, date: typed.date,
    inspection: record === "maintenance" ? null : { type: plain_lines(typed.type), extent: plain_lines(typed.extent) },
    work: record === "maintenance" ? work_of(typed) : null,
    times: hours ? { airframe: { value: hours, unit: "h" } } : {},
    discrepancies: kind === "disapproval" ? open_discrepancies(view) : [],
  };
  return { ...body, statement: statement_for(view, kind, body) };
}

function work_of({ description, completed_on, by }) {
  const names = by.split("\n").map(plain_lines).filter(Boolean);
  return { description: plain_lines(description), completed_on, by: [...new Set(names)] };
}

/** The sentences that say what is still missing for a signature; none when it can be signed. */
export function approval_problems(view, kind, typed) {
  const maintained = record_of(view.template) === "maintenance";
  const hours = typed.hours.trim();
  const unreadable = hours && number_problem(hours);
  return [
    !hours && !maintained && new Problem("times_missing").sentence,
    unreadable && `Total time of the airframe: ${unreadable.sentence}`,
    !maintained && !typed.type.trim() && "Say what type of inspection this is.",
    !maintained && !typed.extent.trim() && "Say in a few words what the inspection took in.",
    maintained && !typed.description.trim() && "Describe the work that was done.",
    (!typed.date || (maintained && !typed.completed_on)) && "Give the day.",
    kind === "disapproval" && !open_discrepancies(view).length
      && "No item has failed. Record what makes the aircraft unairworthy as a fail first.",
  ].filter(Boolean);
}

/** The items that have changed since an approval with this `body` was signed: [{item, words}]. */
export function changed_since({ state }, { covers }) {
  const seen = new Set(covers);
  const now = new Set(state.covers);
  return state.items.filter((item) => [...item.heads, ...item.countersigned_by].some((id) => !seen.has(id))
    || item.history.some((id) => seen.has(id) && !now.has(id))).map(({ item }) => ({ item, words: "" }));
}

const GROUPS = [
  ["disputed", "In dispute: an inspector settles it"],
  ["rejected", "Sent back by the inspector: inspect it again"],
  ["failed", "Failed: an open discrepancy"],
  ["corrected", "Corrected: inspect it again"],
  ["tool_out_of_calibration", "Measured with a tool out of calibration: take the value again"],
  ["to_countersign", "Waits for a countersignature"],
  ["open", "Not done yet"],
];

/** What stops a release in groups: [{code, title, items: [item id]}]; `code` null for what fits no group. */
export function stop_groups({ stops }) {
  const groups = GROUPS.map(([code, title]) => ({ code, title, items: stops.filter((stop) => stop.code === code) }));
  const named = GROUPS.map(([code]) => code);
  const others_left = stops.filter(({ code }) => !named.includes(code));
  return [...groups, { code: null, title: "Something is missing or not in order", items: others_left }].filter(({ items }) => items.length);
}
