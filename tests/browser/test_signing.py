"""Signing at the aircraft: what is asked for, what is shown, and that it is exactly what is signed.

One phone is handed from test to test, each with a card of its own: whoever it asks for sets up signing once.
"""

import datetime
import itertools
import re

import pytest
from people import (
    CODES,
    FACTS,
    LOCK,
    Colleague,
    give_code,
    have,
    items_of,
    set_up_signing,
    sign_in,
    type_password,
)
from phone import Phone
from picture import camera_picture
from playwright.sync_api import expect
from shop import Caller

from witnessmark.config import bundled
from witnessmark.records import template_files
from witnessmark.rules.entry import read_entry

MECHANIC, SECOND, INSPECTOR = "maria", "tom", "ines"
ENTRIES = """async (card) => {
  const { entries_of } = await import("/device/store.js");
  return (await entries_of(card)).map(({ text }) => text);
}"""
DRAFT = """async ([card, item]) => {
  const { read_draft } = await import("/device/store.js");
  return (await read_draft(card, item))?.note;
}"""
# A phone's secret is 32 random bytes in hex: any will do.
KEYS = (f"{number:02x}" * 32 for number in itertools.count(1))


@pytest.fixture
def new_phone(chromium, shop, tmp_path):
    phone = Phone(chromium, tmp_path / "profile", shop.url)
    phone.start("/")
    yield phone
    phone.close()
    assert phone.errors == []


class Work:
    """A freshly issued card: `card` as in the API, `items` of its template, by id too."""

    def __init__(self, shop, name):
        office = Caller(shop, MECHANIC, FACTS[MECHANIC]["password"])
        (told,) = [one for one in office.json("/api/templates")["templates"] if one["card"] == name]
        times = {"airframe": {"value": "1234.5", "unit": "h"}}
        self.card = office.json("/api/cards", {"revision": told["revision"], "registration": "N0417W", "times": times})
        self.id = self.card["card"]
        self.items = items_of(template_files.read(bundled("checklists") / f"{name}.yaml"))
        self.by_id = {item["item"]: item for item in self.items}
        self.second = [item for item in self.items if item["countersign"]["needed"]]


@pytest.fixture
def mast(shop):
    return Work(shop, "mast")


@pytest.fixture
def maria(shop):
    return Colleague(shop, MECHANIC, next(KEYS))


def go(page, path):
    page.evaluate("(hash) => { location.hash = hash; }", f"#/{path}")
    page.wait_for_selector("main h1")


def arrive(page, card, status=None):
    """Go to the card's page once a sync has brought what the others sent."""
    page.evaluate("async () => { await (await import('/device/sync.js')).syncer.now(); }")
    go(page, f"card/{card}")
    expect(page.locator(".card-status")).to_contain_text(status or "")


def kept(page, card):
    """The payloads of the card's entries on this phone, in order of arrival."""
    return [read_entry(text)["payload"] for text in page.evaluate(ENTRIES, card)]


def shown_sentence(page):
    return page.locator("blockquote.statement").inner_text()


def plain_item(work):
    """The first item that takes no photo and no second person."""
    return next(item for item in work.items if not item["countersign"]["needed"] and item["photo"]["rule"] == "none")


def record_fail(page):
    page.get_by_role("button", name="Fail").click()
    page.fill("#found-what", "Grey dust beside the bolt")
    page.fill("#found-where", "Aft side")
    page.fill("#note", "Wiped and looked again")
    page.get_by_role("button", name="Record fail").click()


def test_who_signs_sets_it_up_once_in_words_and_weak_or_different_codes_are_refused(new_phone):
    page = new_phone.page
    type_password(page, MECHANIC)
    expect(page.get_by_role("heading", name="Set up signing on this phone")).to_be_visible()
    page.fill("#code", "12345678")
    page.fill("#again", "12345678")
    page.get_by_role("button", name="Set up signing").click()
    refusal = page.locator("enrol-page form [role=alert]")
    expect(refusal).to_contain_text("Take at least 8 digits, or at least 6 letters and digits mixed.")
    page.fill("#code", CODES[MECHANIC])
    page.get_by_role("button", name="Set up signing").click()
    expect(refusal).to_have_text("The two codes are not the same. Type both again.")
    set_up_signing(page, MECHANIC)
    expect(page.locator("card-list .marks").first).to_be_visible(timeout=60000)
    go(page, "enrol")
    expect(page.locator("main")).to_contain_text("You sign on this phone already.")


