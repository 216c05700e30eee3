"""The checks of an engine and its cables on the phone: what is typed, what the rules then say, what a thumb can hit."""

import pytest
from phone import Phone
from playwright.sync_api import expect
from test_screens import SMALL_TARGETS, TOO_WIDE

from witnessmark.rules.compression import LEAKS

MOUNT = """async ([field, tools]) => {
  const page = document.querySelector("link") ? "" : await (await fetch("/index.html")).text();
  for (const [, href] of page.matchAll(/rel="stylesheet" href="[.]([^"]+)"/g)) {
    const link = Object.assign(document.createElement("link"), { rel: "stylesheet", href });
    const there = new Promise((resolve, reject) => { link.onload = resolve; link.onerror = reject; });
    document.head.append(link);
    await there;
  }
  const tag = `${field.tag ?? field.kind.replace("_", "-")}-field`;
  await import(`/parts/${tag}.js`);
  const { empty_reading } = await import("/parts/reading.js");
  const main = document.createElement("main");
  window.shown = Object.assign(document.createElement(tag), { field, tools, reading: empty_reading(field) });
  shown.addEventListener("reading", ({ detail }) => { shown.reading = detail; });
  main.append(shown);
  document.body.replaceChildren(main);
  await shown.updateComplete;
}"""
FINISHED = """async () => (await import("/parts/reading.js")).finished(shown.field, shown.reading, shown.tools)"""
PLAIN = {"field": "f", "title": "Reading", "unit": None, "stations": [], "limits": None, "tool": None, "options": [],
         "source": "invented for this test", "acceptable": [], "required": True}  # fmt: skip
SIDES = {"kind": "drop", "unit": "rpm", "stations": ["Left", "Right"], "limits": {"min": None, "max": "110"},
         "difference": "45"}  # fmt: skip
OIL = {"kind": "rate", "unit": "qt", "limits": {"min": None, "max": "0.25"}}
GRADES = {"kind": "scale", "options": ["I", "II", "III"], "means": ["Stained.", "Etched.", "Pitted."],
          "acceptable": ["I", "II"]}  # fmt: skip
BALANCE = {"kind": "balance", "unit": "ips", "limits": {"min": None, "max": "0.2"}, "balance": {"mass_unit": "g"}}
CABLE = {"kind": "look_up", "unit": "lbf", "tool": "tensiometer", "limits_by": {
    "title": "Temperature", "unit": "°F", "rows": [{"at": "60", "limits": {"min": "50", "max": "64"}},
                                                   {"at": "85", "limits": {"min": "66", "max": "80"}}]}}  # fmt: skip


def cylinders(mode="fixed_ratio", count=4, **over):
    limits = {"min": "60", "max": None} if mode == "fixed_ratio" else None
    return {"kind": "compression", "unit": "psi", "stations": [f"Cylinder {one + 1}" for one in range(count)],
            "limits": limits, "compression": {"mode": mode, "supply": "80", "bore": "4.375"}, **over}


def tensiometer(serial, at_48, until="2099-01-01", more=()):
    """An instrument whose table has the printed row of dial 48 between two invented ones."""
    rows = [["44", "55"], ["48", at_48], ["54", "120"]]
    table = {"column": "3/16 cable, riser 2", "rows": rows}
    return {"serial": serial, "name": "Tensiometer", "calibrated_until": until,
            "facts": {"use": "tensiometer", "unit": "lbf", "tables": [table, *more]}}


# US Army TM 1-1500-204-23-9 fig. 7-6 prints 70 lb, NAVEDTRA 14018 fig. 9-23 100 lb: 3/16 cable, riser 2, dial 48.
TOOLS = [tensiometer("TN-A", "70", more=[{"column": "1/8 cable", "rows": [["10", "20"], ["20", "30"]]}]),
         tensiometer("TN-B", "100"), {"serial": "CT-1", "name": "Tester", "calibrated_until": None, "facts": None}]


@pytest.fixture(scope="module")
def opened(chromium, site, tmp_path_factory):
    phone = Phone(chromium, tmp_path_factory.mktemp("profile"), site.address)
    phone.start("/probe")
    yield phone.page
    phone.close()


@pytest.fixture
def show(opened):
    opened.set_viewport_size({"width": 360, "height": 740})

    def mounted(field):
        opened.evaluate(MOUNT, [{**PLAIN, **field}, TOOLS])
        return opened
    return mounted


def type_in(page, texts):
    """Type as a person does, {id of the input behind the field's name: text}, and leave the last one."""
    for name, text in texts.items():
        page.fill(f"#f-{name}", text)
    page.locator("input.value:focus").blur()


def output(page, words):
    return page.locator(".derived", has_text=words).locator("output")


