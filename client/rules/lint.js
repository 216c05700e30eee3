/*
 * What a good editor would say of a card: advice and errors, each with its place and what to write instead.
 * A template that is still being written, with members missing or null, is read as far as it goes.
 * Twin of server/witnessmark/rules/lint.py, held equal by tests/vectors/lint.json; the rules are in `lint_words`.
 */
import * as words from "./lint_words.js";

export const { RULES } = words;
const COMPILED = new Map();

/**
 * [{rule, level, item, where, sentence}] of what stands and is not overruled, in the order of the card.
 * item: the name of the item or null; where: the zone, the key, or the field and its key. An overruling that meets
 * nothing is a finding itself. Errors cannot be overruled.
 */
export function findings(template) {
  const found = every_finding(template);
  const standing = found.filter((one) => !ruling_of(template, one));
  const idle = listed(template.overruled).filter((ruling) => !found.some((one) => meets(ruling, one)));
  return [...standing, ...idle.map((one) => finding("overruled_nothing", one.item, "overruled", one.rule ?? ""))];
}

/** The findings that the author overruled, as `findings` gives them, each with `reason` added. */
export function overruled_findings(template) {
  return every_finding(template)
    .map((one) => [one, ruling_of(template, one)])
    .filter(([, ruling]) => ruling)
    .map(([one, ruling]) => ({ ...one, reason: ruling.reason ?? null }));
}

const listed = (list) => list ?? [];

const ruling_of = (template, one) => listed(template.overruled).find((ruling) => meets(ruling, one));

function meets(ruling, one) {
  const fits = (ruling.item ?? null) === null || ruling.item === one.item;
  return fits && ruling.rule === one.rule && one.level === "advice";
}

function every_finding(template) {
  const zones = listed(template.zones);
  const items = zones.flatMap((zone) => listed(zone.items));
  const card = [["title", template.title], ["scope", template.scope], ...lines("cautions", template)];
  const told = card.map((one) => [null, ...one]);
  const found = card.flatMap(([where, text]) => of_text(null, where, text ?? ""));
  for (const zone of zones) {
    found.push(...of_zone(zone));
    for (const item of listed(zone.items)) {
      const texts = texts_of(item).filter(([, text]) => text);
      told.push(...texts.map((one) => [item.item, ...one]));
      found.push(...texts.flatMap(([where, text]) => of_text(item.item, where, text)), ...of_item(item));
    }
  }
  return [...found, ...of_last(items), ...of_words(told.filter((one) => one[2]))];
}

const lines = (key, place) => listed(place[key]).map((line, index) => [`${key} ${index + 1}`, line]);

/* [where, text] of every text of an item that a mechanic reads. */
function texts_of(item) {
  const fields = listed(item.fields).map((field) => [`${place_of(field)}, title`, field.title]);
  return [["title", item.title], ...lines("cautions", item), ["do", item.do], ...lines("look_for", item),
    ["why", item.why], ["countersign, reason", item.countersign?.reason], ...fields];
}

const place_of = (field) => `field ${field.field ?? ""}`;

/* Findings that hold for any text, wherever it stands. */
function of_text(item, where, text) {
  const found = [];
  const longest = Math.max(...text.split(pattern(words.SENTENCE_END)).map(count_of));
  if (longest > words.MOST_WORDS && where !== "scope") {
    found.push(finding("short_sentences", item, where, String(longest)));
  }
  const passive = pattern(words.PASSIVE).exec(text);
  if (passive) found.push(finding("active_voice", item, where, passive[0]));
  if (shouts(text)) found.push(finding("lower_case", item, where, [...text].slice(0, 40).join("")));
  return found;
}

const count_of = (sentence) => sentence.split(" ").filter((word) => /[A-Za-z0-9]/.test(word)).length;

function shouts(text) {
  const whole = pattern(words.ALL_CAPITALS, "").test(text);
  return (whole && text.replace(/[^A-Z]/g, "").length >= words.CAPITALS_OF_LONG_TEXT) ||
    pattern(words.CAPITAL_WORDS, "").test(text);
}

function of_zone(zone) {
  const count = listed(zone.items).length;
  return count <= words.MOST_ITEMS ? [] : [finding("short_zones", null, `zone ${zone.zone ?? ""}`, String(count))];
}

