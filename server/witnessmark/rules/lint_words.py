"""The words and bounds that `lint` goes by, each rule with its source. Twin of client/rules/lint_words.js.

RULES {name: {level, source}} · SENTENCES {name: what is found and what to write instead, {word} filled in} · patterns
as texts, matched without regard to case, the letters of ASCII only, so that both languages read them alike ·
ONE_WORD [[the word to keep, patterns of other words for the same thing]]
"""

RULES = {
    "one_action": {"level": "advice", "source": "FAA Human Factors Guide, CAP 716: one action a step (from memory)"},
    "caution_first": {"level": "advice", "source": "FAA Human Factors Guide, CAP 716: the warning stands before the "
                      "step that it protects (from memory)"},
    "value_not_tick": {"level": "error", "source": "Degani and Wiener, guideline 1: a response shows the value or the "
                       "state, not that somebody looked"},
    "state_not_checked": {"level": "advice", "source": "Degani and Wiener, guideline 1: the state, not \"checked\" or "
                          "\"set\""},
    "short_sentences": {"level": "advice", "source": "FAA-IR-M-8040.1A: short sentences; the bound of 20 words is "
                        "common practice, no source"},
    "active_voice": {"level": "advice", "source": "FAA-IR-M-8040.1A: active voice"},
    "one_word": {"level": "advice", "source": "FAA-IR-M-8040.1A: one word for one thing; the pairs are our own"},
    "short_zones": {"level": "advice", "source": "Degani and Wiener, guideline 3: long lists in chunks, each tied to "
                    "an area; the bound of 10 items is common practice, no source"},
    "critical_early": {"level": "advice", "source": "Degani and Wiener: critical items as near the start as possible, "
                       "before interruptions"},
    "limit_source": {"level": "error", "source": "this project: a limit is worth what its source is worth"},
    "look_alike": {"level": "advice", "source": "Degani, NASA CR-177605: no characters that look alike"},
    "lower_case": {"level": "advice", "source": "Degani, NASA CR-177605: lower case for long texts"},
    "overruled_nothing": {"level": "advice", "source": "this project: a reason nobody needs hides the next finding"},
}
SENTENCES = {
    "one_action": "A second action begins at \"{word}\". Write it as a step of its own, or as a state to look for.",
    "caution_first": "\"{word}\" warns in the middle of the step. Write it under cautions, which stand before it.",
    "value_not_tick": "\"{word}\" asks for a reading, but nothing takes it. Write a field for the number, with unit.",
    "state_not_checked": "\"{word}\" tells that somebody looked. Write the state that is there: tight, dry, at zero.",
    "short_sentences": "A sentence has {word} words. Write two, each of 20 words or fewer.",
    "active_voice": "\"{word}\" does not tell who does it. Write the order itself: fit, drain, replace; or the state.",
    "one_word": "\"{word}\" in one place, \"{keep}\" in another. Write \"{keep}\" wherever this thing is meant.",
    "short_zones": "The zone has {word} items. Write two zones of 10 or fewer, each for a place on the helicopter.",
    "critical_early": "A countersigned item comes last, when people hurry. Write it earlier on the card.",
    "limit_source": "\"{word}\" is judged by a limit without source. Write where the limit comes from, as source.",
    "look_alike": "\"{word}\" can be misread: l, I and 1, O and 0 look alike. Write a word, or another letter.",
    "lower_case": "\"{word}\" is long for capitals. Write small letters, with a capital at the beginning.",
    "overruled_nothing": "Nothing here breaks the rule \"{word}\". Write the card without this overruling.",
}
MOST_WORDS = 20
MOST_ITEMS = 10
LAST_ITEMS = 2
NUMERIC = ["measure", "run_out", "torque", "compression", "drop", "rate", "look_up", "balance"]
JUDGED_BY = ["limits", "limits_at", "limits_by", "spread", "step", "difference"]

# "When the needles rest, read ..." is one action: what stands before its comma is when, not what.
OPENING = r"^(?:when|after|before|while|with|if|once|as|until|from|at|to) [^,.;]*, "
# Two motions of one grip on one thing are one action: push and pull, open and close.
GESTURE = (r"^(?:push|pull|turn|lift|lower|raise|rock|twist|press|move|open|close|slide|squeeze|roll|bend|tap)"
           r" and (?:push|pull|turn|lift|lower|raise|rock|twist|press|move|open|close|slide|release|let go)\b")
