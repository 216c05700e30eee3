"""What a good editor would say of a card: advice and errors, each with its place and what to write instead.

Twin of client/rules/lint.js. A template that is still being written, with members missing or null, is read as far as
it goes. The rules, their words and their sources are in `lint_words`.
"""

import re

from . import lint_words as words

RULES = words.RULES
FLAGS = re.ASCII | re.IGNORECASE
_COMPILED = {}


def findings(template):
    """[{rule, level, item, where, sentence}] of what stands and is not overruled, in the order of the card.

    item: the name of the item or None; where: the zone, the key, or the field and its key. An overruling that meets
    nothing is a finding itself. Errors cannot be overruled.
    """
    found = _found(template)
    standing = [one for one in found if _ruling(template, one) is None]
    idle = [ruling for ruling in template.get("overruled") or [] if not any(_meets(ruling, one) for one in found)]
    return standing + [_finding("overruled_nothing", ruling.get("item"), "overruled", ruling.get("rule") or "")
                       for ruling in idle]


def overruled_findings(template):
    """The findings that the author overruled, as `findings` gives them, each with `reason` added."""
    pairs = [(one, _ruling(template, one)) for one in _found(template)]
    return [one | {"reason": ruling.get("reason")} for one, ruling in pairs if ruling is not None]


def _ruling(template, finding):
    return next((one for one in template.get("overruled") or [] if _meets(one, finding)), None)


def _meets(ruling, finding):
    fits = ruling.get("item") is None or ruling["item"] == finding["item"]
    return fits and ruling.get("rule") == finding["rule"] and finding["level"] == "advice"


def _found(template):
    zones = template.get("zones") or []
    items = [item for zone in zones for item in zone.get("items") or []]
    card = [("title", template.get("title")), ("scope", template.get("scope")), *_lines("cautions", template)]
    told = [(None, *one) for one in card]
    found = [one for where, text in card for one in _of_text(None, where, text or "")]
    for zone in zones:
        found += _of_zone(zone)
        for item in zone.get("items") or []:
            texts = [(where, text) for where, text in _texts(item) if text]
            told += [(item.get("item"), *one) for one in texts]
            found += [one for where, text in texts for one in _of_text(item.get("item"), where, text)]
            found += _of_item(item)
    return found + _of_last(items) + _of_words([one for one in told if one[2]])


def _lines(key, place):
    return [(f"{key} {number}", line) for number, line in enumerate(place.get(key) or [], 1)]


def _texts(item):
    """(where, text) of every text of an item that a mechanic reads."""
    fields = [(f"{_place(field)}, title", field.get("title")) for field in item.get("fields") or []]
    return [("title", item.get("title")), *_lines("cautions", item), ("do", item.get("do")),
            *_lines("look_for", item), ("why", item.get("why")),
            ("countersign, reason", (item.get("countersign") or {}).get("reason")), *fields]


def _place(field):
    return f"field {field.get('field') or ''}"


def _of_text(item, where, text):
    """Findings that hold for any text, wherever it stands."""
    found = []
    longest = max((_count(part) for part in _pattern(words.SENTENCE_END).split(text)), default=0)
    if longest > words.MOST_WORDS and where != "scope":
        found.append(_finding("short_sentences", item, where, str(longest)))
    passive = _pattern(words.PASSIVE).search(text)
    if passive:
        found.append(_finding("active_voice", item, where, passive[0]))
    if _shouts(text):
        found.append(_finding("lower_case", item, where, text[:40]))
    return found


def _count(sentence):
    return len([word for word in sentence.split(" ") if re.search(r"[A-Za-z0-9]", word)])


def _shouts(text):
    capitals = len(re.findall(r"[A-Z]", text))
    whole = re.search(words.ALL_CAPITALS, text) and capitals >= words.CAPITALS_OF_LONG_TEXT
    return bool(whole or re.search(words.CAPITAL_WORDS, text, re.ASCII))


def _of_zone(zone):
    count = len(zone.get("items") or [])
    if count <= words.MOST_ITEMS:
        return []
    return [_finding("short_zones", None, f"zone {zone.get('zone') or ''}", str(count))]


