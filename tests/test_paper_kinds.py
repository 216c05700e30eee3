"""Every kind of reading on paper: the numbers worked out by hand stand in the text, and no input breaks a paper."""

import io
import re
from xml.etree import ElementTree

import pikepdf
import pytest

from read_paper import printed, squeezed, structure, text_of
from sample_card import READINGS as OLD_READINGS
from sample_card import Walk
from sample_kinds import FIELDS, TEMPLATE, TITLES, kinds_card, recorded, trend
from witnessmark.pdf.glyphs import printable
from witnessmark.pdf.paper import paper_html
from witnessmark.pdf.reading_lines import reading_line
from witnessmark.pdf.reading_words import DERIVED, INPUTS
from witnessmark.pdf.renderer import Renderer
from witnessmark.pdf.trend_lines import trend_lines

DAY = "2026-11-25"
SVG = re.compile(r'<svg class="plot.*?</svg>', re.DOTALL)


@pytest.fixture(scope="module")
def renderer():
    made = Renderer()
    yield made
    made.close()


@pytest.fixture(scope="module")
def pdf(renderer):
    return printed(renderer, kinds_card())


@pytest.fixture(scope="module")
def text(pdf):
    return squeezed(text_of(pdf))


def line(name, last=None, **changes):
    return reading_line(FIELDS[name], name, {**recorded(name), **changes}, DAY, last)


SAID = {
    # Closed form, see sample_kinds: 0.010 + 0.002 cos(angle - 45°), largest minus smallest 0.0040.
    "shaft": ["back at the first place 0.0113 in", "Total indicator reading 0.0040 in", "Eccentricity 0.00199 in",
              "High spot at 45.0°", "once per turn, as of a shaft that is bent", "comes back within 0.0005 in"],
    "drum": ["not once per turn, so not that of a bent shaft", "Eccentricity 0.0000 in"],
    # AC 43.13-1B par. 7-40 d and f: 50 to 70 and a drag of 8 is 58 to 78. US Army TM 1-1500-204-23-9 par. 8-5 for the
    # extension, computed with the 60° of it: 55 * (10 + 4 * 0.5) / 10 = 66.
    "nut": ["Pitch link nut 55 in-lbf", "extension 4 in", "wrench length 10 in", "angle of the extension 60°",
            "friction drag 8 in-lbf at the fastener", "full scale 150 in-lbf", "graduation 5 in-lbf",
            "tolerance of the tool 4 %", "Applied torque 66.00 in-lbf", "Limits with the drag 58.00 to 78.00 in-lbf",
            "inside the limits by more than it",
            "Castle nut: from the lower limit on to the next slot, never above the upper one",
            "conditionally where the tool cannot tell"],
    # 60 of 80 psi is a loss of 25 % (AC 43.13-1B par. 8-14), the others computed likewise.
    "cylinders": ["Loss, % 22.5 25.0 7.5 27.5", "Air heard nowhere exhaust nowhere breather", "Weakest Cylinder 4",
                  "Re-tests none none none 2", "Largest minus smallest 16 psi",
                  "not accepted: a value is outside its limits; the readings differ by more than is allowed"],
    "orifice": ["at least 43.5 psi, as the master orifice read", "Loss, % 31.3 41.3"],
    "skin": ["Limits ≥ 1.60 ≥ 1.40 ≥ 1.20 ≥ 1.20 ≥ 1.00 none", "Smallest 1.24 mm at tip",
             "Largest step 0.38 mm between 2 m and 3 m", "not accepted: two neighbouring readings differ"],
    "gap": ["tolerance of the tool 0.001 in", "inside the limits, but nearer to one than the tool can tell",
            "not accepted: a value is nearer to its limit than the tool can tell"],
    "free": ["with Bearing fitted needle", "Limits ≤ 0.20 0.05 to 0.30", "Largest minus smallest 0.06 mm"],
    "magnetos": ["on both magnetos 1800 rpm", "rpm 1700 1720", "Drop 100 80", "Difference of the sides 20 rpm",
                 "each drop at most 125 rpm; sides differ by at most 50 rpm"],
    # 1.5 / (1234.5 - 1230.0) = 0.3333...
    "oil": ["hour-meter last time 1230.0 h", "hour-meter now 1234.5 h", "Hours run 4.5 h",
            "Consumption 0.333 qt an hour", "at most 0.500 qt an hour"],
    # 62 + 3/5 of 11 = 68.6; half-way between 60 and 90 °F the limits are half-way: 55 and 72.5.
    "cable": ["Cable tension dial 48", "for 3/16, riser 2", "dial 45 is 62 lbf, dial 50 is 73 lbf",
              "By the table 68.60 lbf", "with Temperature 75 °F: 55 to 72.5 lbf", "tensiometer TM-70"],
    "leak": ["Class II: Drops form, none of them falls", "acceptable: Class I", "not acceptable"],
    # Vectors of 3, 4 and 5: the trial weight alone did 0.3 ips, so 10 * 0.4 / 0.3 = 13.33 g.
    "fan": ["0.08 ips in the last run", "first run 0.4 ips at 3 o’clock", "trial weight 10 g at 12 o’clock",
            "second run with it 0.5 ips at 1.771 o’clock", "Correction 13.33 g at 9.0 o’clock",
            "13.33 g across the blades cannot be taken there"],
    "volts": ["whoever read it confirmed that it was read so", "The part is new"],
}


