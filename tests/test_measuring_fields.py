"""The members of a field that say how its values are judged: read as written, refused with the place and the advice."""

import json

import pytest

from witnessmark.pdf.attention import SHOWN_PROBLEMS
from witnessmark.rules.card_template import load_template
from witnessmark.rules.entry import READING
from witnessmark.rules.measuring_sentences import MEASURING
from witnessmark.rules.problems import Problem
from witnessmark.rules.readings import judge_reading
from witnessmark.rules.shape import check_shape

CARD = """\
format: "1"
card: trial
title: Trial card
scope: Everything on a bench.
inspection: 100-hour
applies_to: Nothing that flies
cautions: [Battery off.]
zones:
  - zone: bench
    title: Bench
    items:
      - item: one
        title: One
        do: Measure.
        look_for: [a sound part]
        why: It holds.
        fields:
          - field: value
            title: Value
            source: invented
"""
DIAL = 'kind: run_out\nunit: in\nstations: ["0°", "90°", "180°", "270°"]\nlimits: {max: "0.005"}\n'
ROW = 'kind: measure\nunit: in\nstations: [root, middle, tip]\nlimits: {min: "0.050"}\n'
COMPRESSION = 'kind: compression\nunit: psi\nstations: ["1", "2"]\nlimits: {min: "60"}\n'
TENSION = 'kind: look_up\nunit: lbf\ntool: tensiometer\nlimits_by: {title: Temperature, unit: °F, rows: [ROWS]}\n'
SIXTY, EIGHTY = '{at: "60", limits: {min: "50", max: "60"}}', '{at: "80", limits: {min: "60", max: "80"}}'
TWO_ROWS = TENSION.replace("ROWS", f"{SIXTY}, {EIGHTY}")


def read(lines):
    indented = "".join(f"            {line}\n" for line in lines.splitlines())
    return load_template(CARD + indented, "trial.yaml")["zones"][0]["items"][0]["fields"][0]


def told(lines):
    with pytest.raises(Problem) as refusal:
        read(lines)
    return "\n".join(refusal.value.fields["faults"])


@pytest.mark.parametrize(("lines", "key", "value"), [
    (DIAL, "angles", ["0", "90", "180", "270"]),
    (DIAL.replace('"0°", "90°", "180°", "270°"', "12 o'clock, 3 o'clock, 6 o'clock, 9 o'clock"), "angles",
     ["0", "90", "180", "270"]),
    (DIAL.replace('"0°", "90°", "180°", "270°"', "a, b, c, d") + 'angles: ["0", "90.5", "180", "270"]', "angles",
     ["0", "90.5", "180", "270"]),
    (DIAL + 'return_within: "0.0005"', "return_within", "0.0005"),
    (ROW + 'step: "0.010"', "step", "0.010"),
    (ROW + 'spread: "0.010"', "spread", "0.010"),
    (ROW + "wear: thickness", "wear", "thickness"),
    (ROW + "tool: caliper\ndecision: guarded", "decision", "guarded"),
    (ROW + 'trend: "yes"', "trend", True),
    ('kind: measure\nunit: V\nstations: [off, on]\nlimits_at: [{min: "12"}, {min: "13", max: "14"}]', "limits_at",
     [{"min": "12", "max": None}, {"min": "13", "max": "14"}]),
    ('kind: torque\nunit: in-lbf\nlimits: {min: "50"}\ntorque: {drag: "yes", nut: castle}', "torque",
     {"drag": True, "nut": "castle"}),
    (COMPRESSION + 'compression: {mode: fixed_ratio, supply: "80", bore: "4.375"}', "compression",
     {"mode": "fixed_ratio", "supply": "80", "bore": "4.375"}),
    ('kind: drop\nunit: rpm\nstations: [L, R]\nlimits: {max: "150"}\ndifference: "50"', "difference", "50"),
    ('kind: balance\nunit: ips\nlimits: {max: "0.2"}\nbalance: {mass_unit: g}', "balance", {"mass_unit": "g"}),
    ("kind: scale\noptions: [a, b]\nmeans: [good, bad]\nacceptable: [a]", "means", ["good", "bad"]),
    (TWO_ROWS, "limits_by", {"title": "Temperature", "unit": "°F", "rows": [
        {"at": "60", "limits": {"min": "50", "max": "60"}}, {"at": "80", "limits": {"min": "60", "max": "80"}}]}),
])
def test_a_member_is_read_as_it_is_written(lines, key, value):
    assert read(lines)[key] == value


SEVEN = COMPRESSION.replace('["1", "2"]', "[a, b, c, d, e, f, g]")
FIXED = 'compression: {mode: fixed_ratio, supply: "80"}\n'
BY_ORIFICE = FIXED.replace("fixed_ratio", "master_orifice")
FIFTEEN = ", ".join(f"s{number}" for number in range(15))
DROP = 'kind: drop\nunit: rpm\nstations: [L, R]\nlimits: {max: "150"}\n'
UNLIMITED = SEVEN.replace('limits: {min: "60"}\n', "")


