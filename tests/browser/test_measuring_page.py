"""What hands type wrong into fields that measure, and what the phone then says. All values are invented."""

import pytest
from phone import Phone
from playwright.sync_api import expect
from test_engine_checks import CABLE, FINISHED, MOUNT, PLAIN, TOOLS, type_in
from test_screens import TOO_WIDE

WRENCH = {"use": "torque_wrench", "unit": "in-lbf", "full_scale": "3000", "graduation": "50", "tolerance_percent": "4",
          "length": "24", "length_unit": "in"}  # fmt: skip
GAUGE = {"use": "gauge", "unit": "in", "tolerance": "0.001", "graduation": None}
REGISTER = [{"serial": "TW-1", "name": "Torque wrench", "calibrated_until": None, "facts": WRENCH},
            {"serial": "DI-1", "name": "Dial indicator", "calibrated_until": None, "facts": GAUGE}]  # fmt: skip
NUT = {**PLAIN, "kind": "torque", "title": "Nut", "unit": "in-lbf", "limits": {"min": "2400", "max": "2700"},
       "tool": "torque wrench", "torque": {"drag": True, "nut": None}}  # fmt: skip
VOLTS = {**PLAIN, "kind": "measure", "tag": "station", "unit": "V", "stations": ["Engine off", "Cruise"],
         "limits_at": [{"min": "12.2", "max": "12.9"}, {"min": "13.6", "max": "14.4"}]}  # fmt: skip
STRANDS = {**PLAIN, "kind": "measure", "tag": "station", "unit": "wires", "stations": ["Nicked", "Broken"],
           "limits": {"min": None, "max": "2"}}  # fmt: skip
TURN = {**PLAIN, "kind": "run_out", "tag": "station", "unit": "in", "limits": {"min": None, "max": "0.005"},
        "stations": [f"{step * 45}°" for step in range(8)]}  # fmt: skip
OIL = {**PLAIN, "kind": "rate", "unit": "qt", "limits": {"min": None, "max": "0.25"}}
PASS = """async () => {
  const { empty_draft, verdict_problems } = await import("/screens/result_body.js");
  const item = { fields: [shown.field], photo: { rule: "none" } };
  return verdict_problems(item, { ...empty_draft(), readings: { f: shown.reading } }, "pass", {}, shown.tools);
}"""
WORDS = """async () => {
  const { reading_words } = await import("/parts/reading_words.js");
  return reading_words(shown.field, await (FINISHED)(), "2026-11-25").rest.map(([name]) => name);
}""".replace("FINISHED", FINISHED)
NARROWEST = "() => Math.min(...[...document.querySelectorAll('.station input')].map(({ clientWidth }) => clientWidth))"


@pytest.fixture(scope="module")
def opened(chromium, site, tmp_path_factory):
    phone = Phone(chromium, tmp_path_factory.mktemp("profile"), site.address)
    phone.start("/probe").set_viewport_size({"width": 360, "height": 740})
    yield phone.page
    phone.close()
    assert [error for error in phone.errors if "404" not in error] == []  # the site has no icon


@pytest.fixture
def show(opened):
    def shown(field, tools=REGISTER):
        opened.evaluate("() => document.activeElement.blur()")  # what this tells belongs to the field before
        opened.evaluate(MOUNT, [field, tools])
        return opened
    return shown


def test_a_drag_is_asked_about_when_the_unit_changes_and_nothing_changes_before_the_answer(show):
    page = show(NUT)
    page.fill("#f-drag", "60")
    page.fill("#f-tool", "TW-1")
    page.select_option("#f-0-unit", "N·m")
    question = page.get_by_text("The friction drag is typed as 60 in-lbf, which is 6.78 N·m. Which is it?")
    expect(question).to_have_count(2)  # at the drag and where the unit was chosen
    expect(page.locator(".set-to output")).to_have_text("2460 to 2760 in-lbf")
    assert page.evaluate("() => shown.reading.unit") == "in-lbf"
    page.get_by_role("button", name="6.78 N·m").last.click()
    expect(page.locator(".set-to output")).to_have_text("278 to 311.8 N·m")
    page.get_by_role("button", name="Use in-lbf").click()
    page.get_by_role("button", name="6.78 in-lbf").last.click()
    expect(page.locator("#f-drag")).to_have_value("6.78")
    expect(page.locator(".set-to output")).to_have_text("2407 to 2706 in-lbf")


