"""Our own cards, held to what a professional would write (issue: the main job; DESIGN section 6)."""

import re

import pytest

from witnessmark.config import bundled
from witnessmark.rules.card_template import load_template

FILES = sorted(bundled("checklists").glob("*.yaml"))
FOUR = {"mast", "mounts", "blades", "fuel"}
# FAA Human Factors Guide ch. 6; Degani & Wiener guideline 1: a response names the state, never "checked" or "set".
# AC 43.13-1B Table 7-1, page 7-9: recommended torque, in-lbf, fine thread, nuts loaded in tension.
TABLE_7_1 = {"10-32": ("20", "25"), "1/4-28": ("50", "70"), "5/16-24": ("100", "140"), "3/8-24": ("160", "190"),
             "7/16-20": ("450", "500"), "1/2-20": ("480", "690")}
# One action a step (common practice, no source): the words that start a second one. Watching is not an action.
SECOND_ACTION = re.compile(r"(,|;|\.|\band|\bthen) (take|tie|write|read|compare|record|open|close|clean|wash|dry|fit|"
                           r"paint|search|measure|wait|inspect|tighten|refit|put|cut|repeat)\b")
EMPTY_WORDS = re.compile(r"^(checked|set|ok|okay|good|normal)\.?$", re.IGNORECASE)


@pytest.fixture(params=FILES, ids=lambda path: path.stem)
def card(request):
    return load_template(request.param.read_text(encoding="utf-8"), request.param.name)


def items(card):
    return [item for zone in card["zones"] for item in zone["items"]]


def test_the_four_cards_of_the_main_job_are_there():
    assert {path.stem for path in FILES} >= FOUR


def test_a_card_has_twelve_to_twenty_five_items_in_zones(card):
    assert 12 <= len(items(card)) <= 25
    assert len(card["zones"]) >= 3


def test_no_look_for_line_is_an_empty_word(card):
    assert [line for item in items(card) for line in item["look_for"] if EMPTY_WORDS.match(line)] == []


def test_the_items_that_can_kill_are_countersigned_and_cannot_be_skipped(card):
    critical = [item for item in items(card) if item["countersign"]["needed"]]
    assert 3 <= len(critical) <= 8
    assert [item["item"] for item in critical if item["not_applicable"]] == []


def test_a_card_warns_before_the_step(card):
    assert sum(bool(item["cautions"]) for item in items(card)) >= 3


def test_a_card_asks_for_photos_but_not_at_every_step(card):
    rules = [item["photo"]["rule"] for item in items(card)]
    assert rules.count("required") <= 2
    assert len(rules) - rules.count("none") >= 2


def test_every_number_asked_for_has_its_tool_or_is_a_plain_count(card):
    fields = [field for item in items(card) for field in item["fields"] if field["kind"] in ("run_out", "torque")]
    assert [field["field"] for field in fields if not field["tool"]] == []


def test_tools_and_rags_are_accounted_for_in_the_last_zone(card):
    last = " ".join(item["title"] for item in card["zones"][-1]["items"])
    assert "tools and rags accounted for" in last.lower() or "tools, rags" in last.lower()


def test_an_invented_limit_says_so_and_defers_to_the_manufacturer(card):
    sources = {field["source"] for item in items(card) for field in item["fields"] if field["source"]}
    named = ("manufacturer's current instructions govern", "placard and flight manual govern", "AC 43.13-1B par. ")
    assert [source for source in sources if not any(name in source for name in named)] == []


def test_a_torque_from_the_table_is_the_printed_one_and_names_its_condition(card):
    fields = [field for item in items(card) for field in item["fields"] if "Table 7-1" in (field["source"] or "")]
    for field in fields:
        size = re.search(r"Table 7-1, (\S+), tension nut", field["source"]).group(1)
        assert (field["limits"]["min"], field["limits"]["max"], field["unit"]) == (*TABLE_7_1[size], "in-lbf")
        assert "oil-free cadmium-plated threads where no specific torque is published" in field["source"]
        assert "friction drag taken off" in field["title"]


def test_a_step_is_one_action(card):
    assert [item["do"] for item in items(card) if SECOND_ACTION.search(item["do"])] == []


def test_tools_are_counted_before_the_work(card):
    first = card["zones"][0]["items"]
    assert [item["title"] for item in first if "counted in" in item["title"]] != []


def test_the_mast_is_measured_at_eight_stations():
    path = bundled("checklists") / "mast.yaml"
    card = load_template(path.read_text(encoding="utf-8"), path.name)
    dials = [field for item in items(card) for field in item["fields"] if field["kind"] == "run_out"]
    assert [len(field["stations"]) for field in dials] == [8] * len(dials) != []