def test_who_does_not_record_is_asked_for_no_key(new_phone):
    page = new_phone.page
    sign_in(page, "rowan")
    go(page, "enrol")
    expect(page.locator("main")).to_contain_text("Only mechanics and inspectors sign.")


def test_a_locked_key_is_asked_for_in_place_and_nothing_typed_is_lost(phone, mast):
    page = phone.page
    have(page, MECHANIC)
    item = plain_item(mast)["item"]
    go(page, f"card/{mast.id}/item/{item}")
    expect(page.locator("who-signs")).to_have_text("Maria Vance signs this")
    page.evaluate(LOCK)
    expect(page.locator("who-signs")).to_have_text("Maria Vance signs this, after the code")
    record_fail(page)
    expect(page.locator("#signing-code")).to_be_focused()
    page.get_by_role("button", name="Not yet").click()
    expect(page.locator("#found-what")).to_have_value("Grey dust beside the bolt")
    page.get_by_role("button", name="Record fail").click()
    page.fill("#signing-code", "71717272")
    page.locator("code-field button.sign").click()
    expect(page.locator(".thumb .problem")).to_have_text(
        "That is not the signing code. 9 tries are left, then the key on this phone is erased.")
    expect(page.locator("#signing-code")).to_have_value("")
    assert [page.input_value(f"#{name}") for name in ("found-what", "found-where", "note")] == [
        "Grey dust beside the bolt", "Aft side", "Wiped and looked again"]
    assert kept(page, mast.id) == []
    give_code(page, MECHANIC)
    expect(page.locator("#said")).to_contain_text("Saved on this phone")
    (entry,) = kept(page, mast.id)
    assert entry["body"]["discrepancy"] == {"what": "Grey dust beside the bolt", "where": "Aft side"}
    assert (entry["author"]["name"], entry["unlocked"]["by"], entry["unlocked"]["use"]) == ("Maria Vance", "code", 1)


def test_what_is_typed_after_the_tap_takes_the_question_back(phone, mast):
    page = phone.page
    have(page, MECHANIC)
    go(page, f"card/{mast.id}/item/{plain_item(mast)['item']}")
    page.evaluate(LOCK)
    record_fail(page)
    expect(page.locator("#signing-code")).to_be_visible()
    page.fill("#found-where", "Forward side")
    expect(page.locator("#signing-code")).to_have_count(0)
    page.get_by_role("button", name="Record fail").click()
    give_code(page, MECHANIC)
    expect(page.locator("#said")).to_contain_text("Saved on this phone")
    assert kept(page, mast.id)[0]["body"]["discrepancy"]["where"] == "Forward side"


def test_the_phone_is_handed_over_by_code_without_a_network_and_signs_for_who_has_it(phone, mast):
    page = phone.page
    have(page, MECHANIC)
    have(page, SECOND)
    phone.context.set_offline(True)
    have(page, MECHANIC)
    page.evaluate("location.hash = '#/hand-over'")
    page.locator("button.person", has_text="Tom Adler").click()
    page.fill("#signing-code", CODES[MECHANIC])
    page.locator("code-field button.sign").click()
    expect(page.locator("code-field .problem")).to_contain_text("That is not the signing code.")
    go(page, "")
    expect(page.locator(".signed-in")).to_contain_text("Maria Vance")
    have(page, SECOND)
    go(page, f"card/{mast.id}/item/{plain_item(mast)['item']}")
    record_fail(page)
    expect(page.locator("#said")).to_contain_text("Saved on this phone")
    assert [entry["author"]["name"] for entry in kept(page, mast.id)] == ["Tom Adler"]
    phone.context.set_offline(False)