def test_half_a_lever_and_one_that_gives_none_are_no_failed_torque(show):
    page = show(NUT)
    page.locator("summary", has_text="Extension").click()
    for name, typed in (("drag", "60"), ("extension", "6"), ("tool", "DI-1"), ("0", "2500")):
        page.fill(f"#f-{name}", typed)
    expect(page.locator("torque-field")).to_contain_text("DI-1, Dial indicator:")
    expect(page.locator("torque-field")).to_contain_text("By the shop’s register this is no torque wrench.")
    assert [told[:26] for told in page.evaluate(PASS)] == ["An extension is on the wre"]
    page.fill("#f-tool", "TW-1")
    expect(page.locator("torque-field")).not_to_contain_text("this is no torque wrench")
    page.fill("#f-extension", "-30")
    assert [told[:42] for told in page.evaluate(PASS)] == ["Wrench length and extension give no lever."]


def test_a_minus_is_said_at_once_and_with_the_number_that_was_typed(show):
    page = show(NUT)
    page.fill("#f-drag", "-7")
    below = "-7 is below zero, which cannot be measured here. Type it without the minus."
    expect(page.get_by_role("alert")).to_have_text(below)
    assert [told[:16] for told in page.evaluate(PASS)] == ["-7 is below zero"]


def test_a_row_says_which_place_is_out_and_a_pass_which_is_missing(show):
    page = show(VOLTS)
    type_in(page, {0: "12,4"})
    assert page.evaluate(PASS) == ['"Reading" still lacks Cruise. Type every value before you pass the item.']
    type_in(page, {1: "1.40"})
    page.locator("#f-1").blur()
    expect(page.locator(".station", has_text="Cruise").get_by_role("status")).to_have_text("Out of limits")
    expect(page.locator(".station", has_text="Engine off").get_by_role("status")).to_have_count(0)
    type_in(page, {1: "14.0"})
    expect(page.locator(".station").get_by_role("status")).to_have_count(0)


def test_a_wire_is_counted_whole(show):
    page = show(STRANDS)
    type_in(page, {0: "1.5", 1: "0.0"})
    expect(page.get_by_role("alert")).to_have_text('"1.5" is no count. Type a whole number, for example 2.')
    type_in(page, {0: "1"})
    assert page.evaluate(PASS) == []


def test_a_number_has_room_beside_a_gloved_sign(show):
    page = show(TURN)
    assert page.evaluate(NARROWEST) >= 64
    page.evaluate("() => { document.documentElement.dataset.gloves = 'yes'; }")
    assert page.evaluate(NARROWEST) >= 96
    assert not page.evaluate(TOO_WIDE)
    page.evaluate("() => { delete document.documentElement.dataset.gloves; }")


def test_a_chosen_instrument_asks_for_its_cable_and_not_for_itself(show):
    page = show({**PLAIN, **CABLE}, TOOLS)
    page.get_by_text("TN-A", exact=True).click()
    type_in(page, {0: "48"})
    page.locator("#f-0").blur()
    expect(page.get_by_role("alert")).to_have_text("Choose above which cable and riser it is.")


def test_what_was_used_is_limited_for_each_hour_in_words_too(show):
    page = show(OIL)
    expect(page.locator(".limits strong")).to_have_text("at most 0.25 qt an hour")


def test_a_recorded_torque_reads_as_the_hands_went(show):
    page = show(NUT)
    page.locator("summary", has_text="Extension").click()
    for name, typed in (("drag", "60"), ("tool", "TW-1"), ("extension", "6"), ("angle", "45"), ("0", "2200")):
        page.fill(f"#f-{name}", typed)
    page.get_by_text("Read at the fastener", exact=True).click()
    assert page.evaluate(WORDS)[:5] == ["Allowed:", "Wrench length:", "Extension:", "Angle of the extension:",
                                          "Friction drag torque:"]  # fmt: skip
    assert page.evaluate(WORDS)[-5:-1] == ["Applied at the fastener:", "Window, low end:", "Window, high end:",
                                           "With the tool’s tolerance:"]  # fmt: skip
