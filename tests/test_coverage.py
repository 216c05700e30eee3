"""The annual set of our cards maps to every duty that the rule names (14 CFR 43.15(c)(1): the checklist has the scope
and detail of Appendix D and of 43.15(b)).
"""

from copy import deepcopy

import pytest

from witnessmark.config import bundled
from witnessmark.records import template_files
from witnessmark.rules.coverage import DUTIES, uncovered

# 14 CFR part 43, Appendix D has the paragraphs (a) to (j); 43.15(b) four items; 43.15(c)(2) four.
APPENDIX_D = [f"43D-{letter}" for letter in "abcdefghij"]
ROTORCRAFT = [f"43.15-b-{number}" for number in (1, 2, 3, 4)]
RUN_UP = [f"43.15-c-{number}" for number in ("i", "ii", "iii", "iv")]


@pytest.fixture(scope="module")
def library():
    return [template_files.read(path) for path in sorted(bundled("checklists").glob("*.yaml"))]


def set_of(library, inspection):
    return [card for card in library if inspection in card.get("belongs_to", ())]


def codes(cards):
    return {code for card in cards for zone in card["zones"] for item in zone["items"]
            for code in item.get("covers", ())}


def without(cards, gone):
    """The cards, their items no longer saying that they fulfil the duty `gone`."""
    cards = deepcopy(cards)
    for item in (item for card in cards for zone in card["zones"] for item in zone["items"]):
        item["covers"] = [code for code in item.get("covers", ()) if code != gone]
    return cards


def test_the_duties_are_those_of_the_rule():
    assert list(DUTIES) == APPENDIX_D + ROTORCRAFT + RUN_UP
    assert [code for code, duty in DUTIES.items() if not duty["title"] or "14 CFR" not in duty["source"]] == []


@pytest.mark.parametrize("inspection", ["annual", "hours_100"])
def test_the_cards_of_an_annual_and_of_a_100_hour_inspection_fulfil_every_duty(library, inspection):
    assert uncovered(set_of(library, inspection)) == []


def test_every_code_is_used_by_a_card_of_the_annual_set(library):
    assert codes(set_of(library, "annual")) == set(DUTIES)


@pytest.mark.parametrize("gone", APPENDIX_D + ROTORCRAFT + RUN_UP)
def test_a_set_without_one_is_told(library, gone):
    assert uncovered(without(set_of(library, "annual"), gone)) == [gone]


def test_no_card_at_all_fulfils_nothing():
    assert uncovered([]) == list(DUTIES)


def test_the_run_up_card_alone_fulfils_the_four_run_up_items(library):
    (run_up,) = [card for card in library if card["card"] == "run_up"]
    assert codes([run_up]) == set(RUN_UP)


def test_every_card_of_the_library_says_what_it_belongs_to_and_every_inspection_has_one(library):
    assert [card["card"] for card in library if not card.get("belongs_to")] == []
    assert [name for name in ("before_flight", "hours_25", "hours_50", "hours_100", "annual", "special")
            if not set_of(library, name)] == []
