"""The shop's rules for an item and a card (DESIGN: entries and their fold; 14 CFR 43.9, 43.11 for corrections)."""

from histories import ANN, BOB, INA, IVO, PHONE, Phone, field, item, reading, template, tool
from witnessmark.rules.card_state import fold


def state_of(*entries, card=None):
    return fold(card or template(), list(entries))


def item_of(*entries, card=None):
    return state_of(*entries, card=card)["items"][0]


def test_an_item_nobody_touched_is_open_and_stops_a_release():
    state = state_of()
    assert state["items"][0]["status"] == "open"
    assert state["stops"] == [{"code": "open", "item": "bolt"}]
    assert state["status"] == "open"


def test_one_result_stands():
    passed = Phone().records(ANN)
    assert item_of(passed)["status"] == "passed"
    assert state_of(passed)["status"] == "complete"


def test_a_later_result_of_someone_who_saw_the_first_replaces_it():
    phone = Phone()
    first = phone.records(ANN, note="first look")
    second = phone.records(BOB, over=[first])
    assert item_of(first, second)["heads"] == [second["id"]]
    assert state_of(first, second)["superseded"] == [first["id"]]


def test_two_phones_that_say_the_same_stand_together():
    one, other = Phone("a0" * 16).records(ANN), Phone("b1" * 16).records(BOB)
    assert item_of(one, other)["status"] == "passed"
    assert item_of(one, other)["heads"] == sorted([one["id"], other["id"]])


def test_two_phones_that_differ_are_disputed():
    one, other = Phone("a0" * 16).records(ANN), Phone("b1" * 16).records(BOB, "fail")
    assert item_of(one, other)["status"] == "disputed"
    assert state_of(one, other)["counts"]["disputed"] == 1


def test_the_same_value_in_other_digits_is_no_dispute():
    card = template(item(fields=[field()]))
    one = Phone("a0" * 16).records(ANN, readings={"gap": reading("0.0150")})
    other = Phone("b1" * 16).records(BOB, readings={"gap": reading(".015")})
    assert item_of(one, other, card=card)["status"] == "passed"


def test_another_value_is_a_dispute():
    card = template(item(fields=[field()]))
    one = Phone("a0" * 16).records(ANN, readings={"gap": reading("0.015")})
    other = Phone("b1" * 16).records(BOB, readings={"gap": reading("0.016")})
    assert item_of(one, other, card=card)["status"] == "disputed"


def test_a_mechanic_who_saw_both_does_not_settle_a_dispute():
    one, other = Phone("a0" * 16).records(ANN), Phone("b1" * 16).records(BOB, "fail")
    third = Phone("c2" * 16).records(ANN, over=[one, other])
    assert item_of(one, other, third)["status"] == "disputed"


def test_agreeing_with_one_side_does_not_make_the_other_disappear():
    one, other = Phone("a0" * 16).records(ANN), Phone("b1" * 16).records(BOB, "fail")
    third = Phone("c2" * 16).records(ANN, over=[other])
    assert item_of(one, other, third)["status"] == "disputed"


def test_an_inspector_who_saw_both_settles():
    one, other = Phone("a0" * 16).records(ANN), Phone("b1" * 16).records(BOB, "fail")
    settled = Phone("c2" * 16).settles(INA, [one, other])
    assert item_of(one, other, settled)["status"] == "passed"


def test_a_settlement_that_saw_only_one_side_settles_nothing():
    one, other = Phone("a0" * 16).records(ANN), Phone("b1" * 16).records(BOB, "fail")
    settled = Phone("c2" * 16).settles(INA, [one])
    assert item_of(one, other, settled)["status"] == "disputed"


def test_a_late_entry_that_differs_reopens_a_settled_item():
    one, other = Phone("a0" * 16).records(ANN), Phone("b1" * 16).records(BOB, "fail")
    settled = Phone("c2" * 16).settles(INA, [one, other])
    late = Phone("d3" * 16).records(IVO, "not_applicable")
    assert item_of(one, other, settled, late)["status"] == "disputed"


def test_a_failed_item_stops_a_release():
    failed = Phone().records(ANN, "fail")
    assert state_of(failed)["stops"] == [{"code": "failed", "item": "bolt"}]


def test_a_failure_needs_a_correction_and_then_a_passing_look():
    phone = Phone()
    failed = phone.records(ANN, "fail")
    corrected = phone.corrects(BOB, [failed])
    passed = phone.records(BOB, over=[corrected])
    assert item_of(failed, corrected)["status"] == "corrected"
    assert item_of(failed, corrected, passed)["status"] == "passed"
    assert state_of(failed, corrected, passed)["status"] == "complete"


def test_a_failure_cannot_be_passed_over():
    phone = Phone()
    failed = phone.records(ANN, "fail")
    passed = phone.records(ANN, over=[failed])
    assert item_of(failed, passed)["status"] == "failed"
    assert item_of(failed, passed)["problems"] == ["passed_without_correction"]