def test_a_half_typed_item_is_its_typists_own_also_right_after_a_hand_over(phone, mast):
    page = phone.page
    have(page, MECHANIC)
    have(page, SECOND)
    path = f"card/{mast.id}/item/{plain_item(mast)['item']}"
    typed = {MECHANIC: "Grey dust at the hinge", SECOND: "Dry bolt"}
    for login in (MECHANIC, SECOND):
        have(page, login)
        go(page, path)
        expect(page.locator("#note")).to_have_value("")
        page.fill("#note", typed[login])
    for login in (MECHANIC, SECOND):
        have(page, login)
        go(page, path)
        expect(page.locator("#note")).to_have_value(typed[login])
    record_fail(page)
    expect(page.locator("#said")).to_contain_text("Saved on this phone")
    have(page, MECHANIC)
    # What somebody else has recorded since drops no draft but their own.
    assert page.evaluate(DRAFT, [mast.id, plain_item(mast)["item"]]) == typed[MECHANIC]


def test_a_typed_discrepancy_is_not_lost_by_a_tap_on_pass(phone, mast):
    page = phone.page
    have(page, MECHANIC)
    go(page, f"card/{mast.id}/item/{plain_item(mast)['item']}")
    page.get_by_role("button", name="Fail").click()
    page.fill("#found-what", "Grey dust beside the bolt")
    page.get_by_role("button", name="Pass").click()
    expect(page.locator(".thumb .problem")).to_contain_text("A discrepancy is typed for this item.")
    assert kept(page, mast.id) == []
    page.fill("#found-what", "")
    page.get_by_role("button", name="Pass").click()
    expect(page.locator("#said")).to_contain_text("Saved on this phone")
    assert kept(page, mast.id)[0]["body"]["result"] == "pass"


def test_a_countersignature_signs_what_is_shown_with_the_code_each_time(phone, mast, maria):
    page = phone.page
    made = maria.walk(mast.card, mast.items)
    have(page, INSPECTOR)
    arrive(page, mast.id)
    go(page, f"card/{mast.id}/countersign")
    sentences = []
    for item in mast.second[:2]:
        expect(page.locator("h1")).to_have_text(item["title"])
        expect(page.locator(".entry")).to_contain_text("Maria Vance")
        sentences.append(shown_sentence(page))
        give_code(page, INSPECTOR)
        expect(page.locator("h1")).not_to_have_text(item["title"])
    signed = [entry for entry in kept(page, mast.id) if entry["kind"] == "countersignature"]
    assert [entry["body"] for entry in signed] == [
        {"covers": [made[item["item"]]["id"]], "statement": sentence}
        for item, sentence in zip(mast.second[:2], sentences, strict=True)]
    assert [entry["unlocked"]["use"] for entry in signed] == [1, 1]


def test_an_item_is_sent_back_with_a_reason_and_the_mechanic_sees_both_and_does_it_again(phone, mast, maria):
    page = phone.page
    maria.walk(mast.card, mast.items)
    item = mast.second[0]
    have(page, INSPECTOR)
    arrive(page, mast.id)
    go(page, f"card/{mast.id}/countersign")
    page.get_by_role("button", name="Send it back, and say why").click()
    page.get_by_role("button", name="Send it back").click()
    expect(page.locator("send-back-form .problem")).to_have_text("Say why.")
    page.fill("#reason", "The wire pulls the bolt loose.")
    page.get_by_role("button", name="Send it back").click()
    give_code(page, INSPECTOR)
    expect(page.locator(".title-block .word")).to_have_text("Sent back by the inspector")
    # Three dashes where a passed item has one whole stripe: the shape differs without colour.
    expect(page.locator(".title-block line.paint")).to_have_count(3)
    have(page, MECHANIC)
    go(page, f"card/{mast.id}")
    page.get_by_role("link", name="Sent back: inspect again").click()
    expect(page.locator(".entry.rejection")).to_contain_text("The wire pulls the bolt loose.")
    page.locator("summary", has_text="What was sent back").click()
    expect(page.locator("details .entry.pass")).to_contain_text("Maria Vance")
    expect(page.locator("verdict-bar")).to_be_visible()
    assert kept(page, mast.id)[-1]["body"] == {"reason": "The wire pulls the bolt loose.", "photos": []}
    assert item["item"] == kept(page, mast.id)[-1]["item"]


