/*
 * A tool while its form is filled in: every text as it was typed, for every use, so that nothing is lost by choosing
 * another. Pure: plain data in, plain data out.
 */
import { number_problem, settled } from "../parts/typed_number.js";
import { Problem } from "../rules/problems.js";
import { check_facts } from "../rules/tool_facts.js";
import { read_table } from "./table_lines.js";

export const NEW_COLUMN = { column: "", lines: "", whole: false };
const TORQUE = { unit: "in-lbf", full_scale: "", graduation: "", tolerance_percent: "", length: "", length_unit: "in" };
const GAUGE = { unit: "in", tolerance: "", graduation: "" };
const TENSIOMETER = { unit: "lbf", columns: [NEW_COLUMN] };

/** What stands beside each input, by its name in the facts. */
export const NAMES = {
  full_scale: "Full scale", graduation: "Marked every", tolerance_percent: "Tolerance", tolerance: "Tolerance",
  length: "Length, middle of the grip to the drive",
};

/** The draft of a tool of the register, or of a new one when all its texts are empty. */
export function draft_of({ serial, name, calibrated_until, facts }) {
  const draft = { serial, name, until: calibrated_until ?? "", use: facts?.use ?? "", torque_wrench: TORQUE, gauge: GAUGE,
    tensiometer: TENSIOMETER };
  return facts ? { ...draft, [facts.use]: typed_facts(facts) } : draft;
}

function typed_facts({ use, tables, ...rest }) {
  if (use === "tensiometer") {
    const columns = tables.map(({ column, rows }) => ({ column, lines: rows.map((row) => row.join(" ")).join("\n"), whole: true }));
    return { ...rest, columns };
  }
  const typed = Object.entries(rest).map(([name, text]) => [name, text ?? ""]);
  return { ...Object.fromEntries(typed), ...(use === "torque_wrench" ? { length_unit: rest.length_unit ?? "in" } : {}) };
}

/** The tool as the shop keeps it, and what is wrong with what was typed: {tool, problems: [sentences]}. */
export function finished_tool(draft) {
  const facts = facts_of(draft);
  const unread = [...number_problems(draft), ...table_problems(draft)];
  const problems = unread.length ? unread : facts_problems(facts);
  const tool = { serial: draft.serial.trim(), name: draft.name.trim(), calibrated_until: draft.until || null, facts };
  return { tool, problems };
}

function facts_of({ use, ...draft }) {
  if (!use) return null;
  const typed = draft[use];
  if (use === "tensiometer") {
    const tables = typed.columns.map(({ column, lines }) => ({ column: column.trim(), rows: read_table(lines).rows }));
    return { use, unit: typed.unit, tables };
  }
  const facts = Object.fromEntries(Object.entries(typed).map(([name, text]) => [name, settled(text) || null]));
  if (use === "torque_wrench" && facts.length === null) facts.length_unit = null;
  return { use, ...facts };
}

function number_problems({ use, ...draft }) {
  return Object.entries(NAMES)
    .map(([name, words]) => [words, number_problem(draft[use]?.[name] ?? "")])
    .flatMap(([words, problem]) => (problem ? [`${words}: ${problem.sentence}`] : []));
}

function table_problems({ use, tensiometer }) {
  if (use !== "tensiometer") return [];
  return tensiometer.columns.flatMap(({ column, lines }, index) => {
    const wrong = read_table(lines).wrong.length;
    const name = column.trim() || `column ${index + 1}`;
    return wrong ? [`In “${name}” ${wrong === 1 ? "a line is" : `${wrong} lines are`} not right yet: see below the lines.`] : [];
  });
}

function facts_problems(facts) {
  if (facts?.use === "torque_wrench" && facts.full_scale === null) return ["Type the full scale of the wrench."];
  try {
    check_facts(facts);
    return [];
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    return [in_words(problem)];
  }
}

/** A wrong number of the form is named as the form names it. */
function in_words({ code, fields, sentence }) {
  const name = code === "request_shape" ? NAMES[fields.at.replace("facts.", "")] : undefined;
  return name ? `${name}: ${fields.why}.` : sentence;
}
