"""The torque sequence on the phone, walked with published figures, and the page of published values."""

import pytest
from phone import Phone
from playwright.sync_api import expect
from test_engine_checks import FINISHED, MOUNT, PLAIN, type_in
from test_screens import OPEN_ALL, SMALL_TARGETS, TOO_WIDE

# AC 43.13-1B Table 7-1, page 7-9: 1/4-28, tension-type nut, 50 to 70 in-lb.
NUT = {**PLAIN, "kind": "torque", "title": "Nut", "unit": "in-lbf", "limits": {"min": "50", "max": "70"},
       "tool": "torque wrench", "torque": {"drag": True, "nut": "castle"}}  # fmt: skip
WRENCH = {"use": "torque_wrench", "unit": "in-lbf", "full_scale": "150", "graduation": "5", "tolerance_percent": "4",
          "length": "10", "length_unit": "in"}  # fmt: skip
METRIC = {**WRENCH, "unit": "N·m", "full_scale": "10", "graduation": "0.2", "length": "250", "length_unit": "mm"}
TOOLS = [{"serial": "TW-1", "name": "Torque wrench", "calibrated_until": None, "facts": WRENCH},
         {"serial": "TW-2", "name": "Torque wrench", "calibrated_until": None, "facts": METRIC}]
PAGE = """async () => {
  await import("/screens/published-page.js");
  const main = document.createElement("main");
  main.append(document.createElement("published-page"));
  document.body.replaceChildren(main);
}"""


@pytest.fixture(scope="module")
def opened(chromium, site, tmp_path_factory):
    phone = Phone(chromium, tmp_path_factory.mktemp("profile"), site.address)
    phone.start("/probe").set_viewport_size({"width": 360, "height": 740})
    yield phone.page
    phone.close()
    assert [error for error in phone.errors if "404" not in error] == []  # the site has no icon


@pytest.fixture
def page(opened):
    opened.evaluate(MOUNT, [NUT, TOOLS])
    return opened


def setting(page):
    return page.locator(".set-to output")


def test_drag_comes_first_then_the_extension_and_the_verdict_is_on_the_window(page):
    expect(page.locator(".set-to")).to_have_text("Type the drag first.")
    type_in(page, {"drag": "8"})
    # AC 43.13-1B par. 7-40 d, f: 50 to 70 and 8 of drag is 58 to 78.
    expect(setting(page)).to_have_text("58 to 78 in-lbf")
    page.fill("#f-tool", "TW-1")
    page.evaluate(OPEN_ALL)
    expect(page.locator("#f-wrench_length")).to_have_value("10")
    type_in(page, {"extension": "4", "angle": "60"})
    # With an extension the same 8 in-lbf on the wrench would be more at the fastener: nothing is assumed.
    expect(page.locator(".set-to")).to_contain_text("Say above whether the drag was read at the fastener")
    page.get_by_text("Read at the fastener", exact=True).click()
    # Worked out by TM 1-1500-204-23-9 par. 8-5 and TM 9-254 fig. 46: 58 and 78 times 10/12, rounded inward.
    expect(setting(page)).to_have_text("48.4 to 65 in-lbf")
    expect(page.locator(".set-to")).to_contain_text("78 × 10 ÷ (10 + 4 × cos 60°) = 65")
    expect(page.locator(".steps")).to_contain_text("begin at 48.4 in-lbf")
    type_in(page, {"0": "50"})
    expect(page.locator(".derived output")).to_have_text("60.00 in-lbf")
    expect(page.locator(".judged.in")).to_have_text("Inside 58 to 78 in-lbf at the fastener")
    expect(page.locator(".guard")).to_contain_text("nearer to the end than the tolerance of the wrench")
    type_in(page, {"0": "66"})
    expect(page.locator(".judged.out")).to_contain_text("at the fastener it must be 58 to 78 in-lbf")
    derived = page.evaluate(FINISHED)["derived"]
    assert derived == {"applied": "79.20", "window_min": "58.00", "window_max": "78.00", "outcome": "conditional_fail"}


def test_the_window_rejects_79_without_an_extension(page):
    type_in(page, {"drag": "8", "0": "79"})
    expect(page.locator(".judged.out")).to_contain_text("Outside")
    type_in(page, {"0": "78"})
    expect(page.locator(".judged.in")).to_contain_text("Inside")