function of_item(item) {
  const fields = listed(item.fields);
  return [...of_step(item.item, item.do ?? ""), ...of_why(item.item, item.why ?? ""), ...of_reading(item, fields),
    ...of_results(item, fields), ...fields.flatMap((field) => of_field(item.item, field)), ...of_names(item, fields)];
}

const without = (text, source) => text.replace(pattern(source, "gi"), "");

function of_step(name, text) {
  const second = pattern(words.SECOND_ACTION).exec(without(without(text, words.OPENING), words.GESTURE));
  const caution = pattern(words.CAUTION_IN_DO).exec(without(text, words.NOT_A_CAUTION));
  return [...(second ? [finding("one_action", name, "do", second[1])] : []),
    ...(caution ? [finding("caution_first", name, "do", caution[0])] : [])];
}

function of_why(name, why) {
  const caution = pattern(words.CAUTION_IN_WHY).exec(without(why, words.NOT_A_CAUTION));
  return caution ? [finding("caution_first", name, "why", bare(caution[0]))] : [];
}

const bare = (text) => text.replace(/^[,;.: ]+|[,;.: ]+$/g, "");

function of_reading(item, fields) {
  if (fields.some((field) => words.NUMERIC.includes(field.kind))) return [];
  for (const [where, source] of [["title", words.READING_IN_TITLE], ["do", words.READING_IN_DO]]) {
    const asked = pattern(source).exec(without(item[where] ?? "", words.NOT_A_READING));
    if (asked) return [finding("value_not_tick", item.item, where, bare(asked[0]))];
  }
  return [];
}

function of_results(item, fields) {
  const options = fields.flatMap((field) => listed(field.options)
    .map((option, index) => [`${place_of(field)}, option ${index + 1}`, option]));
  return [...lines("look_for", item), ...options].flatMap(([where, line]) => {
    const told = pattern(words.RESULT_WORD).exec(without(line ?? "", words.NO_RESULT_WORD)) ??
      pattern(words.EMPTY_LINE).exec(line ?? "");
    return told ? [finding("state_not_checked", item.item, where, bare(told[0]))] : [];
  });
}

const filled = (value) => (Array.isArray(value) ? value.length > 0 : Boolean(value));

function of_field(name, field) {
  const judged = filled(field.acceptable) || words.JUDGED_BY.some((key) => filled(field[key]));
  if (field.source || !judged) return [];
  return [finding("limit_source", name, place_of(field), field.title || field.field || "")];
}

function of_names(item, fields) {
  const names = [["title", item.title], ...fields.map((field) => [`${place_of(field)}, title`, field.title]),
    ...fields.flatMap((field) => listed(field.stations).map((one) => [`${place_of(field)}, stations`, one]))];
  return names.flatMap(([where, name]) => {
    const told = (name ?? "").split(pattern(words.BETWEEN_NAMES, "")).find(misread);
    return told ? [finding("look_alike", item.item, where, told)] : [];
  });
}

const misread = (part) => /[0-9]/.test(part) && /[A-Za-z]/.test(part) && pattern(words.LOOK_ALIKE, "").test(part);

function of_last(items) {
  return items.slice(-words.LAST_ITEMS)
    .filter((item) => item.countersign?.needed && !pattern(words.TOOL_COUNT).test(item.title ?? ""))
    .map((item) => finding("critical_early", item.item, "countersign", ""));
}

/* One finding for each place of a word whose better known name stands on the same card. */
function of_words(told) {
  const whole = told.map(([, , text]) => text).join("\n");
  return words.ONE_WORD.flatMap(([keep, others]) => {
    if (!pattern(others).test(whole) || !pattern(`\\b${keep}s?\\b`).test(whole)) return [];
    return told.map(([item, where, text]) => [item, where, pattern(others).exec(text)])
      .filter(([, , match]) => match)
      .map(([item, where, match]) => finding("one_word", item, where, match[0], keep));
  });
}

function finding(rule, item, where, word, keep = "") {
  const sentence = words.SENTENCES[rule].replaceAll("{keep}", () => keep).replaceAll("{word}", () => word);
  return { rule, level: RULES[rule].level, item: item ?? null, where, sentence };
}

/* The compiled pattern, kept: a card is read again at every key that its author presses. */
function pattern(source, flags = "i") {
  const name = `${flags} ${source}`;
  if (!COMPILED.has(name)) COMPILED.set(name, new RegExp(source, flags));
  return COMPILED.get(name);
}