def test_a_second_failure_is_not_hidden_by_the_correction_of_the_first():
    failed = Phone("a0" * 16).records(ANN, "fail")
    corrected = Phone("a2" * 16).corrects(ANN, [failed])
    second = Phone("b1" * 16).records(BOB, "fail")
    assert item_of(failed, corrected, second)["status"] == "failed"


def test_an_item_that_can_kill_waits_for_a_countersignature():
    card = template(item(countersign=True))
    passed = Phone().records(ANN)
    state = state_of(passed, card=card)
    assert state["items"][0]["countersignature"] == "needed"
    assert state["stops"] == [{"code": "to_countersign", "item": "bolt"}]
    assert state["counts"]["to_countersign"] == 1


def test_another_person_countersigns():
    card, phone = template(item(countersign=True)), Phone()
    passed = phone.records(ANN)
    signed = phone.countersigns(INA, [passed])
    assert item_of(passed, signed, card=card)["countersignature"] == "given"
    assert state_of(passed, signed, card=card)["covers"] == sorted([passed["id"], signed["id"]])


def test_nobody_countersigns_their_own_work():
    card, phone = template(item(countersign=True)), Phone()
    passed = phone.records(INA)
    signed = phone.countersigns(INA, [passed])
    assert item_of(passed, signed, card=card)["countersignature"] == "needed"


def test_a_new_result_voids_the_countersignature():
    card, phone = template(item(countersign=True)), Phone()
    passed = phone.records(ANN)
    signed = phone.countersigns(INA, [passed])
    again = phone.records(ANN, over=[passed])
    assert item_of(passed, signed, again, card=card)["countersignature"] == "needed"


def test_a_countersignature_of_nothing_known_does_not_stand():
    card, phone = template(item(countersign=True)), Phone()
    passed = phone.records(ANN)
    signed = phone.countersigns(INA, [{"id": "f" * 64}])
    assert item_of(passed, signed, card=card)["countersignature"] == "needed"


def test_a_pass_outside_the_limits_closes_nothing():
    card = template(item(fields=[field()]))
    passed = Phone().records(ANN, readings={"gap": reading("0.021")})
    assert item_of(passed, card=card)["problems"] == ["outside_limits"]
    assert state_of(passed, card=card)["stops"] == [{"code": "outside_limits", "item": "bolt"}]


def test_a_pass_without_the_reading_closes_nothing():
    assert item_of(Phone().records(ANN), card=template(item(fields=[field()])))["problems"] == ["reading_missing"]


def test_a_reading_needs_the_serial_of_its_tool():
    card = template(item(fields=[field(tool="feeler gauge")]))
    passed = Phone().records(ANN, readings={"gap": reading("0.015")})
    assert item_of(passed, card=card)["problems"] == ["tool_missing"]


def test_the_server_shows_where_the_phone_reckoned_otherwise():
    torque = field("torque", "torque", unit="in-lbf", limits={"min": "60", "max": "80"})
    card = template(item(fields=[torque]))
    inputs = {"wrench_length": "12", "extension": "2"}
    wrong = reading("60", unit="in-lbf", inputs=inputs, derived={"applied": "71.00"})
    shown = item_of(Phone().records(ANN, readings={"torque": wrong}), card=card)
    assert shown["readings"]["torque"]["derived"] == {"applied": "70.00"}
    assert shown["readings"]["torque"]["differs"] == ["applied"]
    assert shown["problems"] == ["derived_differs"]


def test_a_required_photo_is_required():
    card = template(item(photo={"rule": "required", "of": "the bolt"}))
    photo = {"sha256": "e" * 64, "bytes": 9, "type": "image/jpeg", "caption": ""}
    assert item_of(Phone().records(ANN), card=card)["problems"] == ["photo_missing"]
    assert item_of(Phone().records(ANN, photos=[photo]), card=card)["problems"] == []


def test_not_applicable_where_the_card_forbids_it_closes_nothing():
    card = template(item(not_applicable=False))
    assert item_of(Phone().records(ANN, "not_applicable"), card=card)["problems"] == ["not_applicable_refused"]


def test_an_entry_that_names_one_not_yet_here_waits():
    phone = Phone()
    first = phone.records(ANN)
    second = phone.records(ANN, over=[first])
    assert item_of(second)["missing"] == [first["id"]]
    assert item_of(second)["problems"] == ["entries_missing"]


def released():
    phone = Phone()
    passed = phone.records(ANN)
    return passed, phone.releases(INA, state_of(passed)["covers"]), phone


def test_a_release_covers_exactly_what_stands():
    passed, release, _ = released()
    assert state_of(passed, release)["status"] == "released"