@pytest.mark.parametrize("name", FIELDS)
def test_the_paper_says_in_words_what_was_typed_and_what_follows(text, name):
    assert [said for said in SAID[name] if squeezed(said) not in text] == []


def test_every_value_of_every_kind_stands_in_the_text_layer(text):
    for name in FIELDS:
        reading = recorded(name)
        values = [*reading["values"], *reading["inputs"].values(), *reading["derived"].values()]
        assert [value for value in values if value[0].isdigit() and squeezed(value) not in text] == [], name


def test_each_drawing_has_a_text_alternative_and_headings_stay_in_order(pdf):
    document = pikepdf.open(io.BytesIO(pdf))
    tags = list(structure(document))
    alternatives = [str(node.Alt) for tag, node in tags if tag == "/Figure"]
    assert len(alternatives) == len(FIELDS) + 2 + 8  # marks, square codes, drawings
    assert ("Polar plot of Tail shaft run-out: total 0.0040 in, high spot at 45.0°, "
            "once per turn, as of a shaft that is bent or off its centre") in alternatives
    assert "Bars of Compression: Cylinder 1 62, Cylinder 2 60, Cylinder 3 74, Cylinder 4 58 psi" in alternatives
    assert "Profile of Skin thickness along 6 places against the limit and the last inspection" in alternatives
    assert any(found.endswith("square C the correction of 13.33 g at 9.0 o’clock") for found in alternatives)
    assert [found for found in alternatives if found.startswith("Trend")] == [
        "Trend of 1.10 Oil used", "Trend of 1.6 Skin thickness, root"]
    levels = [int(tag[2]) for tag, _ in tags if re.fullmatch("/H[1-6]", tag)]
    assert all(after <= before + 1 for before, after in zip(levels, levels[1:], strict=False))
    assert all(len(node.A.Headers) >= 1 for tag, node in tags if tag == "/TD")


def test_drawings_are_black_and_grey_and_well_formed():
    drawings = SVG.findall(paper_html(kinds_card()))
    assert len(drawings) == 8
    for drawing in drawings:
        ElementTree.fromstring(drawing)
        assert set(re.findall(r'"(#[0-9a-f]+)"', drawing)) <= {"#111", "#777", "#ddd", "#fff"}


def test_an_entry_from_before_these_kinds_is_printed_as_it_was():
    walk = Walk()
    for name in ("tube_run_out", "spline_wear", "nut_torque"):
        walk.result(name, readings=OLD_READINGS[name])
    html = paper_html(walk.facts())
    assert SVG.findall(html) == [] and "Trends" not in html and 'class="aside"' not in html
    for told in ('<b class="value">231.50 in-lbf</b> · extension 1.5 · wrench length 10 · Applied torque '
                 '<b class="value">266.23 in-lbf</b> · 240 to 280 in-lbf (invented for the demo) · ',
                 'Run-out at mid span</span> · Total indicator reading <b class="value">0.0040 in</b> · at most'):
        assert told in html