def test_a_cylinder_shows_its_loss_at_once_and_its_bar_falls_below_the_limit(show):
    page = show(cylinders(spread="3"))
    expect(page.locator("fieldset")).to_contain_text("an orifice of 0.040 in")
    # 60 of 80 psi is the least by AC 43.13-1B par. 8-14, read at second hand; the losses are computed.
    for index, (pressure, loss, below) in enumerate([("60", "25.0 %", 0), ("62", "22.5 %", 0), ("58", "27.5 %", 1)]):
        type_in(page, {index: pressure})
        expect(output(page, "Loss")).to_have_text(loss)
        expect(page.locator(f"#f-{index}-pick.out")).to_have_count(below)
        if index == 2:
            page.get_by_text("Exhaust pipe").click()
            type_in(page, {"again_3": "2"})
        page.get_by_role("button", name="Next:").click()
        expect(page.locator(f"#f-{index + 1}")).to_be_focused()
    expect(page.locator(".judged, .problem")).to_have_text([""])
    type_in(page, {3: "62"})
    expect(output(page, "Weakest")).to_have_text("58 psi")
    expect(output(page, "Spread")).to_have_text("4 psi")
    expect(page.locator(".problem")).to_contain_text("the readings differ by more than is allowed")
    kept = page.evaluate(FINISHED)
    assert kept["inputs"] == {"heard_3": "exhaust", "again_3": "2"}
    assert [kept["derived"][f"loss_{place}"] for place in (1, 2, 3, 4)] == ["25.0", "22.5", "27.5", "22.5"]


def test_where_air_is_heard_has_the_same_names_in_both_languages(show):
    page = show(cylinders())
    assert page.evaluate("async () => (await import('/rules/compression.js')).LEAKS") == LEAKS
    expect(page.locator(".leaks .option")).to_have_count(len(LEAKS))


def test_more_than_the_supply_is_asked_about_and_a_count_of_halves_is_refused(show):
    page = show(cylinders(count=2))
    page.locator("#f-0").press_sequentially("81")
    expect(page.locator(".problem")).to_have_count(0)
    page.locator("#f-0").press("Enter")
    expect(page.locator(".problem")).to_contain_text("no cylinder keeps more than the supply of 80 psi")
    type_in(page, {0: "75", "again_1": "1.5"})
    page.locator("#f-1-pick").click()
    type_in(page, {1: "74"})
    expect(page.locator(".problem")).to_have_text('"1.5" is no count. Type a whole number, for example 2.')


def test_the_master_orifice_comes_first_and_is_the_limit_of_every_cylinder(show):
    page = show(cylinders("master_orifice", count=2))
    assert page.locator("input.value").first.get_attribute("id") == "f-master_orifice"
    type_in(page, {"master_orifice": "57,5", 0: "58"})
    page.locator("#f-1-pick").click()
    type_in(page, {1: "57"})
    expect(page.locator(".cylinder.out")).to_have_count(1)
    expect(page.locator(".judged")).to_have_text("Out of limits: allowed is at least 57.5 psi. The item cannot pass.")


def test_a_table_belongs_to_one_serial_number(show):
    page = show(CABLE)
    type_in(page, {0: "48"})
    expect(output(page, "By the table")).to_have_text("–")
    expect(page.locator(".problem")).to_contain_text("is a bare dial reading. Choose the instrument")
    page.locator(".option", has_text="TN-A").first.click()
    page.get_by_text("3/16 cable, riser 2").click()
    expect(output(page, "By the table of TN-A")).to_have_text("70.00 lbf")
    page.locator(".option", has_text="TN-B").first.click()
    expect(output(page, "By the table of TN-B")).to_have_text("100.00 lbf")
    assert page.evaluate(FINISHED)["inputs"] == {
        "column": "3/16 cable, riser 2", "dial_low": "48", "result_low": "100", "dial_high": "48",
        "result_high": "100"}  # fmt: skip
    type_in(page, {0: "46"})
    expect(page.locator(".rows-used td")).to_have_text(["44", "55", "48", "100"])
    expect(output(page, "By the table of TN-B")).to_have_text("77.50 lbf")
    type_in(page, {0: "55"})
    expect(page.locator(".problem")).to_contain_text("55 lies outside the table, which runs from 44 to 54.")
    expect(page.locator(".rows-used")).to_have_count(0)


def test_tension_is_judged_at_the_temperature_of_the_cable(show):
    page = show(CABLE)
    page.locator(".option", has_text="TN-A").first.click()
    page.get_by_text("3/16 cable, riser 2").click()
    type_in(page, {0: "48"})
    expect(page.locator(".judged")).to_have_text("")
    page.locator("#f-at").press_sequentially("8")
    expect(page.locator(".problem")).to_have_count(0)
    page.locator("#f-at").press_sequentially("5")
    expect(page.locator(".in-force")).to_have_text("At 85 °F: 66 to 80 lbf")
    expect(page.locator(".judged")).to_have_text("Within limits")
    page.select_option("#f-at-unit", "°C")
    page.locator("#f-at").blur()
    expect(page.locator(".problem")).to_contain_text("185 lies outside the table")


