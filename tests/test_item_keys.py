"""belongs_to, covers and system: read as written, left out of the JSON when not given, refused with the place."""

import pytest

from witnessmark.rules.card_template import load_template, revision_of
from witnessmark.rules.problems import Problem

CARD = """\
format: "1"
card: trial
title: Trial card
scope: Everything on a bench.
inspection: 100-hour
applies_to: Nothing that flies
cautions: [Battery off.]
BELONGSzones:
  - zone: bench
    title: Bench
    items:
      - item: one
        title: One
        do: Measure.
        look_for: [a sound part]
        why: It holds.
KEYS"""


def read(keys="", belongs_to=""):
    indented = "".join(f"        {line}\n" for line in keys.splitlines())
    text = CARD.replace("BELONGS", f"belongs_to: {belongs_to}\n" if belongs_to else "").replace("KEYS", indented)
    return load_template(text, "trial.yaml")


def item_of(template):
    return template["zones"][0]["items"][0]


def told(keys="", belongs_to=""):
    with pytest.raises(Problem) as refusal:
        read(keys, belongs_to)
    return "\n".join(refusal.value.fields["faults"])


def test_a_card_without_the_keys_has_none_of_them_so_its_old_revision_keeps_its_name():
    template = read()
    assert {"belongs_to"} & set(template) == {"covers", "system"} & set(item_of(template)) == set()
    # The revision that this text had before the keys were known: computed by the program at commit 0c0330c.
    assert revision_of(template) == "4a9fe4a6682615ba6096ce6ca77d15220fe88b63d6f16de459f50ee8225e01f0"


def test_the_keys_are_read_as_written():
    template = read("covers: [43D-a, 43.15-b-4, 43.15-c-iv]\nsystem: tail_rotor", "[hours_100, annual]")
    assert template["belongs_to"] == ["hours_100", "annual"]
    assert item_of(template)["covers"] == ["43D-a", "43.15-b-4", "43.15-c-iv"]
    assert item_of(template)["system"] == "tail_rotor"


@pytest.mark.parametrize(("keys", "belongs_to", "parts"), [
    ("covers: [43D-k]", "", ["item one", "\"43D-k\" is not a covers we know", "43D-a"]),
    ("covers: []", "", ["item one", "the number of members is 0"]),
    ("covers: 43D-a", "", ["item one", "\"43D-a\" is not a list"]),
    ("covers: [43D-a, 43D-a]", "", ["item one", "stands twice"]),
    ("covers: [[43D-a]]", "", ["item one", "a list is not a covers we know"]),
    ("system: wing", "", ["item one", "\"wing\" is not a system we know", "main_rotor"]),
    ("system: [fuel]", "", ["item one", "a list is not a system we know"]),
    ("", "[yearly]", ["\"yearly\" is not a belongs_to we know", "before_flight"]),
    ("", "annual", ["\"annual\" is not a list"]),
    ("", "[annual, annual]", ["stands twice"]),
    ("belongs_to: [annual]", "", ["item one", "the key \"belongs_to\" does not belong here"]),
])
def test_a_wrong_key_is_refused_with_its_place_and_the_advice(keys, belongs_to, parts):
    sentences = told(keys, belongs_to)
    assert [part for part in parts if part not in sentences] == []