SECOND_ACTION = (
    r"(?:[,;.:]|\band|\bthen) (?:and |then )?"
    r"((?:adjust|apply|attach|clean|close|compare|connect|count|disconnect|fill|inspect|install|loosen|measure|open"
    r"|put|read|reconnect|refill|refit|remove|repeat|replace|search|take|tie|tighten|unscrew|wait|wash|wipe|write)\b"
    r"|(?:bend|blow|check|clamp|cut|drain|dry|fit|grease|lift|lock|lower|mark|note|oil|paint|press|pull|push|record"
    r"|run|seal|set|start|stop|support|switch|test|torque|turn)(?= (?:the|a|an|each|every|all|both|it|them|its|new|off"
    r"|on|out|in|back)\b))"
)
NOT_A_CAUTION = (r"\b(?:without|little|no) warning\b"
                 r"|\b(?:warning|caution|danger) (?:lights?|lamps?|horns?|tags?|signs?|labels?|placards?|panels?)\b")
CAUTION_IN_DO = r"\b(?:warning|caution|danger|never|beware|be careful|take care|do not|don't|must not)\b"
CAUTION_IN_WHY = r"\b(?:warning|caution|danger)[:!]|(?:^|[.;] )(?:never|beware|be careful|take care|do not|don't)\b"
NOT_A_READING = (r"\b(?:torque|tension) (?:tubes?|links?|stripes?|marks?|wrench(?:es)?|springs?|records?|tables?|box)\b"
                 r"|\b[0-9a-z/-]+ tension\b(?= nut)"
                 r"|\bread [^.;]*\b(?:placards?|manuals?|instructions?|records?|labels?|directives?|cards?|logs?)\b")
READING_IN_DO = (r"(?:^|[,;.:] |\band |\bthen )(measure|torque|tension|weigh|read)\b"
                 r"|\bto (?:the |its )?(?:required |correct |right |given )?(torque|tension)\b")
READING_IN_TITLE = r"\b(torque|tension|measured|measure)\b"
NO_RESULT_WORD = r"\b(?:complete|full|tool|whole|a|each|one|the) set\b|\bset (?:of|screws?|bolts?|nuts?)\b"
EMPTY_LINE = r"^(?:good|normal|fine|satisfactory|serviceable|acceptable|in order|pass(?:ed)?|done|yes)\.?$"
RESULT_WORD = r"^check\b|\b(?:checked|ok|okay|inspected)\b|\b(?:set|checks)\.?$"
PASSIVE = r"\b(?:shall|must|should|is to|are to|has to|have to|needs to|need to) be\b"
SENTENCE_END = r"[.!?;:](?: |$)"
ALL_CAPITALS = r"^[^a-z]*$"
CAPITAL_WORDS = r"(?:\b[A-Z]{2,}\b[ ,]+){3}[A-Z]{2,}\b"
CAPITALS_OF_LONG_TEXT = 12
BETWEEN_NAMES = r"[^A-Za-z0-9]+"
LOOK_ALIKE = r"[lIO][0-9]|[0-9][lIO]|^[A-Z0-9]*[IO][A-Z0-9]*$"
TOOL_COUNT = r"\b(?:tools?|rags?)\b"

ONE_WORD = [
    ["cowling", r"\bcowls?\b"],
    ["gear box", r"\bgearbox(?:es)?\b"],
    ["swash plate", r"\bswashplates?\b"],
    ["witness mark", r"\b(?:torque|paint|inspection) stripes?\b"],
    ["cotter pin", r"\b(?:split|cotter-) ?pins?\b"],
    ["safety wire", r"\b(?:lock wires?|lockwires?|locking wires?)\b"],
    ["leak", r"\bleakages?\b"],
    ["run-out", r"\brunouts?\b"],
    ["back-lash", r"\bbacklash\b"],
    ["hour meter", r"\b(?:hour-meters?|hourmeters?|tachometer hours)\b"],
    ["dial indicator", r"\bdial (?:gauges?|gages?|tests?)\b"],
    ["gauge", r"\bgages?\b"],
    ["rod end", r"\brod-ends?\b"],
    ["push rod", r"\b(?:pushrods?|push-rods?)\b"],
    ["jam nut", r"\bcheck ?nuts?\b"],
    ["free-wheel", r"\b(?:freewheels?|free wheel|overrunning clutch|sprag clutch)\b"],
    ["strainer", r"\bgascolators?\b"],
    ["teetering hinge", r"\bteeter(?:ing)? (?:bearing|pivot)s?\b|\bteeter hinges?\b"],
    ["discrepancy", r"\b(?:squawks?|snags?)\b(?! on)"],
    ["carburettor", r"\b(?:carburetors?|carbs?)\b"],
    ["centre", r"\bcenters?\b"],
    ["aluminium", r"\baluminum\b"],
]