def test_what_the_phone_had_worked_out_otherwise_is_shown_in_line_and_in_the_table():
    told = line("cylinders", derived={**recorded("cylinders")["derived"], "loss_2": "2.5", "weakest": "9"})
    cells = [cell for cell, _ in told["tables"][0]["rows"][1][1]]
    assert cells[1] == "25.0 (the phone had computed 2.5)" and cells[0] == "22.5"
    assert ("Weakest", "Cylinder 4", "9") in told["derived"]
    window = line("nut", derived={"applied": "66.00", "window_min": "50.00", "outcome": "fail"})
    assert ("Limits with the drag", "58.00 to 78.00 in-lbf", "50.00 to nothing in-lbf") in window["derived"]
    assert [had for name, _, had in window["derived"] if name == "Applied torque"] == [""]


def test_a_value_outside_is_bold_in_the_table_and_hollow_in_the_bars():
    told = line("cylinders")
    assert [cell for cell, outside in told["tables"][0]["rows"][0][1] if outside] == ["58"]
    assert "58 psi, outside" in told["picture"] and told["picture"].count("outside") == 1
    drop = line("magnetos", values=["1700", "1674"], derived={"drop_1": "100", "drop_2": "126", "difference": "26"})
    assert [cell for head, cells in drop["tables"][0]["rows"] for cell, outside in cells if outside] == ["1674", "126"]
    assert drop["judged"] == "outside limits"


def test_the_last_inspection_is_drawn_beside_a_profile_unless_the_part_is_new():
    last = {"root": "1.95", "tip": "1.28"}
    assert "last inspection" in line("skin", last)["picture"]
    assert "last inspection" not in line("skin", last, inputs={"new_part": "yes"})["picture"]
    assert "last inspection" not in line("skin")["picture"]


def test_limits_that_cannot_be_known_say_why():
    assert "no limits, because “Temperature” was not recorded" in line("cable", inputs={})["limits"]
    beyond = {**recorded("cable")["inputs"], "at": "95"}
    assert "with Temperature 95 °F: the card has no limits there" in line("cable", inputs=beyond)["limits"]
    # A third of the way from 60 to 90 °F: 53.333... and exactly 70.
    third = {**recorded("cable")["inputs"], "at": "70"}
    assert "about 53.3333 to 70 lbf" in line("cable", inputs=third)["limits"]


def test_missing_parts_are_told_as_not_judged():
    inputs = {name: value for name, value in recorded("nut")["inputs"].items() if not name.startswith("drag")}
    told = line("nut", inputs=inputs, derived={})
    assert told["judged"] == "not judged: the friction drag torque is not recorded" and not told["outside"]


def test_an_input_that_no_kind_knows_is_printed_by_its_name():
    assert ("sky_colour", "blue") in line("volts", inputs={"sky_colour": "blue"})["inputs"]
    assert ("heard_9", "exhaust") in line("cylinders", inputs={"heard_9": "exhaust"})["inputs"]
    assert ("loss_1", "nothing", "3") in line("volts", derived={"loss_1": "3"})["derived"]


def test_words_of_inputs_and_derived_values_name_what_they_show():
    for table in (INPUTS, DERIVED):
        for names, _, pattern in table:
            assert set(re.findall(r"{(\w+)}", pattern)) - {"unit", "length_unit"} == set(names)


VERDICTS = {
    "too_few_points": (["1.0", "1.1", "1.2", "1.3"], None),
    # Six of the ten slopes between pairs are 0.1 V in 100 h, the other four are steeper, so 0.1 is the median.
    "past_limit": (["1.0", "1.1", "1.2", "1.3", "1.45"], "5 points, drift 0.10"),
    "no_drift": (["1.0", "1.0", "1.0", "1.0", "1.0"], "No drift."),
    "away": (["1.3", "1.2", "1.1", "1.0", "0.9"], "no limit on the side to which it drifts"),
    # 0.05 V in 100 h from 1.2 V to the limit of 1.4 V: 400 h.
    "reaches": (["1.00", "1.05", "1.10", "1.15", "1.20"], "reach the limit of 1.4 V after 400.0 h more"),
}