@pytest.mark.parametrize("lines", [
    SEVEN + FIXED, SEVEN + FIXED + 'trend: "yes"', DROP.replace("L, R", FIFTEEN) + 'trend: "yes"',
    UNLIMITED.replace(", g]", "]") + BY_ORIFICE + 'trend: "yes"\ntool: tester',
])
def test_the_most_that_the_loader_allows_is_an_entry(lines):
    """What a person can record of the largest field has room in the signed entry."""
    field = read(lines)
    inputs = {"confirmed": "yes", "new_part": "yes"} if "trend" in field else {"confirmed": "yes"}
    inputs |= {"tolerance": "1"} if field["tool"] else {}
    places = range(1, len(field["stations"]) + 1)
    if field["kind"] == "drop":
        inputs["base"] = "2000"
    else:
        inputs |= {f"{name}_{place}": said for place in places for name, said in (("heard", "none"), ("again", "1"))}
        inputs |= {"master_orifice": "40"} if field["compression"]["mode"] == "master_orifice" else {}
    reading = {"values": ["70" for _ in places], "unit": field["unit"], "tools": [], "inputs": inputs, "derived": {}}
    reading["derived"] = judge_reading(field, reading)["derived"]
    check_shape(reading, READING, "reading")
    assert len(reading["derived"]) > len(field["stations"])


@pytest.mark.parametrize(("lines", "words"), [
    (ROW + 'spread: "-0.010"', ("spread is -0.010", "without the minus")),
    (DIAL + 'return_within: "-1"', ("return_within is -1",)),
    ('kind: measure\nunit: in\nspread: "0.01"', ("spread compares places", "`stations: `")),
    (COMPRESSION + 'compression: {mode: fixed_ratio, supply: "80", bore: "0"}', ("a bore of 0 is none",)),
    (COMPRESSION.replace('"60"', '"81"') + FIXED, ("min 81 is above the supply of 80", "a smaller min")),
    (DIAL.replace("max", "min"), ("run_out has no max, so the worst would pass", "`max: `")),
    (ROW.replace("min", "max") + "wear: thickness", ("the thickness of wear has no min",)),
    (ROW + "wear: depth", ("the depth of wear has no max",)),
    (DROP.replace("150", "0"), ("none could pass", "above 0")),
    (ROW + "decision: guarded", ("names no tool", "`tool: `")),
    ('kind: torque\nunit: in-lbf\ntool: wrench\ndecision: four_outcome', ("there are no limits", "no decision")),
    ('kind: torque\nunit: in-lbf\ntorque: {drag: "yes"}', ("added to limits, but there are none", "`drag: ")),
    (TWO_ROWS.replace("tool: tensiometer\n", ""), ("a look_up names no tool", "`tool: tensiometer`")),
    (TWO_ROWS.replace("lbf", "psi"), ("psi is no unit of force", "lbf")),
    ("kind: scale\nscale: leak\noptions: [a, b]", ("brings its own options", "without options and means")),
    (DIAL.replace('"0°", "90°", "180°", "270°"', '"0°", "1°", "2°", "3°"'), ("cannot show the shape", "180°")),
    (DIAL + 'angles: ["0", "0", "180", "180"]', ('the angle of "90°" is given as 0', "90, or another name")),
    (DIAL.replace('"0°", "90°", "180°", "270°"', "a, b, c, d") + 'angles: ["5", "5", "5", "185"]',
     ("cannot show the shape",)),
    ('kind: balance\nunit: ips\nlimits: {max: "0.2"}', ("what its weights are in", "`balance: {mass_unit: g}`")),
    (SEVEN.replace(", g]", ", g, h]") + FIXED, ("cannot hold 8 stations of a compression", "at most 7 stations")),
    (SEVEN + FIXED + 'trend: "yes"\ntool: tester', ("cannot hold 7 stations", "at most 6 stations")),
    (UNLIMITED + BY_ORIFICE + 'trend: "yes"', ("cannot hold 7 stations", "a second field")),
    (DROP.replace("L, R", FIFTEEN + ", s15"), ("cannot hold 16 stations of a drop", "at most 15 stations")),
])
def test_what_cannot_be_meant_so_is_refused(lines, words):
    sentence = told(lines)
    assert "field value" in sentence and all(word in sentence for word in words), sentence


def test_members_that_are_not_given_are_not_there():
    """A revision from before they were known keeps its name: its JSON must not change."""
    assert read('kind: measure\nunit: in\ntrend: "no"').keys() == {
        "field", "kind", "title", "unit", "stations", "limits", "source", "tool", "options", "acceptable", "required"}
    assert "angles" not in read(DIAL.replace('"0°"', "top"))


