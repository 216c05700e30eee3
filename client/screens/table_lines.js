/*
 * The lines of a tensiometer's table as they are typed: a dial reading and its tension, a space or a tab between.
 * Pure: text in, rows and sentences out.
 */
import { number_problem, settled } from "../parts/typed_number.js";
import { compare_numbers } from "../rules/number.js";

/**
 * {rows: [[dial, tension]] of the lines that can be read, wrong: [sentence per line that cannot stand], doubts: [sentence]}.
 * Empty lines are passed over but counted, so that a line has the number a person sees.
 */
export function read_table(text) {
  const read = { rows: [], wrong: [], doubts: [] };
  text.split("\n").forEach((line, index) => {
    if (line.trim()) read_line(line, index + 1, read);
  });
  return read;
}

function read_line(line, number, { rows, wrong, doubts }) {
  const row = line.trim().split(/[\s;|]+/).map((typed) => settled(typed.replace(/,$/, ""))).filter(Boolean);
  const problem = row_problem(row, rows.at(-1));
  if (problem) {
    wrong.push(`Line ${number}, “${line.trim().slice(0, 40)}”: ${problem}`);
    return;
  }
  if (rows.length && compare_numbers(row[1], rows.at(-1)[1]) < 0) {
    doubts.push(`Line ${number}: the tension falls from ${rows.at(-1)[1]} to ${row[1]}. Is that so in the table?`);
  }
  rows.push(row);
}

function row_problem(row, before) {
  if (row.length !== 2) return "type a dial reading and its tension, with a space between.";
  const unreadable = row.map(number_problem).find(Boolean);
  if (unreadable) return unreadable.sentence;
  if (row.some((typed) => compare_numbers(typed, "0") < 0)) return "neither can be below zero.";
  return before && compare_numbers(row[0], before[0]) <= 0
    ? `the dial reading must be above the one before it, ${before[0]}.` : null;
}