def test_a_dispute_shows_both_sides_and_only_an_inspector_settles_it(phone, shop, mast, maria):
    page = phone.page
    item = plain_item(mast)
    tom = Colleague(shop, SECOND, next(KEYS))
    both = [maria.send([maria.result(mast.card, item)])[0]]
    both += tom.send([tom.result(mast.card, item, result="fail", readings={}, discrepancy={
        "what": "Play in the rod end", "where": "Forward link"})])
    have(page, MECHANIC)
    arrive(page, mast.id)
    go(page, f"card/{mast.id}/item/{item['item']}")
    expect(page.locator(".side-by-side .entry")).to_have_count(2)
    expect(page.locator(".side-by-side")).to_contain_text("Play in the rod end")
    expect(page.locator("verdict-bar")).to_have_count(0)
    have(page, INSPECTOR)
    go(page, f"card/{mast.id}/item/{item['item']}")
    expect(page.locator("who-signs")).to_have_text("Ines Calder signs this, after the code")
    sentence = page.locator(".found p").inner_text()
    page.get_by_role("button", name="Settle: fail").click()
    page.fill("#found-what", "Play in the rod end")
    page.fill("#found-where", "Forward link")
    page.get_by_role("button", name="Record fail").click()
    give_code(page, INSPECTOR)
    expect(page.locator(".title-block .word")).to_have_text("Failed")
    settled = kept(page, mast.id)[-1]
    assert (settled["kind"], settled["body"]["statement"], settled["unlocked"]["use"]) == ("settlement", sentence, 1)
    assert settled["supersedes"] == sorted(entry["id"] for entry in both)


def test_a_photo_that_is_not_on_this_phone_comes_from_the_server_and_without_a_network_that_is_said(
        phone, mast, maria, tmp_path):
    page = phone.page
    item = plain_item(mast)
    photo = maria.send_photo(camera_picture(tmp_path / "camera.jpg", "PHOTO").read_bytes())
    maria.send([maria.result(mast.card, item, result="fail", readings={}, photos=[photo], discrepancy={
        "what": "Play in the rod end", "where": "Forward link"})])
    have(page, SECOND)
    arrive(page, mast.id)
    phone.context.set_offline(True)
    go(page, f"card/{mast.id}/item/{item['item']}")
    expect(page.locator("photo-view")).to_contain_text("This photo is not on this phone.")
    phone.context.set_offline(False)
    page.wait_for_function("() => document.querySelector('photo-view img')?.naturalWidth > 0")
    page.locator("button.photo").click()
    expect(page.locator("dialog img")).to_be_visible()
    assert page.locator("dialog img").bounding_box()["width"] == page.viewport_size["width"]
    page.get_by_role("button", name="Close").click()
    expect(page.locator("dialog")).to_have_count(0)


def test_a_tool_out_of_calibration_is_told_as_it_is_typed_and_keeps_the_item_from_passing(phone, mast):
    page = phone.page
    have(page, MECHANIC)
    item = next(one for one in mast.items if any(field["tool"] == "torque wrench" for field in one["fields"]))
    field = next(one for one in item["fields"] if one["tool"] == "torque wrench")
    go(page, f"card/{mast.id}/item/{item['item']}")
    page.fill(f"#{field['field']}-tool", "TW-03")
    expect(page.locator("torque-field")).to_contain_text(re.compile("TW-03, .*: OUT OF CALIBRATION since"))
    page.fill(f"#{field['field']}-0", field["limits"]["min"] or field["limits"]["max"])
    page.get_by_role("button", name="Pass").click()
    expect(page.locator(".thumb")).to_contain_text("The tool TW-03 of")
    page.fill(f"#{field['field']}-tool", "TW-07")
    expect(page.locator("torque-field")).to_contain_text(re.compile("TW-07, .*: calibrated until"))
    expect(page.locator(".thumb")).not_to_contain_text("The tool TW-03 of")