def test_the_wrench_is_known_by_its_serial_number_and_speaks_its_own_unit(page):
    page.evaluate(OPEN_ALL)
    page.fill("#f-tool", "TW-2")
    page.get_by_role("button", name="Use N·m").click()
    type_in(page, {"drag": "0.9", "extension": "-60"})
    page.get_by_text("Read at the fastener", exact=True).click()
    # Table 7-1's 50 to 70 in-lb is 5.649 to 7.909 N·m (computed, 1 in-lbf = 0.1129848290276167 N·m); 250/190 of 6.549.
    expect(setting(page)).to_have_text("8.62 to 11.59 N·m")
    expect(page.locator(".set-to")).to_contain_text("(50 to 70 in-lbf on the card)")
    expect(page.locator(".steps .problem")).to_contain_text("The high end is above the full scale of the wrench.")
    page.fill("#f-tool", "TW-1")
    expect(page.locator("#f-wrench_length")).to_have_value("254")
    expect(page.locator("#f-length_unit")).to_have_value("mm")
    page.fill("#f-wrench_length", "260")
    page.fill("#f-tool", "TW-2")
    expect(page.locator("#f-wrench_length")).to_have_value("260")
    expect(page.locator("#f-full_scale")).to_have_value("10")


@pytest.mark.parametrize(("typed", "words"), [
    ({"drag": "eight"}, '"eight" is not a number'),
    ({"drag": "1,250"}, "could mean two numbers"),
    ({"drag": "-8"}, "-8 is below zero"),
    ({"drag": "8", "extension": "4"}, "Type the wrench length too."),
    ({"drag": "8", "wrench_length": "10", "extension": "-12"}, "give no lever"),
    ({"drag": "8", "0": "1000"}, "more than ten times the limit"),
    ({"drag": "80"}, "A drag of 80 in-lbf is more than half of the torque itself"),
])
def test_what_is_typed_wrong_is_said_in_a_sentence_and_stays_as_it_was_typed(page, typed, words):
    page.evaluate(OPEN_ALL)
    type_in(page, typed)
    expect(page.locator("torque-field")).to_contain_text(words)
    for name, text in typed.items():
        expect(page.locator(f"#f-{name}")).to_have_value(text)


def test_a_card_without_the_sequence_asks_as_before(opened):
    opened.evaluate(MOUNT, [{**NUT, "torque": None}, TOOLS])
    opened.evaluate(OPEN_ALL)
    # US Army TM 9-254 par. d: L 12 in, A 2 in, setting 60, printed answer 70.
    type_in(opened, {"0": "60", "wrench_length": "12", "extension": "2"})
    expect(opened.locator(".derived output")).to_have_text("70.00 in-lbf")
    expect(opened.locator(".judged.in")).to_have_text("Within limits")
    expect(opened.locator(".steps")).to_have_count(0)


def test_a_glove_hits_everything_and_nothing_scrolls_sideways(page):
    page.fill("#f-tool", "TW-2")
    type_in(page, {"drag": "8", "0": "60"})
    page.evaluate(OPEN_ALL)
    found = {}
    for width in (360, 320):
        page.set_viewport_size({"width": width, "height": 740})
        found[width] = (page.evaluate(SMALL_TARGETS), page.evaluate(TOO_WIDE))
    page.set_viewport_size({"width": 360, "height": 740})
    assert found == {360: ([], False), 320: ([], False)}


def test_published_values_are_looked_up_with_source_and_condition(page):
    page.evaluate(PAGE)
    main = page.locator("published-page")
    expect(main).to_contain_text("50 to 70 in-lbf")
    expect(main).to_contain_text("Never above 100 in-lbf")
    expect(main).to_contain_text("Only where no specific torque is given (AC 43.13-1B par. 7-40 i)")
    expect(main).to_contain_text("below 7/16 the nut may be used again only while fingers cannot turn it")
    page.select_option("#size", "7/16-20")
    expect(main).to_contain_text("450 to 500 in-lbf")
    expect(main).to_contain_text("at least 8 in-lbf")
    page.get_by_text("shear-type nut").first.click()
    expect(main).to_contain_text("270 to 300 in-lbf")
    page.evaluate(OPEN_ALL)
    expect(page.locator("#torque-lines")).to_contain_text('limits: {min: "270", max: "300"}')
    page.select_option("#size", "other threads")
    expect(main).to_contain_text("There is no published value for other threads.")
    page.select_option("#metal", "aluminium")
    expect(main).to_contain_text("There is no published value for aluminium wire of size 22.")
    assert (page.evaluate(SMALL_TARGETS), page.evaluate(TOO_WIDE)) == ([], False)
