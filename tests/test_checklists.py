"""Our own cards, held to what a professional would write (issue: the main job; DESIGN section 6)."""

import json
import re

import pytest

from witnessmark.config import bundled
from witnessmark.rules.card_template import load_template
from witnessmark.rules.local_code import record_of
from witnessmark.rules.template_field import KINDS

FILES = sorted(bundled("checklists").glob("*.yaml"))
PARTS = {"mast", "mounts", "blades", "fuel", "engine", "rigging"}
SHORT = {"engine", "rigging", "wear"}
SYSTEM_CARDS = {"airframe", "cabin", "controls", "drive_train", "electrical", "engine_controls", "fuel_system",
                "instruments", "landing_gear", "oil_systems", "tail_rotor"}
SPECIAL = {"hard_landing", "overspeed", "sudden_stoppage", "lightning", "storage"}
ONE_SUBJECT = SYSTEM_CARDS | SPECIAL | {"before_flight", "hours_50", "run_up"}
RECORDS = {**dict.fromkeys(PARTS | ONE_SUBJECT, "inspection_part"), "wear": "inspection_part", "closing": "inspection",
           "oil": "maintenance"}
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


def named(name):
    path = bundled("checklists") / f"{name}.yaml"
    return load_template(path.read_text(encoding="utf-8"), path.name)


def test_the_cards_are_there_and_each_says_what_is_signed_off_with_it():
    assert {path.stem: record_of(named(path.stem)) for path in FILES} == RECORDS


def test_a_card_has_twelve_to_twenty_five_items_in_zones_and_one_of_a_single_subject_fewer(card):
    least, most = (5, 10) if card["card"] in SHORT else (8, 14) if card["card"] in ONE_SUBJECT else (12, 25)
    assert least <= len(items(card)) <= most
    assert len(card["zones"]) >= 3


def test_a_special_inspection_has_six_to_ten_items():
    assert {name: len(items(named(name))) for name in SPECIAL if not 6 <= len(items(named(name))) <= 10} == {}


def test_no_look_for_line_is_an_empty_word(card):
    assert [line for item in items(card) for line in item["look_for"] if EMPTY_WORDS.match(line)] == []


def test_the_items_that_can_kill_are_countersigned_and_cannot_be_skipped(card):
    critical = [item for item in items(card) if item["countersign"]["needed"]]
    assert (2 if card["card"] in SHORT | ONE_SUBJECT else 3) <= len(critical) <= 8
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
    known = ("manufacturer's current instructions govern", "placard and flight manual govern", "AC 43.13-1B par. ",
             "AC 43.13-1B Table 11-13", "14 CFR 43.11(a)(4) and (5)")
    assert [source for source in sources if not any(name in source for name in known)] == []


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
    dials = [field for item in items(named("mast")) for field in item["fields"] if field["kind"] == "run_out"]
    assert [len(field["stations"]) for field in dials] == [8] * len(dials) != []


def test_a_step_that_disturbs_the_controls_asks_for_their_sense_and_range():
    # Canadian Standard 571.10, table, (d): assembly, locking, sense and range of motion, by at least two persons.
    found = {(name, item["item"]): " ".join([item["title"], *item["look_for"]]).lower()
             for name in RECORDS for item in items(named(name)) if item["countersign"]["controls"]}
    disturbing = {"mounts": {"lower_torque", "upper_torque"}, "closing": {"flight_controls", "engine_controls"},
                  "controls": {"cyclic_joints", "collective_joints", "pedal_joints", "locks", "dual_controls",
                               "travel_range", "free_travel"},
                  "engine_controls": {"throttle_joints", "throttle_stops", "correlation", "mixture"},
                  "tail_rotor": {"pitch_links"}}
    assert set(found) == {(name, item) for name, names in disturbing.items() for item in names}
    assert [where for where, text in found.items() if "stops" not in text or "right way" not in text] == []


def titles_of_fields(card):
    return [field["title"] for item in items(card) for field in item["fields"]]


@pytest.mark.parametrize("group", [
    # 14 CFR 43.15(b)(1) to (4): what a rotorcraft inspection looks at.
    "(1) Drive shafts or similar systems", "(2) Main rotor transmission gear box", "(3) Main rotor and centre section",
    "(4) Auxiliary (tail) rotor",
    # 14 CFR part 43, Appendix D: the groups that a helicopter has (no (f) wing, no (h) propeller).
    "(b) Fuselage and hull", "(c) Cabin and cockpit", "(d) Engine and nacelle", "(e) Landing gear", "(g) Empennage",
    "(i) Radio", "(j) Each other installed item",
])
def test_closing_the_inspection_asks_which_card_covers_each_group(group):
    # 14 CFR 43.15(c)(1): the checklist includes the scope and detail of Appendix D and of 43.15(b).
    assert [title for title in titles_of_fields(named("closing")) if title == f"{group}: covered by"] != []


@pytest.mark.parametrize("performance", [
    # 14 CFR 43.15(c)(2)(i) to (iv): what a reciprocating engine's run determines before approval.
    ["Engine speed, static", "Engine speed at idle"], ["Left magneto", "Right magneto"],
    ["Fuel pressure", "Oil pressure"], ["Cylinder head temperature", "Oil temperature"],
])
def test_closing_the_inspection_runs_the_engine_as_the_rule_says(performance):
    measured = [field for item in items(named("closing")) for field in item["fields"]
                if field["kind"] in ("measure", "drop")]
    for words in performance:
        (field,) = [field for field in measured if words in [field["title"], *field["stations"]]]
        assert field["limits"] and field["required"]