def test_no_fall_at_all_is_suspect_and_sides_that_differ_are_seen(show):
    page = show(SIDES)
    type_in(page, {"base": "2700", 0: "2620"})
    expect(page.locator(".fall output").first).to_have_text("80 rpm")
    expect(page.locator(".problem")).to_have_count(0)
    type_in(page, {1: "2590"})
    expect(output(page, "Difference")).to_have_text("30 rpm")
    expect(page.locator(".judged")).to_have_text("Within limits")
    type_in(page, {1: "2700"})
    expect(page.locator(".problem").first).to_contain_text("no fall at all")
    expect(page.locator(".problem").nth(1)).to_contain_text("differ by more than is allowed")
    type_in(page, {1: "2580"})
    expect(page.locator(".fall.out output")).to_have_text("120 rpm")


def test_oil_is_counted_for_each_hour_and_a_meter_that_runs_backwards_is_refused(show):
    page = show(OIL)
    type_in(page, {0: "0,5", "hours_then": "1234.5"})
    page.locator("#f-hours_now").press_sequentially("12")
    expect(page.locator(".problem")).to_have_count(0)
    page.locator("#f-hours_now").press("Enter")
    expect(page.locator(".problem")).to_contain_text("The hour-meter now must show more")
    type_in(page, {"hours_now": "1242.0"})
    expect(output(page, "For each hour")).to_have_text("0.067 qt/h")
    expect(page.locator(".judged")).to_have_text("Within limits")


def test_a_grade_stands_with_what_it_means(show):
    page = show(GRADES)
    page.locator(".option", has_text="Pitted.").click()
    expect(page.locator(".judged")).to_contain_text("Not acceptable")
    page.locator(".option", has_text="Etched.").click()
    expect(page.locator(".judged")).to_have_text("Acceptable")
    assert len({option.bounding_box()["x"] for option in page.locator(".option").all()}) == 1


def test_a_grade_that_need_not_be_there_can_be_taken_back(show):
    page = show(GRADES | {"required": False})
    taken_back = page.get_by_role("button", name="None of these")
    expect(taken_back).to_have_count(0)
    page.get_by_text("III", exact=True).click()
    taken_back.click()
    expect(page.locator("input:checked")).to_have_count(0)
    assert page.evaluate(FINISHED)["values"] == [None]


def test_the_tolerance_of_a_tool_that_the_shop_does_not_know_is_typed_where_the_card_counts_it(show):
    # AC 43.13-1B has no figure for it: the limit, the values and the tolerance are invented, the outcome is computed.
    play = {"kind": "measure", "unit": "in", "limits": {"min": None, "max": "0.010"}, "tool": "dial indicator"}
    expect(show(play | {"tag": "reading"}).locator("#f-tolerance")).to_have_count(0)
    page = show(play | {"tag": "reading", "decision": "guarded"})
    type_in(page, {"0": "0.0097", "tool": "XX-1", "tolerance": "0.0005"})
    expect(page.locator(".problem")).to_contain_text("nearer to its limit than the tool can tell")
    type_in(page, {"tolerance": "0.0002"})
    expect(page.locator(".judged.in")).to_contain_text("Within limits")
    assert page.evaluate(FINISHED)["derived"] == {"outcome": "pass"}


def test_a_trial_weight_tells_where_the_weight_belongs(show):
    page = show(BALANCE)
    type_in(page, {"first_ips": "0.5", "first_clock": "13"})
    expect(page.locator(".problem")).to_contain_text('"13" is no clock angle.')
    # Computed: 10 g at 12 moves 0.5 ips at 6 to 0.3 at 6, so 25 g at 12 take all of it away.
    type_in(page, {"first_clock": "6", "trial_mass": "10", "trial_clock": "12", "second_ips": "0.5",
                   "second_clock": "6"})  # fmt: skip
    expect(page.locator(".problem")).to_contain_text("The trial weight changed nothing")
    type_in(page, {"second_ips": "0.3"})
    expect(output(page, "At 12.0 o’clock")).to_have_text("25.00 g")
    expect(output(page, "On blade A")).to_have_text("25.00 g")
    expect(page.locator(".clock-picture .correction")).to_have_count(2)
    type_in(page, {0: "0.21"})
    expect(page.locator(".judged")).to_contain_text("Out of limits: allowed is at most 0.2 ips")


@pytest.mark.parametrize("gloves", ["no", "yes"])
def test_every_target_is_large_enough_and_nothing_scrolls_sideways(show, gloves):
    found = {}
    for field in (cylinders(), cylinders("master_orifice", 6), CABLE, SIDES, OIL, GRADES, BALANCE):
        page = show(field)
        page.evaluate("(gloves) => { document.documentElement.dataset.gloves = gloves; }", gloves)
        for width in (360, 320):
            page.set_viewport_size({"width": width, "height": 740})
            found[field["kind"], width] = (page.evaluate(SMALL_TARGETS), page.evaluate(TOO_WIDE))
    assert {place: wrong for place, wrong in found.items() if wrong != ([], False)} == {}
