"""The local codes that come with the program: the published sentences to the letter, and our own named as our own."""

import json

import pytest

from witnessmark.config import bundled
from witnessmark.demo_phone import Phone, passing
from witnessmark.rules.card_state import fold
from witnessmark.rules.card_template import load_template
from witnessmark.rules.local_code import KEYS, SLOT, check_local_code, control_persons, slots_of, statement

CODES = {path.stem: json.loads(path.read_text(encoding="utf-8"))
         for path in sorted(bundled("local_codes").glob("*.json"))}
TEMPLATES = {path.stem: load_template(path.read_text(encoding="utf-8"), path.name)
             for path in sorted(bundled("checklists").glob("*.yaml"))}
CARD = {"card": "ca" * 16, "revision": "0" * 64, "number": "WC-0007", "title": "Closing the inspection",
        "aircraft": {"registration": "N0417W", "serial_number": "0042"},
        "times": {"airframe": {"value": "1234.5", "unit": "h"}}}
BODY = {"date": "2026-11-25", "inspection": {"type": "100-hour", "extent": "all of it"}}
# Typed from the sources named, not copied from the files.
PUBLISHED = {
    # 14 CFR 43.11(a)(4), "(insert type)" filled.
    ("us", "inspection"): "I certify that this aircraft has been inspected in accordance with 100-hour inspection and "
                          "was determined to be in airworthy condition.",
    # 14 CFR 43.11(a)(5), "(insert type)" and "(date)" filled; the rule says "provided for".
    ("us", "disapproval"): "I certify that this aircraft has been inspected in accordance with 100-hour inspection and "
                           "a list of discrepancies and unairworthy items dated 2026-11-25 has been provided for the "
                           "aircraft owner or operator.",
    # M.A.801(e) AMC 1(a), UK Continuing Airworthiness Regulations (consolidated, 20 November 2021), page 65.
    ("uk", "maintenance"): "Certifies that the work specified except as otherwise specified was carried out in "
                           "accordance with Part-M and in respect to that work the aircraft is considered ready for "
                           "release to service.",
    # AMC to ML.A.801: from memory; the code asks the shop to confirm it.
    ("easa_ml", "maintenance"): "Certifies that the work specified except as otherwise specified was carried out in "
                                "accordance with Part-ML and in respect to that work the aircraft is considered ready "
                                "for release to service.",
    # Canadian Aviation Regulations, 571.10(2).
    ("ca", "maintenance"): "The described maintenance has been performed in accordance with the applicable "
                           "airworthiness requirements.",
}


def filled(code, key, body=BODY):
    return statement(CODES[code], key, slots_of(CARD, body))


def test_the_four_local_codes_are_there():
    assert set(CODES) == {"us", "easa_ml", "uk", "ca"}


@pytest.mark.parametrize("name", CODES)
def test_a_local_code_has_the_shape_that_the_shop_accepts(name):
    check_local_code(CODES[name])
    assert CODES[name]["code"] == name


@pytest.mark.parametrize(("code", "key"), PUBLISHED, ids=str)
def test_a_published_sentence_stands_to_the_letter(code, key):
    assert filled(code, key) == PUBLISHED[code, key]


@pytest.mark.parametrize("code", ["easa_ml", "uk", "ca"])
def test_outside_the_usa_one_sentence_releases_whatever_was_specified(code):
    # An inspection is maintenance there: M.A.801, ML.A.801 and CAR 571.10 know one release sentence.
    assert filled(code, "inspection") == filled(code, "inspection_part") == filled(code, "maintenance")


def test_a_sentence_read_in_no_source_or_in_an_old_print_is_confirmed_with_the_authority_first():
    assert {name for name, code in CODES.items() if code["confirm"]} == {"easa_ml", "uk", "ca"}
    for name in ("easa_ml", "uk", "ca"):
        for key in ("inspection", "inspection_part", "maintenance"):
            assert "Confirm it with your authority before use" in CODES[name]["statements"][key]["source"]
    assert "from memory" in CODES["easa_ml"]["statements"]["inspection"]["source"]


def test_every_sentence_that_is_not_published_is_named_as_our_own():
    own = {(name, key) for name, code in CODES.items() for key in KEYS
           if code["statements"][key]["source"].startswith("Own wording")}
    published = {("us", "inspection"), ("us", "disapproval")}
    published |= {(name, key) for name in ("easa_ml", "uk", "ca")
                  for key in ("inspection", "inspection_part", "maintenance")}
    assert own == {(name, key) for name in CODES for key in KEYS} - published


