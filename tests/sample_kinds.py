"""An invented card with one item of every kind of reading, recorded and released, with the past of what is followed.

All limits and histories are invented. What the paper must print of it stands in `test_paper_kinds.py`.
"""

from sample_card import TIMES, Walk, field, item, reading
from witnessmark.rules.published import SCALES
from witnessmark.rules.readings import judge_reading
from witnessmark.rules.trend import projection

INVENTED = "invented for the demo"
EIGHTHS = ["0", "45", "90", "135", "180", "225", "270", "315"]
SPAN = ["root", "1 m", "2 m", "3 m", "4 m", "tip"]
LEAK = SCALES["leak"]


def limits(low=None, high=None):
    return {"min": low, "max": high}


FIELDS = {
    "shaft": field("shaft", "run_out", "Tail shaft run-out", unit="in", stations=[f"{angle}°" for angle in EIGHTHS],
                   angles=EIGHTHS, return_within="0.0005", limits=limits(None, "0.005"), source=INVENTED,
                   tool="dial indicator"),
    "drum": field("drum", "run_out", "Drum face", unit="in", stations=["12 o'clock", "3 o'clock", "6 o'clock",
                  "9 o'clock"], angles=["0", "90", "180", "270"], limits=limits(None, "0.008"), source=INVENTED),
    "nut": field("nut", "torque", "Pitch link nut", unit="in-lbf", limits=limits("50", "70"), decision="four_outcome",
                 source=INVENTED, tool="torque wrench", torque={"drag": True, "nut": "castle"}),
    "cylinders": field("cylinders", "compression", "Compression", unit="psi", limits=limits("60"), spread="10",
                       stations=["Cylinder 1", "Cylinder 2", "Cylinder 3", "Cylinder 4"], source=INVENTED,
                       compression={"mode": "fixed_ratio", "supply": "80", "bore": None}, tool="compression tester"),
    "orifice": field("orifice", "compression", "Compression by orifice", unit="psi", source=INVENTED,
                     stations=["Left", "Right"], compression={"mode": "master_orifice", "supply": "80", "bore": "5.1"}),
    "skin": field("skin", "measure", "Skin thickness", unit="mm", stations=SPAN, wear="thickness", step="0.30",
                  limits_at=[limits("1.60"), limits("1.40"), limits("1.20"), limits("1.20"), limits("1.00"), None],
                  source=INVENTED, trend=True),
    "gap": field("gap", "measure", "Points gap", unit="in", limits=limits("0.014", "0.018"), decision="guarded",
                 source=INVENTED, tool="feeler gauge"),
    "free": field("free", "measure", "Free play by hinge", unit="mm", stations=["inner", "outer"], spread="0.10",
                  source=INVENTED, limits_by={"title": "Bearing fitted", "unit": None, "rows": [
                      {"at": "plain", "limits": limits(None, "0.50")},
                      {"at": "needle", "limits_at": [limits(None, "0.20"), limits("0.05", "0.30")]}]}),
    "magnetos": field("magnetos", "drop", "Magneto drop", unit="rpm", stations=["left", "right"], difference="50",
                      limits=limits(None, "125"), source=INVENTED),
    "oil": field("oil", "rate", "Oil used", unit="qt", limits=limits(None, "0.500"), source=INVENTED, trend=True),
    "cable": field("cable", "look_up", "Cable tension", unit="lbf", source=INVENTED, tool="tensiometer", limits_by={
        "title": "Temperature", "unit": "°F", "rows": [{"at": "60", "limits": limits("50", "65")},
                                                       {"at": "90", "limits": limits("60", "80")}]}),
    "leak": field("leak", "scale", "Leak at the gearbox", scale="leak", source=LEAK["source"],
                  options=[grade["grade"] for grade in LEAK["grades"]],
                  means=[grade["means"] for grade in LEAK["grades"]], acceptable=["Class I"]),
    "fan": field("fan", "balance", "Fan balance", unit="ips", limits=limits(None, "0.2"), source=INVENTED,
                 balance={"mass_unit": "g"}),
    "volts": field("volts", "measure", "Bus voltage", unit="V", limits=limits("13.8", "14.4"), source=INVENTED),
}