def test_closing_the_inspection_names_every_part_card_of_ours():
    titles = [title for title in titles_of_fields(named("closing")) if title.startswith("Card number: ")]
    assert len(titles) == len(PARTS)
    for name in PARTS:
        words = set(re.findall(r"\w+", named(name)["title"].lower()))
        assert any(set(re.findall(r"\w+", title.lower())) - {"card", "number"} <= words for title in titles), name


def fields_of(name, kind):
    return [field for item in items(named(name)) for field in item["fields"] if field["kind"] == kind]


def field_of(name, wanted):
    (field,) = [field for item in items(named(name)) for field in item["fields"] if field["field"] == wanted]
    return field


def test_a_nut_that_is_locked_by_its_slot_is_pulled_with_its_drag_added():
    # AC 43.13-1B par. 7-40d and 7-40f: drag is added to the desired torque; a castle nut stays below the upper limit.
    (nut,) = fields_of("mast", "torque")
    assert nut["torque"] == {"drag": True, "nut": "castle"} and "without friction drag" in nut["title"]


def test_the_dial_of_the_mast_comes_back_to_where_it_began():
    # TM 5-3810-305-23: the indicator is at zero again at the first place before the readings count.
    (dial,) = fields_of("mast", "run_out")
    assert dial["angles"] == ["0", "45", "90", "135", "180", "225", "270", "315"] and dial["return_within"] == "0.0005"


def test_compression_is_judged_as_the_circular_says_until_the_engine_maker_says_otherwise():
    # AC 43.13-1B par. 8-14: below 60 of 80 psi and not raised by the re-check, the cylinder comes off.
    (field,) = fields_of("engine", "compression")
    assert (field["limits"]["min"], field["compression"]["supply"], field["unit"]) == ("60", "80", "psi")
    assert "AC 43.13-1B par. 8-14" in field["source"] and "engine maker's own limit governs" in field["source"]


def test_strands_of_a_wire_are_judged_by_its_size_as_printed():
    # AC 43.13-1B Table 11-13, page 11-62: nicked and broken strands that may stay.
    by = field_of("engine", "strands")["limits_by"]
    printed = {"copper 24 to 14": ("2", "0"), "copper 12 to 10": ("4", "0"), "copper 8 to 4": ("6", "6"),
               "copper 2 to 0000": ("6", "6"), "aluminum 8 to 000": ("0", "0")}
    assert {row["at"]: tuple(pair["max"] for pair in row["limits_at"]) for row in by["rows"]} == printed


@pytest.mark.parametrize(("field", "limits"), [
    ("broken_wires", {"min": None, "max": "0"}),  # AC 43.13-1B par. 7-149a: one broken wire in a critical area
    ("threads_out", {"min": None, "max": "3"}),  # AC 43.13-1B par. 7-166, 7-179: three threads at either end
    ("wire_wraps", {"min": "4", "max": None}),  # AC 43.13-1B par. 7-180d, 7-181b: four turns round the shank
])
def test_cables_and_turnbuckles_have_the_published_limits(field, limits):
    found = field_of("rigging", field)
    assert found["limits"] == limits and "AC 43.13-1B par. 7-1" in found["source"]


def test_a_magneto_has_no_published_drop_and_the_cards_say_so():
    for name in ("engine", "closing"):
        (field,) = fields_of(name, "drop")
        assert "no figure is published" in field["source"] and field["limits"]["max"] and field["difference"]


def test_every_reading_of_the_wear_card_is_followed_and_the_demo_knows_its_past():
    told = json.loads((bundled("demo_data") / "shop.json").read_text(encoding="utf-8"))["worn"]
    fields = {field["field"]: field for item in items(named("wear")) for field in item["fields"]}
    assert all(field["trend"] for field in fields.values()) and fields.keys() == told["readings"].keys()
    counts = {len(values) for name, cards in told["readings"].items() for values in cards
              if len(values) == (len(fields[name]["stations"]) or 1)}
    assert {len(cards) for cards in told["readings"].values()} == {7} and counts == {1, 2, 4}


def test_every_kind_of_field_is_on_one_of_our_cards():
    kinds = {field["kind"] for path in FILES for item in items(named(path.stem)) for field in item["fields"]}
    assert kinds == set(KINDS)


def test_an_oil_change_is_no_inspection():
    # 14 CFR 43.9(a)(1): a description of the work performed; the scope is what the record will say.
    card = named("oil")
    assert card["inspection"] is None and "inspect" not in card["scope"].lower()
    assert all(word in card["scope"] for word in ("drained", "filter fitted", "filled"))


def test_the_demo_shop_owns_every_tool_that_a_card_it_issues_asks_for_and_one_is_out_of_calibration():
    # AC 43.13-1B par. 7-40a: a torque wrench is calibrated at least once a year.
    facts = json.loads((bundled("demo_data") / "shop.json").read_text(encoding="utf-8"))
    wanted = {field["tool"] for name in facts["issued"] for item in items(named(name)) for field in item["fields"]}
    assert wanted - {None} <= {tool["kind"] for tool in facts["tools"] if tool["kind"] and tool["calibrated_days"] > 0}
    assert [tool["serial"] for tool in facts["tools"] if (tool["calibrated_days"] or 0) < 0] == ["TW-03"]
    assert max(tool["calibrated_days"] or 0 for tool in facts["tools"]) <= 366