@pytest.mark.parametrize("key", ["inspection_part", "disapproval_part"])
def test_in_the_usa_a_part_says_which_part_and_claims_no_more(key):
    # 14 CFR 43.11(a)(4), (5): "the following or a similarly worded statement"; a card that is a part is not the whole.
    text = filled("us", key)
    assert "the part of the 100-hour inspection described on work card WC-0007 (Closing the inspection)" in text
    assert "in respect of this part only" in text
    assert ("has been provided for the aircraft owner or operator" in text) == (key == "disapproval_part")


def test_in_the_usa_maintenance_is_approved_only_for_the_work_performed():
    # 14 CFR 43.9(a): the signature is the approval for return to service only for the work performed.
    text = filled("us", "maintenance", {"date": "2026-11-25", "inspection": None})
    assert "approves it for return to service only for the work performed" in text
    assert "N0417W" in text and "inspect" not in text


def test_a_maintenance_sentence_has_no_slot_for_the_type_of_an_inspection():
    # slots_of leaves {type} empty there: the sentence would have a hole.
    texts = {name: code["statements"]["maintenance"]["text"] for name, code in CODES.items()}
    assert [name for name, text in texts.items() if "type" in SLOT.findall(text)] == []


@pytest.mark.parametrize("name", CODES)
def test_a_disapproval_never_approves(name):
    for key in ("disapproval", "disapproval_part"):
        text = filled(name, key)
        assert "2026-11-25" in text and "provided for" in text
        assert not any(word in text for word in ("airworthy condition", "ready for release", "return to service"))


def test_disturbed_controls_take_two_signatures_in_canada():
    # Standard 571.10, table, (d): "by at least two persons, and the technical record contains the signatures of both".
    assert {name: control_persons(code) for name, code in CODES.items()} == {"us": 1, "easa_ml": 1, "uk": 1, "ca": 2}
    text = filled("ca", "countersignature")
    assert all(word in text for word in ("assembly", "locking", "sense", "range of motion"))


def person(digit, name):
    return {"person": digit * 32, "name": name, "certificate": {"kind": "invented", "number": "1"}}


ANN, INA, IVO = person("a", "Ann Mechanic"), person("b", "Ina Inspector"), person("c", "Ivo Inspector")
TOOLS = {"": {"serial": "TL-01", "calibrated_until": None}}
PHOTO = {"sha256": "0" * 64, "bytes": 1, "type": "image/jpeg", "caption": ""}


def walked(template, code, inspectors):
    """A card of `template` walked by Ann within all limits, each item countersigned by every one of `inspectors`."""
    phone = Phone("5e" * 16, lambda: "2026-11-25T08:00:00Z", code=code)
    made = [phone.make(ANN, CARD, "result", item["item"], passing(item, TOOLS, lambda item: PHOTO))
            for item in (item for zone in template["zones"] for item in zone["items"])]
    needed = {item["item"] for zone in template["zones"] for item in zone["items"] if item["countersign"]["needed"]}
    return phone, made + [phone.countersign(inspector, CARD, entry["payload"]["item"], [entry["id"]])
                          for entry in made if entry["payload"]["item"] in needed for inspector in inspectors]


@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("code", CODES)
def test_every_card_can_be_released_under_every_local_code(code, name):
    phone, entries = walked(TEMPLATES[name], CODES[code], [INA, IVO][:control_persons(CODES[code])])
    state = fold(TEMPLATES[name], entries, control_persons(CODES[code]))
    assert state["stops"] == []
    released = [*entries, phone.release(INA, CARD, TEMPLATES[name], entries)]
    assert fold(TEMPLATES[name], released, control_persons(CODES[code]))["status"] == "released"


@pytest.mark.parametrize("name", TEMPLATES)
def test_in_canada_one_inspector_alone_does_not_close_what_disturbs_the_controls(name):
    _, entries = walked(TEMPLATES[name], CODES["ca"], [INA])
    folded = fold(TEMPLATES[name], entries, control_persons(CODES["ca"]))
    waiting = {item["item"] for item in folded["items"] if item["countersignature"] == "needed"}
    disturbing = {item["item"] for zone in TEMPLATES[name]["zones"] for item in zone["items"]
                  if item["countersign"]["controls"]}
    assert waiting == disturbing