@pytest.mark.parametrize("verdict", VERDICTS)
def test_a_trend_says_its_verdict(verdict):
    values, said = VERDICTS[verdict]
    series = trend("volts", values, high="1.4")
    assert series["projection"]["verdict"] == verdict
    told = trend_lines([series], {"volts_item": "1.14"})
    if said is None:
        assert told == {"pairs": [], "few": [{"title": "1.14 Bus voltage", "count": 4, "newest": "1.3 V at 1134.5 h"}]}
    else:
        [[drawn]] = told["pairs"]
        assert said in drawn["words"] and "limit, most" in drawn["plot"]


def test_a_projection_that_may_never_come_true_says_never():
    told = trend_lines([trend("volts", ["1.00", "1.20", "1.05", "1.10", "1.25"], high="1.4")], {})
    assert re.search(r"\(90 % between [\d.]+ h and never\)", told["pairs"][0][0]["words"])


GARBAGE = ["", "abc", "-", "1,5", "1e9", "9" * 15, "-0", "0", "0.000000000000000001", "−1", "Class IX", "<b>"]


@pytest.mark.parametrize("name", FIELDS)
@pytest.mark.parametrize("unit", ["own", None, "rpm", "furlong"])
def test_no_reading_breaks_its_line(name, unit):
    field, typed = FIELDS[name], recorded(name)
    count = len(field["stations"]) or 1
    units = {"unit": field["unit"] if unit == "own" else unit}
    for value in [*GARBAGE, None]:
        for inputs in ({}, dict.fromkeys(typed["inputs"], value or "x")):
            for values in ([value] * count, [value] * (count + 1), [typed["values"][0], *[value] * (count - 1)]):
                told = line(name, {"root": "1.95"}, **units, values=values, inputs=inputs)
                assert told["title"] == TITLES[name]
                if told["picture"]:
                    ElementTree.fromstring(told["picture"])
                    assert not re.search(r"\b(nan|inf)\b", told["picture"])


HOSTILE = ['"><script>alert(1)</script>&amp;{{ 7*7 }}', "</title></svg><img src=file:///etc/passwd>",
           "url(http://127.0.0.1:9/x) \u202eexe \u0301", "W" * 60]


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_in_every_place_of_every_kind_stays_text(renderer, hostile, caplog):
    walk = Walk({**TEMPLATE, "zones": [{**TEMPLATE["zones"][0], "items": [_hostile(item, hostile)
                                                                        for item in TEMPLATE["zones"][0]["items"]]}]})
    for item in walk.template["zones"][0]["items"]:
        field = item["fields"][0]
        typed = recorded(field["field"])
        inputs = {**typed["inputs"], **{name: hostile for name in ("column", "heard_1", "drag_at", "new_part", "odd")}}
        derived = {**typed["derived"], "shape": hostile, "odd": hostile}
        tools = [{"serial": hostile, "calibrated_until": None}]
        walk.result(item["item"], readings={field["field"]: {
            **typed, "inputs": inputs, "tools": tools, "derived": derived}})
    walk.approve()
    series = {**trend("oil", ["0.210", "0.240", "0.255", "0.290", "0.333"], high="0.500"), "title": hostile,
              "station": hostile, "unit": hostile}
    facts = {**walk.facts(), "trends": [series]}
    html = paper_html(facts)
    assert "<script" not in html and "<img" not in html
    for drawing in SVG.findall(html):
        ElementTree.fromstring(drawing)
    made = printed(renderer, facts)
    assert squeezed(printable(hostile)) in squeezed(text_of(made))
    assert [page for page in pikepdf.open(io.BytesIO(made)).pages if "/Annots" in page] == []
    assert caplog.records == []


def _hostile(item, hostile):
    field = item["fields"][0]
    by = field.get("limits_by")
    return {**item, "fields": [{
        **field, "title": hostile, "source": hostile, "tool": hostile,
        "stations": [f"{hostile[:35]}{number}" for number, _ in enumerate(field["stations"])],
        **({"limits_by": {**by, "title": hostile}} if by else {}),
        **({"means": [hostile] * len(field["means"])} if "means" in field else {})}]}