def _of_item(item):
    name, fields = item.get("item"), item.get("fields") or []
    return [*_of_step(name, item.get("do") or ""), *_of_why(name, item.get("why") or ""), *_of_reading(item, fields),
            *_of_results(item, fields), *(one for field in fields for one in _of_field(name, field)),
            *_of_names(item, fields)]


def _of_step(name, do):
    second = _pattern(words.SECOND_ACTION).search(_pattern(words.GESTURE).sub("", _pattern(words.OPENING).sub("", do)))
    caution = _pattern(words.CAUTION_IN_DO).search(_pattern(words.NOT_A_CAUTION).sub("", do))
    return [*([_finding("one_action", name, "do", second[1])] if second else []),
            *([_finding("caution_first", name, "do", caution[0])] if caution else [])]


def _of_why(name, why):
    caution = _pattern(words.CAUTION_IN_WHY).search(_pattern(words.NOT_A_CAUTION).sub("", why))
    return [_finding("caution_first", name, "why", _bare(caution[0]))] if caution else []


def _bare(text):
    return text.strip(",;.: ")


def _of_reading(item, fields):
    if any(field.get("kind") in words.NUMERIC for field in fields):
        return []
    for where, pattern in (("title", words.READING_IN_TITLE), ("do", words.READING_IN_DO)):
        asked = _pattern(pattern).search(_pattern(words.NOT_A_READING).sub("", item.get(where) or ""))
        if asked:
            return [_finding("value_not_tick", item.get("item"), where, _bare(asked[0]))]
    return []


def _of_results(item, fields):
    lines = [*_lines("look_for", item), *((f"{_place(field)}, option {number}", option) for field in fields
                                          for number, option in enumerate(field.get("options") or [], 1))]
    found = []
    for where, line in lines:
        told = _pattern(words.RESULT_WORD).search(_pattern(words.NO_RESULT_WORD).sub("", line or ""))
        told = told or _pattern(words.EMPTY_LINE).search(line or "")
        found += [_finding("state_not_checked", item.get("item"), where, _bare(told[0]))] if told else []
    return found


def _of_field(name, field):
    if field.get("source") or not (field.get("acceptable") or any(field.get(key) for key in words.JUDGED_BY)):
        return []
    return [_finding("limit_source", name, _place(field), field.get("title") or field.get("field") or "")]


def _of_names(item, fields):
    names = [("title", item.get("title")), *((f"{_place(field)}, title", field.get("title"))
                                             for field in fields)]
    names += [(f"{_place(field)}, stations", one) for field in fields for one in field.get("stations") or []]
    found = []
    for where, name in names:
        told = next((part for part in re.split(words.BETWEEN_NAMES, name or "") if _misread(part)), None)
        found += [_finding("look_alike", item.get("item"), where, told)] if told else []
    return found


def _misread(part):
    mixed = re.search(r"[0-9]", part) and re.search(r"[A-Za-z]", part)
    return bool(mixed and re.search(words.LOOK_ALIKE, part))


def _of_last(items):
    late = [item for item in items[-words.LAST_ITEMS:] if (item.get("countersign") or {}).get("needed")]
    return [_finding("critical_early", item.get("item"), "countersign", "") for item in late
            if not _pattern(words.TOOL_COUNT).search(item.get("title") or "")]


def _of_words(told):
    """One finding for each place of a word whose better known name stands on the same card."""
    found, whole = [], "\n".join(text for _, _, text in told)
    for keep, others in words.ONE_WORD:
        if _pattern(others).search(whole) and _pattern(rf"\b{keep}s?\b").search(whole):
            places = [(item, where, _pattern(others).search(text)) for item, where, text in told]
            found += [_finding("one_word", item, where, other[0], keep) for item, where, other in places if other]
    return found


def _finding(rule, item, where, word, keep=""):
    sentence = words.SENTENCES[rule].replace("{keep}", keep).replace("{word}", word)
    return {"rule": rule, "level": RULES[rule]["level"], "item": item, "where": where, "sentence": sentence}


def _pattern(source):
    if source not in _COMPILED:
        _COMPILED[source] = re.compile(source, FLAGS)
    return _COMPILED[source]
