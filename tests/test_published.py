"""The published tables, row by row against the printed figures, and the same in both languages.

Printed sources: AC 43.13-1B (9/8/98 with change 1) Table 7-1 page 7-9, Table 7-2 page 7-12, Table 7-3, Table 11-13 page
11-62; US Army TM 5-5420-203-14 for the two scales.
"""

import json
import textwrap

import pytest

from witnessmark.rules import published
from witnessmark.rules.card_template import load_template
from witnessmark.rules.problems import Problem

TABLE_7_1 = """
fine   8-36      12-15       7-9         20     12
fine   10-32     20-25       12-15       40     25
fine   1/4-28    50-70       30-40       100    60
fine   5/16-24   100-140     60-85       225    140
fine   3/8-24    160-190     95-110      390    240
fine   7/16-20   450-500     270-300     840    500
fine   1/2-20    480-690     290-410     1100   660
fine   9/16-18   800-1000    480-600     1600   960
fine   5/8-18    1100-1300   600-780     2400   1400
fine   3/4-16    2300-2500   1300-1500   5000   3000
fine   7/8-14    2500-3000   1500-1800   7000   4200
fine   1-14      3700-5500   2200-3300*  10000  6000
fine   1-1/8-12  5000-7000   3000-4200*  15000  9000
fine   1-1/4-12  9000-11000  5400-6600*  25000  15000
coarse 8-32      12-15       7-9         20     12
coarse 10-24     20-25       12-15       35     21
coarse 1/4-20    40-50       25-30       75     45
coarse 5/16-18   80-90       48-55       160    100
coarse 3/8-16    160-185     95-100      275    170
coarse 7/16-14   235-255     140-155     475    280
coarse 1/2-13    400-480     240-290     880    520
coarse 9/16-12   500-700     300-420     1100   650
coarse 5/8-11    700-900     420-540     1500   900
coarse 3/4-10    1150-1600   700-950     2500   1500
coarse 7/8-9     2200-3000   1300-1800   4600   2700
"""
TABLE_7_2 = """
7/16-20 8   1/2-20 10  9/16-18 13  5/8-18 18  3/4-16 27  7/8-14 40  1-14 55  1-1/8-12 73  1-1/4-12 94
7/16-14 8   1/2-13 10  9/16-12 14  5/8-11 20  3/4-10 27  7/8-9 40   1-8 51   1-1/8-8 68   1-1/4-8 88
"""
TABLE_7_3 = {
    "1/16 7×7": (480, 480), "3/32 7×7": (920, 920), "3/32 7×19": (1000, 920), "1/8 7×19": (2000, 1760),
    "5/32 7×19": (2800, 2400), "3/16 7×19": (4200, 3700), "7/32 7×19": (5600, 5000), "1/4 7×19": (7000, 6400),
}  # fmt: skip
TABLE_11_13 = {
    "24 22 20 18 16 14": ("19", 2, 0), "12 10": ("37", 4, 0), "8 6 4": ("133", 6, 6), "2 1": ("665 to 817", 6, 6),
    "0 00": ("1045 to 1330", 6, 6), "000": ("1665", 6, 6), "0000": ("2109", 6, 6),
}  # fmt: skip
TABLES = ["TORQUE", "ESTIMATED", "NUTS", "PREVAILING", "WIRE", "CABLE", "SCALES"]


def printed_rows():
    for line in TABLE_7_1.strip().splitlines():
        thread, size, tension, shear, tension_most, shear_most = line.split()
        for nut, text, most in (("tension", tension, tension_most), ("shear", shear, shear_most)):
            low, high = text.rstrip("*").split("-")
            yield size, nut, (thread, low, high, most, text.endswith("*"))


def test_table_7_1_is_complete_and_as_printed():
    rows = list(printed_rows())
    assert len(rows) == 50 and {size for size, _, _ in rows} == set(published.TORQUE)
    for size, nut, printed in rows:
        found = published.torque_range(size, nut)
        assert tuple(found[name] for name in ("thread", "min", "max", "most", "estimated")) == printed, (size, nut)
        assert found["source"] == "AC 43.13-1B Table 7-1, page 7-9"


@pytest.mark.parametrize("nut", ["tension", "shear"])
def test_the_acs_own_condition_goes_with_every_torque(nut):
    condition = published.torque_range("1/4-28", nut)["condition"]
    assert "no specific torque" in condition and "7-40 i" in condition
    assert "oil-free, cadmium-plated" in condition and published.NUTS[nut] in condition


def test_every_recommended_range_is_below_its_maximum():
    for size, nut, (_, low, high, most, _) in printed_rows():
        assert int(low) < int(high) < int(most), (size, nut)


