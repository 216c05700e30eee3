/*
 * The words and bounds that `lint` goes by, each rule with its source. Twin of server/witnessmark/rules/lint_words.py,
 * compared whole by tests/test_lint.py.
 */

export const RULES = {
  one_action: {
    level: "advice",
    source: "FAA Human Factors Guide, CAP 716: one action a step (from memory)",
  },
  caution_first: {
    level: "advice",
    source: "FAA Human Factors Guide, CAP 716: the warning stands before the step that it protects (from memory)",
  },
  value_not_tick: {
    level: "error",
    source: "Degani and Wiener, guideline 1: a response shows the value or the state, not that somebody looked",
  },
  state_not_checked: {
    level: "advice",
    source: 'Degani and Wiener, guideline 1: the state, not "checked" or "set"',
  },
  short_sentences: {
    level: "advice",
    source: "FAA-IR-M-8040.1A: short sentences; the bound of 20 words is common practice, no source",
  },
  active_voice: {
    level: "advice",
    source: "FAA-IR-M-8040.1A: active voice",
  },
  one_word: {
    level: "advice",
    source: "FAA-IR-M-8040.1A: one word for one thing; the pairs are our own",
  },
  short_zones: {
    level: "advice",
    source:
      "Degani and Wiener, guideline 3: long lists in chunks, each tied to an area; the bound of 10 " +
      "items is common practice, no source",
  },
  critical_early: {
    level: "advice",
    source: "Degani and Wiener: critical items as near the start as possible, before interruptions",
  },
  limit_source: {
    level: "error",
    source: "this project: a limit is worth what its source is worth",
  },
  look_alike: {
    level: "advice",
    source: "Degani, NASA CR-177605: no characters that look alike",
  },
  lower_case: {
    level: "advice",
    source: "Degani, NASA CR-177605: lower case for long texts",
  },
  overruled_nothing: {
    level: "advice",
    source: "this project: a reason nobody needs hides the next finding",
  },
};
export const SENTENCES = {
  one_action: 'A second action begins at "{word}". Write it as a step of its own, or as a state to look for.',
  caution_first: '"{word}" warns in the middle of the step. Write it under cautions, which stand before it.',
  value_not_tick: '"{word}" asks for a reading, but nothing takes it. Write a field for the number, with unit.',
  state_not_checked: '"{word}" tells that somebody looked. Write the state that is there: tight, dry, at zero.',
  short_sentences: "A sentence has {word} words. Write two, each of 20 words or fewer.",
  active_voice: '"{word}" does not tell who does it. Write the order itself: fit, drain, replace; or the state.',
  one_word: '"{word}" in one place, "{keep}" in another. Write "{keep}" wherever this thing is meant.',
  short_zones: "The zone has {word} items. Write two zones of 10 or fewer, each for a place on the helicopter.",
  critical_early: "A countersigned item comes last, when people hurry. Write it earlier on the card.",
  limit_source: '"{word}" is judged by a limit without source. Write where the limit comes from, as source.',
  look_alike: '"{word}" can be misread: l, I and 1, O and 0 look alike. Write a word, or another letter.',
  lower_case: '"{word}" is long for capitals. Write small letters, with a capital at the beginning.',
  overruled_nothing: 'Nothing here breaks the rule "{word}". Write the card without this overruling.',
};
export const MOST_WORDS = 20;
export const MOST_ITEMS = 10;
export const LAST_ITEMS = 2;
export const NUMERIC = ["measure", "run_out", "torque", "compression", "drop", "rate", "look_up", "balance"];
export const JUDGED_BY = ["limits", "limits_at", "limits_by", "spread", "step", "difference"];

/* "When the needles rest, read ..." is one action: what stands before its comma is when, not what. */
export const OPENING = "^(?:when|after|before|while|with|if|once|as|until|from|at|to) [^,.;]*, ";

/* Two motions of one grip on one thing are one action: push and pull, open and close. */
export const GESTURE =
  "^(?:push|pull|turn|lift|lower|raise|rock|twist|press|move|open|close|slide|squeeze|roll|bend|tap) " +
  String.raw`and (?:push|pull|turn|lift|lower|raise|rock|twist|press|move|open|close|slide|release|let go)\b`;
export const SECOND_ACTION =
  String.raw`(?:[,;.:]|\band|\bthen) (?:and |then )?((?:adjust|apply|attach|clean|close|compare|connect|count` +
  "|disconnect|fill|inspect|install|loosen|measure|open|put|read|reconnect|refill|refit|remove" +
  String.raw`|repeat|replace|search|take|tie|tighten|unscrew|wait|wash|wipe|write)\b|(?:bend|blow|check|clamp` +
  "|cut|drain|dry|fit|grease|lift|lock|lower|mark|note|oil|paint|press|pull|push|record|run|seal|set" +
  "|start|stop|support|switch|test|torque|turn)(?= (?:the|a|an|each|every|all|both|it|them|its|new" +
  String.raw`|off|on|out|in|back)\b))`;