def test_a_late_entry_contests_the_release():
    passed, release, _ = released()
    late = Phone("d3" * 16).records(BOB)
    assert state_of(passed, release, late)["status"] == "contested"


def test_a_new_release_that_saw_the_late_entry_ends_the_contest():
    passed, release, phone = released()
    late = Phone("d3" * 16).records(BOB)
    anew = phone.releases(IVO, state_of(passed, late)["covers"], over=[release])
    state = state_of(passed, release, late, anew)
    assert state["status"] == "released"
    assert state["approvals"] == [{"id": anew["id"], "kind": "release", "standing": True}]


def test_a_release_of_an_open_card_does_not_stand():
    release = Phone().releases(INA, [])
    assert state_of(release)["status"] == "contested"


def test_a_disapproval_stays_while_its_discrepancies_are_cleared():
    phone = Phone()
    failed = phone.records(ANN, "fail")
    disapproved = phone.releases(INA, state_of(failed)["covers"], kind="disapproval")
    cleared = phone.corrects(BOB, [failed])
    assert state_of(failed, disapproved, cleared)["status"] == "disapproved"


def test_a_release_and_a_disapproval_that_did_not_see_each_other_are_contested():
    passed, release, _ = released()
    against = Phone("d3" * 16).releases(IVO, state_of(passed)["covers"], kind="disapproval")
    assert state_of(passed, release, against)["status"] == "contested"


def test_a_chain_of_a_thousand_corrections_is_folded():
    phone = Phone(PHONE)
    last = [phone.records(ANN)]
    for _ in range(1200):
        last = [phone.records(ANN, over=last)]
    assert item_of(*phone.entries)["heads"] == [last[0]["id"]]


def two_persons():
    return template(item(countersign=True, controls=True))


def test_an_item_sent_back_stops_the_release_until_it_is_done_again():
    phone = Phone()
    passed = phone.records(ANN)
    back = phone.sends_back(INA, [passed])
    again = phone.records(ANN, over=[back])
    assert state_of(passed, back)["stops"] == [{"code": "rejected", "item": "bolt"}]
    assert item_of(passed, back)["heads"] == [back["id"]]
    assert item_of(passed, back, again)["status"] == "passed"


def test_sending_back_voids_the_countersignature_before_it():
    phone, card = Phone(), template(item(countersign=True))
    passed = phone.records(ANN)
    signed = phone.countersigns(INA, [passed])
    back = phone.sends_back(IVO, [passed])
    again = phone.records(ANN, over=[back])
    state = item_of(passed, signed, back, again, card=card)
    assert (state["countersigned_by"], state["countersignature"]) == ([], "needed")


def test_a_result_recorded_while_the_item_was_sent_back_leaves_it_sent_back():
    first = Phone().records(ANN)
    back = Phone("1b" * 16).sends_back(INA, [first])
    meanwhile = Phone("b1" * 16).records(BOB, over=[first], note="same again")
    assert item_of(first, back, meanwhile)["status"] == "rejected"


def test_sending_back_does_not_settle_a_dispute():
    one, other = Phone("a0" * 16).records(ANN), Phone("b1" * 16).records(BOB, "fail")
    back = Phone("c2" * 16).sends_back(INA, [one, other])
    assert item_of(one, other, back)["status"] == "disputed"


def test_two_persons_countersign_what_disturbs_controls_where_the_local_code_asks():
    """Canada, Standard 571.10 table (d): two persons check, both signatures stand in the record."""
    phone = Phone()
    passed = phone.records(ANN)
    one, again, other = (phone.countersigns(by, [passed]) for by in (INA, INA, IVO))
    assert fold(two_persons(), [passed, one, again], 2)["status"] == "open"
    assert fold(two_persons(), [passed, one, other], 2)["status"] == "complete"
    assert fold(two_persons(), [passed, one], 1)["status"] == "complete"


def test_whoever_corrected_an_item_does_not_countersign_it():
    """14 CFR 91.1429, as the published rule of independence: not by who did the work."""
    phone, card = Phone(), template(item(countersign=True))
    failed = phone.records(ANN, "fail")
    fixed = phone.corrects(INA, [failed])
    passed = phone.records(BOB, over=[fixed])
    own = phone.countersigns(INA, [passed])
    assert item_of(failed, fixed, passed, own, card=card)["countersigned_by"] == []
    other = phone.countersigns(IVO, [passed])
    assert item_of(failed, fixed, passed, own, other, card=card)["countersigned_by"] == [other["id"]]


def test_a_pass_with_a_tool_out_of_calibration_closes_nothing():
    card = template(item(fields=[field(tool="feeler gauge")]))
    for until, problems in (("2026-11-24", ["tool_out_of_calibration"]), ("2026-11-25", []), (None, [])):
        passed = Phone().records(ANN, readings={"gap": reading("0.015", tools=[tool("FG-1", until)])})
        assert item_of(passed, card=card)["problems"] == problems