def test_an_inspection_is_signed_with_its_fields_and_its_sentence_and_a_late_entry_contests_it_loudly(
        phone, shop, mast, maria):
    page = phone.page
    made = maria.walk(mast.card, mast.items)
    Colleague(shop, INSPECTOR, next(KEYS)).countersign(mast.card, mast.items, made)
    have(page, INSPECTOR)
    arrive(page, mast.id, "Complete, not released")
    go(page, f"card/{mast.id}/release")
    page.fill("#hours", "")
    expect(page.locator(".problem")).to_contain_text("The total time of the airframe is missing.")
    expect(page.locator("#signing-code")).to_have_count(0)
    page.fill("#hours", "1240,7")
    page.fill("#type", "annual")
    expect(page.locator("blockquote.statement")).to_contain_text("annual inspection")
    sentence = shown_sentence(page)
    give_code(page, INSPECTOR)
    expect(page.locator(".card-status")).to_contain_text("Released")
    release = kept(page, mast.id)[-1]
    today = datetime.datetime.now(datetime.UTC).date().isoformat()
    body = release["body"]
    assert (body["record"], body["date"], body["work"]) == ("inspection_part", today, None)
    assert (body["inspection"]["type"], body["times"]) == ("annual", {"airframe": {"value": "1240.7", "unit": "h"}})
    assert (body["statement"], release["unlocked"]["use"]) == (sentence, 1)

    late = plain_item(mast)
    maria.send([maria.result(mast.card, late, [made[late["item"]]["id"]], result="fail", readings={}, discrepancy={
        "what": "A crack", "where": "Upper ring"})])
    arrive(page, mast.id, "Contested")
    paths = [f"card/{mast.id}", f"card/{mast.id}/item/{mast.items[0]['item']}", f"card/{mast.id}/release",
             f"card/{mast.id}/countersign"]
    for path in paths:
        go(page, path)
        expect(page.locator(".contested-note")).to_contain_text("Do not fly it on this card")
    go(page, f"card/{mast.id}/release")
    expect(page.locator(".entry.release")).to_contain_text("does not stand")
    expect(page.locator(".entry.release .points")).to_contain_text(late["title"])
    go(page, "")
    expect(page.locator("a.card", has_text=mast.card["number"])).to_contain_text("Contested")


def test_a_maintenance_record_has_its_own_fields_and_cannot_be_disapproved(phone, shop, maria):
    page = phone.page
    oil = Work(shop, "oil")
    made = maria.walk(oil.card, oil.items)
    Colleague(shop, INSPECTOR, next(KEYS)).countersign(oil.card, oil.items, made)
    have(page, INSPECTOR)
    arrive(page, oil.id, "Complete, not released")
    go(page, f"card/{oil.id}/release")
    expect(page.locator("#by")).to_have_value("Maria Vance")
    expect(page.get_by_role("button", name="Disapprove instead")).to_have_count(0)
    page.fill("#description", "Oil drained, filter cut open, new filter and oil.")
    page.fill("#completed", "2026-11-20")
    page.fill("#hours", "")
    sentence = shown_sentence(page)
    give_code(page, INSPECTOR)
    expect(page.locator(".card-status")).to_contain_text("Released")
    body = kept(page, oil.id)[-1]["body"]
    assert body["work"] == {"description": "Oil drained, filter cut open, new filter and oil.",
                            "completed_on": "2026-11-20", "by": ["Maria Vance"]}
    assert (body["record"], body["inspection"], body["times"]) == ("maintenance", None, {})
    assert body["statement"] == sentence


def test_a_disapproval_hands_over_the_list_that_is_shown(phone, mast, maria):
    page = phone.page
    item = plain_item(mast)
    maria.send([maria.result(mast.card, item, result="fail", readings={}, discrepancy={
        "what": "A crack", "where": "Upper ring"})])
    have(page, INSPECTOR)
    arrive(page, mast.id)
    go(page, f"card/{mast.id}/release")
    expect(page.locator("h3", has_text="Failed: an open discrepancy")).to_be_visible()
    page.get_by_role("button", name="Disapprove instead").click()
    expect(page.locator(".found ol").first).to_contain_text("A crack (Upper ring)")
    sentence = shown_sentence(page)
    give_code(page, INSPECTOR)
    expect(page.locator(".card-status")).to_contain_text("Disapproved")
    body = kept(page, mast.id)[-1]["body"]
    assert body["discrepancies"] == [{"item": item["item"], "what": "A crack", "where": "Upper ring"}]
    assert body["statement"] == sentence and body["date"] in sentence
