"""A wrong card is refused with its place, what was found and what to write; a right one becomes one JSON shape."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.rules.canonical import canonical_text, read_canonical
from witnessmark.rules.card_template import load_template, revision_of
from witnessmark.rules.local_code import record_of
from witnessmark.rules.problems import Problem
from witnessmark.rules.units import UNITS
from wrong_cards import GOOD, WRONG


def refusal(text, name="trial.yaml"):
    with pytest.raises(Problem) as refused:
        load_template(text, name)
    assert refused.value.code == "template_refused"
    return refused.value


@pytest.mark.parametrize("case", WRONG, ids=lambda case: f"{case[0][:20].strip()}-{case[2][:30]}")
def test_a_wrong_card_is_told_where_and_what_to_write(case):
    old, new, *words = case
    assert old in GOOD
    problem = refusal(GOOD.replace(old, new, 1))
    assert any(all(word in sentence for word in words) for sentence in problem.fields["faults"]), problem.fields
    assert all(sentence.startswith("trial.yaml") and " Write " in sentence for sentence in problem.fields["faults"])


@pytest.mark.parametrize(("text", "word"), [
    ("", "empty"), ("# only a remark\n", "empty"), ("a", "not a group of keys"), ("[1, 2]", "not a group of keys"),
    ("[" * 5000, "deeper than 20"), ("a: " * 50, "not well-formed"), ("x: " + "y" * 300000, "larger than 256 kB"),
    ("- a\n" * 30000, "more than 20000 values"), ("a: \ud800", "U+D800"), ("\x00", "U+0000"),
])
def test_what_is_no_card_at_all_is_refused_in_words(text, word):
    assert word in refusal(text).sentence


def test_all_faults_of_a_file_are_told_at_once():
    faults = refusal(GOOD.replace("unit: in\n", "unit: inch\n").replace("rule: on_fail", "rule: ever")).fields["faults"]
    assert len(faults) == 2


def test_the_sentence_leads_the_author_to_the_value():
    # The wording the issue asks for: file, line, zone, item, field, key, the value, and what to write instead.
    assert refusal(GOOD.replace("unit: in\n", "unit: inch\n")).sentence == (
        "trial.yaml, line 26, zone tube, item surface, field run_out, key unit: \"inch\" is not a unit we know. "
        f"Write one of: {', '.join(UNITS)}.")


def test_scalars_stay_the_text_that_stands_there():
    assert "no: 012 1:30 null" in load_template(GOOD, "trial.yaml")["zones"][0]["items"][0]["look_for"]
    bare = GOOD.replace("title: Surface", "title: 012").replace("title: Nut", "title: null")
    first, second = load_template(bare, "trial.yaml")["zones"][0]["items"]
    assert (first["title"], second["title"]) == ("012", "null")


def test_every_key_is_present_in_the_result():
    surface, nut = load_template(GOOD, "trial.yaml")["zones"][0]["items"]
    assert surface.keys() == nut.keys()
    assert surface["fields"][0].keys() - nut["fields"][0].keys() == {"angles"}
    assert nut["photo"] == {"rule": "none", "of": None}
    assert nut["countersign"] == {"needed": False, "reason": None, "controls": False}
    assert surface["countersign"]["controls"] is False
    assert nut["fields"][0]["limits"] == {"min": "50", "max": "70"}
    assert (nut["not_applicable"], nut["fields"][0]["required"]) == (True, False)
    assert surface["fields"][0]["limits"] == {"min": None, "max": "0.0050"}


@pytest.mark.parametrize(("written", "record"), [
    ("inspection: 100-hour", "inspection_part"),
    ("record: inspection\ninspection: 100-hour\nwhole: no", "inspection_part"),
    ("inspection: 100-hour\nwhole: yes", "inspection"),
    ("record: maintenance", "maintenance"),
])
def test_a_card_says_what_is_signed_off_with_it(written, record):
    # 14 CFR 43.9 and 43.11: maintenance and inspections are two kinds of record.
    template = load_template(GOOD.replace("inspection: 100-hour", written), "trial.yaml")
    assert record_of(template) == record
    assert (template["inspection"] is None) == (record == "maintenance")


def test_a_step_that_disturbs_the_controls_says_so():
    text = GOOD.replace('needed: "yes"', 'needed: "yes", controls: "yes"')
    assert load_template(text, "trial.yaml")["zones"][0]["items"][0]["countersign"]["controls"] is True


def test_a_revision_is_named_by_its_content_not_by_its_layout():
    again = GOOD.replace("title: Trial card", "title:   'Trial card'   # said otherwise")
    changed = GOOD.replace("Wipe the tube.", "Wipe the tube dry.")
    one, two, three = (revision_of(load_template(text, "trial.yaml")) for text in (GOOD, again, changed))
    assert one == two != three


def test_a_template_is_canonical_json():
    template = load_template(GOOD, "trial.yaml")
    assert read_canonical(canonical_text(template)) == template


@pytest.mark.parametrize("written", ["re\u0301sume\u0301", "r\u00e9sum\u00e9", "'r\u00e9sum\u00e9\u00a0'"])
def test_one_spelling_of_an_accent_and_a_blank_is_kept(written):
    template = load_template(GOOD.replace("title: Surface", f"title: {written}"), "trial.yaml")
    assert template["zones"][0]["items"][0]["title"] == "r\u00e9sum\u00e9"


def test_a_joiner_that_a_script_needs_is_kept():
    word = "\u0645\u06cc\u200c\u0631\u0648\u062f"
    template = load_template(GOOD.replace("title: Surface", f"title: {word}"), "trial.yaml")
    assert template["zones"][0]["items"][0]["title"] == word


def survives(text):
    """The text ends as a card with a revision, or in sentences that can be sent and printed."""
    try:
        assert len(revision_of(load_template(text, "trial.yaml"))) == 64
    except Problem as problem:
        assert problem.code == "template_refused"
        assert "\n".join(problem.fields["faults"]).encode()


SHARP = ["\\UFFFFFFFF", "\\ud800", "\\x07", "\\N", '"', "'", "- ", "? ", ": ", "&a ", "*a", "!!str ", "!<x> ", "{", "}",
         "[", "]", "|\n", ">-\n", "%A b\n", "---\n", "...\n", "#", ",", "\t", "\ufeff", "\ud800", "\u202e", "\r",
         "\n", "  ", "~"]


@settings(max_examples=300, deadline=None)
@given(data=st.data())
def test_no_sharp_piece_put_anywhere_breaks_out(data):
    text = GOOD
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        piece = data.draw(st.sampled_from(SHARP))
        text = text[:at] + data.draw(st.sampled_from([piece, f'"{piece}"'])) + text[at:]
    survives(text)


@settings(max_examples=200, deadline=None)
@given(raw=st.binary(max_size=400))
def test_no_bytes_break_out(raw):
    survives(raw.decode("utf-8", "surrogateescape"))
    survives(raw.decode("latin-1"))


@settings(max_examples=300, deadline=None)
@given(data=st.data())
def test_no_damage_to_a_file_ends_in_anything_but_a_card_or_a_sentence(data):
    at = data.draw(st.integers(0, len(GOOD)))
    cut = data.draw(st.integers(0, 40))
    survives(GOOD[:at] + data.draw(st.text(max_size=12)) + GOOD[at + cut:])
