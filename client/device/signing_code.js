/*
 * Which signing codes are too easy to guess. Pure: no storage, no network; the form uses the same words as a hint.
 *
 * Usage: check_code("48151623") -> null | Problem code_weak
 */
import { Problem } from "../rules/problems.js";

const LEAST_DIGITS = 8;
const LEAST_MIXED = 6;
const LONGEST_PERIOD = 4;
const ROWS = ["01234567890", "qwertyuiop", "qwertzuiop", "asdfghjkl", "zxcvbnm", "yxcvbnm", "abcdefghijklmnopqrstuvwxyz"];
// Words that lists of leaked passwords begin with (from memory); a code that is one of them and digits is as weak.
const WORDS = ["password", "passwort", "passw0rd", "qwerty", "qwertz", "azerty", "letmein", "welcome", "iloveyou", "admin",
  "login", "monkey", "dragon", "football", "sunshine", "princess", "master", "secret", "abc", "abcd", "test", "hello",
  "helicopter", "rotor", "inspector", "mechanic"];
const PATTERNS = ["1q2w3e", "1q2w3e4r", "1q2w3e4r5t", "1qaz2wsx", "q1w2e3", "q1w2e3r4", "a1b2c3", "a1b2c3d4", "zaq12wsx",
  "14725836", "25802580", "15935728", "74108520", "36925814", "11223344", "44332211", "11112222", "12344321", "10203040",
  "13579246", "24681357", "31415926", "27182818", "00700700"];

/** The Problem that keeps `code` from being a signing code, or null. */
export function check_code(code) {
  const why = weakness(code.normalize("NFC"));
  return why && new Problem("code_weak", { why });
}

function weakness(code) {
  if (/\s/.test(code)) return "A signing code has no spaces.";
  const digits = /^\d+$/.test(code);
  if (digits && code.length < LEAST_DIGITS) return "That is too short.";
  if (!digits && code.length < LEAST_MIXED) return "That is too short.";
  if (!digits && !(/\d/.test(code) && /\p{L}/u.test(code))) return "That has letters or signs only.";
  const plain = code.toLowerCase();
  if (new Set(plain).size <= 2) return "That repeats one or two signs.";
  if (repeats(plain)) return "That repeats itself.";
  if (follows(plain)) return "That only counts up or down.";
  if (digits && isDate(code)) return "That looks like a date.";
  if (PATTERNS.includes(plain) || WORDS.includes(plain.replace(/^\d+|\d+$/g, ""))) return "That is a code many people take.";
  return null;
}

function repeats(code) {
  for (let period = 1; period <= Math.min(LONGEST_PERIOD, code.length / 2); period += 1) {
    if ([...code].every((sign, at) => sign === code[at % period])) return true;
  }
  return false;
}

/** Whether the code, or each of two halves of it, runs along a row of keys or numbers. */
function follows(code) {
  const halves = [code.slice(0, code.length / 2), code.slice(code.length / 2)];
  return runs(code) || (halves[0].length >= 3 && halves.every(runs));
}

function runs(code) {
  const back = [...code].reverse().join("");
  return ROWS.some((row) => (row + row).includes(code) || (row + row).includes(back)) || steps(code);
}

/** The same step from each digit to the next: 13579135, 97531975. */
function steps(code) {
  if (!/^\d+$/.test(code)) return false;
  const between = [...code].slice(1).map((digit, at) => (Number(digit) - Number(code[at]) + 10) % 10);
  return between.every((step) => step === between[0]);
}

function isDate(code) {
  if (code.length !== 8) return false;
  const parts = [[0, 4, 6], [4, 2, 0], [4, 0, 2]];
  return parts.some(([year, month, day]) => {
    const [y, m, d] = [code.slice(year, year + 4), code.slice(month, month + 2), code.slice(day, day + 2)].map(Number);
    return y >= 1900 && y < 2100 && m >= 1 && m <= 12 && d >= 1 && d <= 31;
  });
}