export const NOT_A_CAUTION =
  String.raw`\b(?:without|little|no) warning\b|\b(?:warning|caution|danger) (?:lights?|lamps?|horns?|tags?` +
  String.raw`|signs?|labels?|placards?|panels?)\b`;
export const CAUTION_IN_DO =
  String.raw`\b(?:warning|caution|danger|never|beware|be careful|take care|do not|don't|must not)\b`;
export const CAUTION_IN_WHY =
  String.raw`\b(?:warning|caution|danger)[:!]|(?:^|[.;] )(?:never|beware|be careful|take care|do not|don't)\b`;
export const NOT_A_READING =
  String.raw`\b(?:torque|tension) (?:tubes?|links?|stripes?|marks?|wrench(?:es)?|springs?|records?|tables?` +
  String.raw`|box)\b|\b[0-9a-z/-]+ tension\b(?= nut)|\bread [^.;]*\b(?:placards?|manuals?|instructions?` +
  String.raw`|records?|labels?|directives?|cards?|logs?)\b`;
export const READING_IN_DO =
  String.raw`(?:^|[,;.:] |\band |\bthen )(measure|torque|tension|weigh|read)\b|\bto (?:the |its )?(?:required ` +
  String.raw`|correct |right |given )?(torque|tension)\b`;
export const READING_IN_TITLE = String.raw`\b(torque|tension|measured|measure)\b`;
export const NO_RESULT_WORD =
  String.raw`\b(?:complete|full|tool|whole|a|each|one|the) set\b|\bset (?:of|screws?|bolts?|nuts?)\b`;
export const EMPTY_LINE =
  String.raw`^(?:good|normal|fine|satisfactory|serviceable|acceptable|in order|pass(?:ed)?|done|yes)\.?$`;
export const RESULT_WORD = String.raw`^check\b|\b(?:checked|ok|okay|inspected)\b|\b(?:set|checks)\.?$`;
export const PASSIVE = String.raw`\b(?:shall|must|should|is to|are to|has to|have to|needs to|need to) be\b`;
export const SENTENCE_END = "[.!?;:](?: |$)";
export const ALL_CAPITALS = "^[^a-z]*$";
export const CAPITAL_WORDS = String.raw`(?:\b[A-Z]{2,}\b[ ,]+){3}[A-Z]{2,}\b`;
export const CAPITALS_OF_LONG_TEXT = 12;
export const BETWEEN_NAMES = "[^A-Za-z0-9]+";
export const LOOK_ALIKE = "[lIO][0-9]|[0-9][lIO]|^[A-Z0-9]*[IO][A-Z0-9]*$";
export const TOOL_COUNT = String.raw`\b(?:tools?|rags?)\b`;

export const ONE_WORD = [
  ["cowling", String.raw`\bcowls?\b`],
  ["gear box", String.raw`\bgearbox(?:es)?\b`],
  ["swash plate", String.raw`\bswashplates?\b`],
  ["witness mark", String.raw`\b(?:torque|paint|inspection) stripes?\b`],
  ["cotter pin", String.raw`\b(?:split|cotter-) ?pins?\b`],
  ["safety wire", String.raw`\b(?:lock wires?|lockwires?|locking wires?)\b`],
  ["leak", String.raw`\bleakages?\b`],
  ["run-out", String.raw`\brunouts?\b`],
  ["back-lash", String.raw`\bbacklash\b`],
  ["hour meter", String.raw`\b(?:hour-meters?|hourmeters?|tachometer hours)\b`],
  ["dial indicator", String.raw`\bdial (?:gauges?|gages?|tests?)\b`],
  ["gauge", String.raw`\bgages?\b`],
  ["rod end", String.raw`\brod-ends?\b`],
  ["push rod", String.raw`\b(?:pushrods?|push-rods?)\b`],
  ["jam nut", String.raw`\bcheck ?nuts?\b`],
  ["free-wheel", String.raw`\b(?:freewheels?|free wheel|overrunning clutch|sprag clutch)\b`],
  ["strainer", String.raw`\bgascolators?\b`],
  ["teetering hinge", String.raw`\bteeter(?:ing)? (?:bearing|pivot)s?\b|\bteeter hinges?\b`],
  ["discrepancy", String.raw`\b(?:squawks?|snags?)\b(?! on)`],
  ["carburettor", String.raw`\b(?:carburetors?|carbs?)\b`],
  ["centre", String.raw`\bcenters?\b`],
  ["aluminium", String.raw`\baluminum\b`],
];
