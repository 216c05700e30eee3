"""Vouching on two phones: Ines sets up signing after a new start, Maria vouches for her key, and what waited counts."""

import pytest
import test_desk
from playwright.sync_api import expect
from test_desk import CODE, enrol, go, staff
from test_screens import OPEN_ALL, SMALL_TARGETS, TOO_WIDE

import cast

chromium, url, desk = test_desk.chromium, test_desk.url, test_desk.desk

STATES = """async (card) => {
  await (await import("/device/sync.js")).syncer.now();
  return (await (await import("/device/store.js")).entries_of(card)).map(({ state }) => state);
}"""


@pytest.fixture
def new_start(browser):
    """The author, without a screen, has given Ines a new password."""
    noor = browser("noor")
    told = {"password": cast.PASSWORD, "why": "Password forgotten"}
    assert noor.ask("POST", f"/api/people/{staff(noor, 'ines')['person']}/password", told).status_code == 200
    return noor


def set_up(page):
    """Returns the beginning of the key that stands there to be compared."""
    go(page, "enrol")
    page.evaluate(OPEN_ALL)
    page.fill("input[name=code]", CODE)
    page.fill("input[name=again]", CODE)
    page.locator("enrol-page form button").last.click()
    expect(page.get_by_role("heading", name="One more thing")).to_be_visible()
    return page.locator(".statement strong").inner_text()


def give_code(page, code):
    page.fill("#signing-code", code)
    page.locator("code-field button.sign").click()


def assert_fits(page):
    assert (page.evaluate(SMALL_TARGETS), page.evaluate(TOO_WIDE)) == ([], False)


def test_a_colleague_compares_the_key_and_signs_and_what_waited_counts(new_start, desk, card):
    ines = desk("ines")
    short = set_up(ines)
    assert_fits(ines)
    ines.get_by_role("link", name="Go on").click()
    ines.locator("card-list a.card").click()
    go(ines, f"card/{card['card']}/item/surface")
    ines.locator("button.verdict.pass").click()
    expect(ines.get_by_role("heading", name="Grip")).to_be_visible()
    go(ines, "phone")
    expect(ines.locator("phone-signing")).to_contain_text(f"Key {short}")
    expect(ines.locator("phone-page")).to_contain_text("A colleague has to vouch for the new signing key")
    go(ines, "refused")
    expect(ines.locator("vouch-list")).to_contain_text("It is yours")
    expect(ines.get_by_role("button", name="Vouch for")).to_have_count(0)

    maria = desk("maria")
    enrol(maria)
    go(maria, "refused")
    expect(maria.locator("vouch-list")).to_contain_text(f"Ines Calder: new key {short}")
    expect(maria.locator("vouch-list")).to_contain_text("by Noor Whitlock: Password forgotten")
    maria.get_by_role("button", name="Vouch for Ines Calder").click()
    assert_fits(maria)
    give_code(maria, "0000000000")
    expect(maria.locator("vouch-list .problem")).to_contain_text("That is not the signing code. 9 tries are left")
    assert new_start.page(card)["entries"] == []
    give_code(maria, CODE)
    expect(maria.locator("#said")).to_contain_text("Vouched for the key of Ines Calder")
    expect(maria.locator("vouch-list li")).to_have_count(0)
    assert len(new_start.page(card)["entries"]) == 1

    ines.reload()
    expect(ines.locator("refused-entry")).to_contain_text("Taken in by Maria Vance")
    assert ines.evaluate(STATES, card["card"]) == ["sent"]