def test_a_published_scale_is_filled_in_with_its_source():
    field = read("kind: scale\nscale: corrosion\nacceptable: [Stage I]").copy()
    assert (len(field["options"]), len(field["means"]), field["source"]) == (4, 4, "invented")
    bare = CARD.replace("            source: invented\n", "")
    text = bare + "            kind: scale\n            scale: leak\n"
    [leak] = load_template(text, "trial.yaml")["zones"][0]["items"][0]["fields"]
    assert leak["source"] == "US Army TM 5-5420-203-14, classes of leakage"
    assert leak["options"] == ["Class I", "Class II", "Class III"]


@pytest.mark.parametrize(("lines", "words"), [
    (DIAL + 'step: "0.010"', ("a run_out cannot have the key step", "measure")),
    (ROW + 'step: "ten"', ('"ten" is not a number', "key step")),
    ('kind: measure\nunit: in\nstep: "0.01"', ("no stations", "`stations: `")),
    (ROW + "wear: rust", ('"rust"', "thickness, depth")),
    (ROW + "decision: maybe", ('"maybe"', "simple, guarded, four_outcome")),
    (DIAL + 'angles: ["0", "90", "180"]', ("angles has 3 members, but there are 4 stations",)),
    (ROW.replace('limits: {min: "0.050"}', 'limits_at: [{min: "1"}, {min: "2"}]'), ("limits_at has 2 members",)),
    (ROW + 'limits_at: [{min: "1"}, {min: "1"}, {min: "1"}]', ("given twice", "one of: limits, limits_at, limits_by")),
    (TENSION.replace("ROWS", SIXTY), ("do not rise, or there is only one", "at least two rows")),
    (TENSION.replace("ROWS", f"{EIGHTY}, {SIXTY}"), ("do not rise", "smallest `at` first")),
    (TWO_ROWS.replace('"80", limits: {min: "60", max', '"80", limits: {max'), ("in some rows only", "in every row")),
    (TWO_ROWS.replace('"60", limits: {min: "50", max: "60"}', '"60"'), ("has limits and limits_at, or neither",)),
    (TWO_ROWS.replace('"60"', '"cold"', 1), ("every `at` is a number", "or no unit")),
    (TWO_ROWS.replace(" unit: °F,", "").replace('"80", limits', '"60", limits'), ("two rows have the same `at`",)),
    (COMPRESSION, ("how the compression is judged", "`compression: ` with mode and supply")),
    (COMPRESSION + 'compression: {mode: fixed_ratio, supply: "0"}', ("a supply pressure of nothing",)),
    (COMPRESSION + 'compression: {mode: master_orifice, supply: "80"}', ("the master orifice gives the limit",)),
    (COMPRESSION.replace("psi", "in") + 'compression: {mode: fixed_ratio, supply: "80"}',
     ("in is no unit of pressure", "psi")),
    ('kind: drop\nunit: rpm\nstations: [L, R]', ("a drop has no limit", "limits: {max: ...}")),
    ('kind: drop\nunit: rpm\nlimits: {max: "150"}', ("a drop has no stations",)),
    ('kind: rate\nunit: rpm', ("rpm is no unit of volume",)),
    ('kind: rate\nunit: qt\nstations: [a, b]', ("a rate cannot have stations",)),
    ("kind: scale\noptions: [a, b]", ("says what it means", "`means: `")),
    ("kind: choice\noptions: [a, b]\nscale: leak", ("a choice cannot have the key scale",)),
    ("kind: scale\nscale: rust", ('"rust"', "corrosion, leak")),
    ("kind: scale\nscale: leak\nacceptable: [Class IX]", ('"Class IX" is acceptable but no option',)),
    ("kind: torque\nunit: in-lbf\ntorque: {nut: wing}", ('"wing"', "castle, plain")),
    ("kind: balance\nunit: ips\nlimits: {max: 0.2}\nbalance: {mass_unit: kg}", ('"kg"', "one of: g")),
])
def test_a_wrong_member_is_refused_with_its_place_and_advice(lines, words):
    sentence = told(lines)
    assert "field value" in sentence and all(word in sentence for word in words), sentence


def test_a_limit_needs_its_source_wherever_it_stands():
    for lines in (ROW.replace("limits", "# limits") + 'spread: "0.010"', TWO_ROWS):
        bare = CARD.replace("            source: invented\n", "")
        with pytest.raises(Problem) as refusal:
            load_template(bare + "".join(f"            {line}\n" for line in lines.splitlines()), "trial.yaml")
        assert "without its source" in refusal.value.sentence


def test_every_stop_of_a_reading_has_words_on_the_phone_and_on_paper(node):
    """Codes of the sentences about measured values; those that are no stop of a fold are named here."""
    asked_at_once = {"value_absurd", "drag_large", "hours_many", "no_published_value", "prevailing_by_hand"}
    codes = sorted(MEASURING.keys() - asked_at_once)
    told = node(f"import('./client/parts/status_words.js').then((m) => console.log(JSON.stringify({codes}"
                ".map((code) => m.stop_words(code)))))")
    assert [code for code, words in zip(codes, json.loads(told), strict=True) if code in words] == []
    assert set(codes) - SHOWN_PROBLEMS.keys() == set()