READINGS = {
    # 0.010 + 0.002 cos(angle - 45°), rounded to 0.0001: eccentricity 0.002 in, high spot 45°.
    "shaft": reading("0.0114", "0.0120", "0.0114", "0.0100", "0.0086", "0.0080", "0.0086", "0.0100", unit="in",
                     tools=["DI-2207"], inputs={"back": "0.0113"}),
    # High twice a turn: no once-per-turn part at all.
    "drum": reading("0.004", "0.000", "0.004", "0.000", unit="in"),
    # 55 in-lbf on 10 in with 4 in at 60°: 55 * (10 + 2) / 10 = 66. Drag 8 in-lbf: 58 to 78. 4 % of 66 = 2.64.
    "nut": reading("55", unit="in-lbf", tools=["TW-0815"], inputs={
        "wrench_length": "10", "extension": "4", "angle": "60", "length_unit": "in", "drag": "8",
        "drag_at": "fastener", "full_scale": "150", "graduation": "5", "tolerance_percent": "4"}),
    # 60/80 loses 25.0 %, 62/80 22.5 %, 58/80 27.5 %: the last is below its limit.
    "cylinders": reading("62", "60", "74", "58", unit="psi", tools=["CT-11"], inputs={
        "heard_1": "none", "heard_2": "exhaust", "heard_3": "none", "heard_4": "breather", "again_4": "2"}),
    "orifice": reading("55", "47", unit="psi", inputs={"master_orifice": "43.5"}),
    "skin": reading("1.92", "1.80", "1.71", "1.33", "1.25", "1.24", unit="mm"),
    "gap": reading("0.0175", unit="in", tools=["FG-3"], inputs={"tolerance": "0.001"}),
    "free": reading("0.12", "0.18", unit="mm", inputs={"at": "needle"}),
    "magnetos": reading("1700", "1720", unit="rpm", inputs={"base": "1800"}),
    "oil": reading("1.5", unit="qt", inputs={"hours_then": "1230.0", "hours_now": "1234.5"}),
    # Between 45 -> 62 and 50 -> 73 lies 48 -> 68.6; at 75 °F the limits are half-way: 55 to 72.5.
    "cable": reading("48", unit="lbf", tools=["TM-70"], inputs={
        "column": "3/16, riser 2", "dial_low": "45", "result_low": "62", "dial_high": "50", "result_high": "73",
        "at": "75", "at_unit": "°F"}),
    "leak": reading("Class II"),
    # 0.4 ips at 3, with 10 g at 12 it is 0.5 ips: the weight did 0.3 ips at 12, so 13.3 g at 9 take the first away.
    "fan": reading("0.08", unit="ips", inputs={
        "first_ips": "0.4", "first_clock": "3", "trial_mass": "10", "trial_clock": "12", "second_ips": "0.5",
        "second_clock": "1.771"}),
    "volts": reading("14.1", unit="V", inputs={"new_part": "yes", "confirmed": "yes"}),
}
TITLES = {name: found["title"] for name, found in FIELDS.items()}
ITEMS = [item(f"{name}_item", title, f"Read the {title.lower()} and write it down.", [FIELDS[name]])
         for name, title in TITLES.items()]
TEMPLATE = {
    "format": "1", "card": "kinds", "title": "One item of every kind", "scope": "Every kind of reading, once.",
    "record": "inspection", "inspection": "100-hour", "whole": True, "applies_to": "Invented two-place demo helicopter",
    "cautions": [], "references": ["Invented maintenance manual, chapter 5, issue 4"],
    "zones": [{"zone": "all", "title": "Every kind", "items": ITEMS}],
}
FAILED = ("cylinders", "leak")


def recorded(name):
    """The reading of a field with what a phone works out from it."""
    typed = READINGS[name]
    return {**typed, "derived": judge_reading(FIELDS[name], typed)["derived"]}


def trend(name, values, station="", low=None, high=None, new_part_at=None, first=834.5):
    """A series of `rules.trend_series`: one point every 100 h, the last one of this card."""
    points = [{"at": f"{first + 100 * place:.1f}", "value": value, "new_part": place == new_part_at,
               "card": "WC-0001" if place == len(values) - 1 else f"WC-00{place + 90}"}
              for place, value in enumerate(values)]
    unit = FIELDS[name]["unit"] + (" per h" if name == "oil" else "")
    return {"item": f"{name}_item", "field": name, "title": TITLES[name], "unit": unit, "station": station,
            "points": points, "limits": limits(low, high), "projection": projection(points, low, high)}


def trends():
    """Oil that climbs to its limit; a skin that thins, with a new part on the way; and two short series."""
    return [
        trend("oil", ["0.210", "0.240", "0.255", "0.290", "0.333"], high="0.500"),
        trend("skin", ["1.58", "1.55", "2.02", "2.00", "1.98", "1.95", "1.92"], "root", low="1.60", new_part_at=2,
              first=634.5),
        *(trend("skin", [before, now], place, low=limit, first=1134.5) for place, before, now, limit in (
            ("1 m", "1.84", "1.80", "1.40"), ("2 m", "1.76", "1.71", "1.20"), ("3 m", "1.70", "1.33", "1.20"),
            ("4 m", "1.30", "1.25", "1.00"), ("tip", "1.28", "1.24", None))),
    ]


def kinds_card():
    """The facts of the card, as `paper_html` takes them."""
    assert TIMES["airframe"]["value"] == "1234.5"
    walk = Walk(TEMPLATE)
    for name, title in TITLES.items():
        if name in FAILED:
            walk.result(f"{name}_item", "fail", {name: recorded(name)},
                        discrepancy={"what": "Outside its limits", "where": title})
        else:
            walk.result(f"{name}_item", readings={name: recorded(name)})
    walk.approve("disapproval", listed=[{"item": f"{name}_item", "what": "Outside its limits", "where": TITLES[name]}
                                        for name in FAILED])
    return {**walk.facts(), "trends": trends()}