def test_table_7_2_is_complete_and_below_7_16_fingers_decide():
    words = TABLE_7_2.split()
    printed = dict(zip(words[::2], words[1::2], strict=True))
    assert len(printed) == 18 and set(printed) == set(published.PREVAILING)
    assert {size: published.prevailing_torque(size)["min"] for size in printed} == printed
    small = [size for size in published.TORQUE if size not in printed]
    assert len(small) == 10 and all(size.split("-")[0] in {"8", "10", "1/4", "5/16", "3/8"} for size in small)
    for size in small:
        with pytest.raises(Problem) as refusal:
            published.prevailing_torque(size)
        assert refusal.value.code == "prevailing_by_hand" and size in refusal.value.sentence


def test_table_7_3_is_as_printed():
    assert set(TABLE_7_3) == set(published.CABLE)
    for cable, (carbon, resistant) in TABLE_7_3.items():
        assert published.cable_strength(cable, "carbon")["min"] == str(carbon)
        assert published.cable_strength(cable, "corrosion_resistant")["min"] == str(resistant)


def test_table_11_13_is_as_printed():
    for sizes, (strands, nicked, broken) in TABLE_11_13.items():
        for awg in sizes.split():
            found = published.wire_damage("copper", awg)
            assert (found["strands"], found["nicked"], found["broken"]) == (strands, str(nicked), str(broken)), awg
    for awg in "8 6 4 2 1 0 00 000".split():
        found = published.wire_damage("aluminium", awg)
        assert (found["nicked"], found["broken"]) == ("0", "0"), awg


def test_a_size_of_no_table_gets_a_sentence_that_says_where_to_look():
    with pytest.raises(Problem) as refusal:
        published.torque_range("1-3/8-12", "tension")
    assert refusal.value.sentence == "There is no published value for a torque of the thread 1-3/8-12. " \
        "Take it from the manufacturer's instructions."


def test_the_scales_have_their_grades_in_order_and_a_source():
    grades = {name: [grade["grade"] for grade in scale["grades"]] for name, scale in published.SCALES.items()}
    assert grades == {"corrosion": ["Stage I", "Stage II", "Stage III", "Stage IV"],
                      "leak": ["Class I", "Class II", "Class III"]}
    for scale in published.SCALES.values():
        assert scale["source"].startswith("US Army TM 5-5420-203-14")
        assert all(len(grade["means"]) > 20 for grade in scale["grades"])


def test_both_languages_hold_the_same_tables(node):
    told = node("import('./client/rules/published.js').then((m) => console.log(JSON.stringify(m)))")
    phone = {name: value for name, value in json.loads(told).items() if name in TABLES}
    assert phone == {name: getattr(published, name) for name in TABLES}


LINES = """
import * as lines from './client/screens/published_lines.js';
import * as published from './client/rules/published.js';
console.log(JSON.stringify([lines.torque_lines('1-14', published.torque_range('1-14', 'shear')),
  lines.prevailing_lines('7/16-20', published.prevailing_torque('7/16-20')), lines.by_hand_lines(),
  lines.scale_lines('corrosion', 'Worst corrosion'), lines.scale_lines('leak', 'Worst leak')]));
"""
CARD = """\
format: "1"
card: trial
title: Trial card
scope: Everything on a bench.
inspection: 100-hour
applies_to: Nothing that flies
cautions: [Battery off.]
zones:
  - zone: bench
    title: Bench
    items:
      - item: nut
        title: Nut
        do: Torque the nut.
        look_for: [a sound nut]
        why: It holds.
        fields:
"""


def test_the_lines_offered_to_an_author_are_fields_of_a_card(node):
    card = CARD
    for number, lines in enumerate(json.loads(node(LINES))):
        card += textwrap.indent(f"- field: f{number}\n" + textwrap.indent(lines, "  "), " " * 10) + "\n"
    [torque, prevailing, by_hand, corrosion, leak] = load_template(card, "trial.yaml")["zones"][0]["items"][0]["fields"]
    assert (torque["unit"], torque["limits"]) == ("in-lbf", {"min": "2200", "max": "3300"})
    assert torque["source"].startswith("AC 43.13-1B Table 7-1, page 7-9, thread 1-14, estimated value of the table.")
    assert published.torque_range("1-14", "shear")["condition"] in torque["source"]
    assert torque["source"].endswith("the manufacturer's current instructions govern.")
    assert prevailing["limits"] == {"min": "8", "max": None}
    assert by_hand["acceptable"] == ["Fingers cannot turn it"]
    assert [len(corrosion["options"]), len(leak["options"])] == [4, 3]
