"""Random fields of a card with readings of them, for the rules that judge: see random_values.

A field is one that the template's reader would let through; a reading holds what a phone may have sent, right or not.
"""

from witnessmark.rules.compression import LEAKS
from witnessmark.rules.template_field import AT_STATIONS, KINDS, NUMERIC, UNIT_KINDS
from witnessmark.rules.units import UNITS

HEARD = [*LEAKS, "elsewhere"]
STATIONS = ["front", "rear", "left", "right", "root", "tip", "one", "two"]
# How large the limits of a kind are, so that values meet them.
SCALE = {"torque": 300, "compression": 80, "drop": 200, "rate": 3, "balance": 2}
ANGLES = [["0", "90", "180", "270"], ["0", "45", "90", "135", "180", "225", "270", "315"],
          ["0", "30", "60", "120", "200"], ["0", "1", "2", "3"]]


def field_of(dice, kind):
    """A field of this kind with any of the members that the kind may have."""
    unit_kind = UNIT_KINDS.get(kind, dice.choice(["length", "temperature", "force", "voltage"]))
    unit = dice.unit(unit_kind) if kind in NUMERIC else None
    size = SCALE.get(kind, 50)
    field = {"field": "value", "kind": kind, "title": "Value", "unit": unit, "stations": _stations(dice, kind),
             "limits": pair(dice, size) if kind in NUMERIC else None, "source": "thrown",
             "tool": dice.choice([None, "gauge"]), "options": [], "acceptable": [], "required": dice.often(0.7)}
    return {**field, **MEMBERS.get(kind, lambda *_: {})(dice, field, size)}


def _stations(dice, kind):
    if kind == "run_out":
        return [f"place {number}" for number in range(len(dice.choice(ANGLES)))]
    if kind in ("compression", "drop") or (kind in AT_STATIONS and dice.often(0.6)):
        return STATIONS[:dice.randint(2, 8)]
    return []


def pair(dice, size):
    """{"min", "max"} of texts with min <= max, one of them open at times, or None."""
    if dice.often(0.1):
        return None
    low, high = sorted((dice.decimal(0, size), dice.decimal(0, size)), key=float)
    return dice.choice([{"min": low, "max": high}] * 3 + [{"min": None, "max": high}, {"min": low, "max": None}])


def _measure(dice, field, size):
    found = {}
    if dice.often(0.3):
        found["limits_by"] = limits_by(dice, len(field["stations"]) or 1, size)
        found["limits"] = None
    elif field["stations"] and dice.often(0.3):
        found["limits_at"], found["limits"] = [pair(dice, size) for _ in field["stations"]], None
    if dice.often(0.3):
        found["spread"] = dice.decimal(0, 20)
    if field["stations"]:
        found |= {"step": dice.decimal(0, 20)} if dice.often(0.4) else {}
        found |= {"wear": dice.choice(["thickness", "depth"])} if dice.often(0.4) else {}
    found |= {"decision": dice.choice(["simple", "guarded", "four_outcome"])} if dice.often(0.6) else {}
    return found | _trend(dice)


def limits_by(dice, count, size):
    """Limits that depend on an input; now and then with rows that its reader would have refused."""
    unit = dice.choice([None, "°C", "°C", "in"])
    open_end = dice.choice([None, "min", "max"])
    places = sorted({dice.randint(-20, 60) for _ in range(dice.randint(2, 5))})
    rows = [{"at": str(at) if unit else f"choice {at}", **_row(dice, count, size, open_end)} for at in places]
    if dice.often(0.05):
        dice.shuffle(rows)
    return {"title": "Outside air", "unit": unit, "rows": rows}


def _row(dice, count, size, open_end):
    def one():
        low, high = sorted((dice.decimal(0, size), dice.decimal(0, size)), key=float)
        return {"min": low, "max": high} | ({open_end: None} if open_end else {})
    return {"limits_at": [one() for _ in range(count)]} if count > 1 and dice.often(0.3) else {"limits": one()}


def _run_out(dice, field, size):
    found = {"limits": dice.choice([None, {"min": None, "max": dice.decimal(0, 3)}])}
    fitting = [angles for angles in ANGLES if len(angles) == len(field["stations"])]
    found |= {"angles": dice.choice(fitting)} if dice.often(0.7) else {}
    found |= {"return_within": dice.decimal(0, 1)} if dice.often(0.4) else {}
    return found | _trend(dice)


def _torque(dice, field, size):
    found = {"decision": dice.choice(["simple", "guarded", "four_outcome"])} if dice.often(0.6) else {}
    if dice.often(0.6):
        found["torque"] = {"drag": dice.often(0.5), "nut": dice.choice(["castle", "plain", None])}
    return found


def _compression(dice, field, size):
    mode = dice.choice(["fixed_ratio", "master_orifice"])
    found = {"compression": {"mode": mode, "supply": dice.decimal(70, 90), "bore": dice.choice([None, "4.375"])}}
    found["limits"] = None if mode == "master_orifice" else {"min": dice.decimal(0, 80), "max": None}
    return found | ({"spread": dice.decimal(0, 10)} if dice.often(0.4) else {}) | _trend(dice)


def _drop(dice, field, size):
    found = {"limits": {"min": None, "max": dice.decimal(0, 200)}, "unit": "rpm"}
    return found | ({"difference": dice.decimal(0, 60)} if dice.often(0.5) else {}) | _trend(dice)


def _look_up(dice, field, size):
    found = {"unit": dice.unit("force")}
    return found | ({"limits_by": limits_by(dice, 1, size), "limits": None} if dice.often(0.4) else {})


def _choice(dice, field, size):
    return {"options": ["good", "worn", "gone"], "acceptable": dice.choice([[], ["good"], ["good", "worn"]])}


def _trend(dice):
    return {"trend": True} if dice.often(0.5) else {}


MEMBERS = {"measure": _measure, "run_out": _run_out, "torque": _torque, "compression": _compression, "drop": _drop,
           "look_up": _look_up, "choice": _choice, "scale": _choice, "rate": lambda dice, *_: _trend(dice),
           "balance": lambda dice, *_: {"limits": {"min": None, "max": dice.decimal(0, 2)},
                                        "balance": {"mass_unit": "g"}}}


def reading_of(dice, field):
    """A reading of `field`: values about its limits, its inputs, and what the phone has worked out, right or wrong."""
    count = len(field["stations"]) or 1
    if dice.often(0.03):
        count += dice.choice([-1, 1])
    values = [_value(dice, field) for _ in range(count)]
    if dice.often(0.05):
        values = values[:1] * count
    unit = field["unit"] and (dice.unit(UNITS[field["unit"]]["kind"]) if dice.often(0.3) else field["unit"])
    if dice.often(0.02):
        unit = dice.choice([None, "bar", "in"])
    inputs = {name: text for name, text in INPUTS.get(field["kind"], _common)(dice, field).items() if dice.often(0.97)}
    tools = [{"serial": "G-1", "calibrated_until": dice.choice([None, "2026-11-24", "2026-11-25"])}]
    return {"values": values, "unit": unit, "tools": tools if dice.often(0.8) else [], "inputs": inputs,
            "derived": {"total": "0.004"} if dice.often(0.1) else {}}


def _value(dice, field):
    if dice.often(0.03):
        return None
    if field["options"]:
        return dice.choice([*field["options"], "else"])
    if field["kind"] == "text":
        return dice.choice(["as found", "12", ""])
    ends = [end for end in (field["limits"] or {}).values() if end]
    if field["kind"] == "drop":
        return "2150" if dice.often(0.1) else dice.mostly(*dice.choice([(2000, 2200, 0), (1900, 2300, 0)]))
    if ends and dice.often(0.2):
        return dice.choice(ends)
    return dice.mostly(0, {"run_out": 3}.get(field["kind"], SCALE.get(field["kind"], 60)), wrong=0.02)


def _common(dice, field):
    found = {"confirmed": dice.choice(["yes", "no"])} if dice.often(0.2) else {}
    return found | ({"new_part": "yes"} if dice.often(0.1) else {})


def _measure_inputs(dice, field):
    found = _common(dice, field)
    if "limits_by" in field:
        found |= _at(dice, field["limits_by"])
    if dice.often(0.5):
        found["tolerance"] = dice.mostly(0, 9)
    elif dice.often(0.5):
        found["tolerance_percent"] = dice.mostly(0, 10)
    return found


def _at(dice, by):
    row = dice.choice(by["rows"])["at"]
    if by["unit"] is None:
        return {"at": row if dice.often(0.9) else "no choice"}
    found = {"at": row if dice.often(0.3) else dice.mostly(-25, 65)}
    return found | ({"at_unit": dice.unit(UNITS[by["unit"]]["kind"])} if dice.often(0.3) else {})


def _torque_inputs(dice, field):
    length, extension, angle = dice.lever()
    found = _common(dice, field) | {"drag": dice.mostly(0, 30), "drag_at": dice.choice(["fastener", "wrench"])}
    if dice.often(0.5):
        found |= {"wrench_length": length, "extension": extension, "length_unit": dice.choice(["in", "mm"])}
        found |= {"angle": angle} if dice.often(0.5) else {}
    if dice.often(0.5):
        found |= {"full_scale": dice.mostly(100, 600), "graduation": dice.mostly(0, 20)}
    return found | ({"tolerance_percent": dice.mostly(0, 10)} if dice.often(0.6) else {})


def _compression_inputs(dice, field):
    found = _common(dice, field) | {"master_orifice": dice.mostly(30, 80)}
    for number in range(1, len(field["stations"]) + 1):
        if dice.often(0.4):
            found[f"heard_{number}"] = dice.choice(HEARD[:-1] if dice.often(0.98) else HEARD)
        if dice.often(0.3):
            found[f"again_{number}"] = dice.choice(["0", "2"]) if dice.often(0.98) else "1.5"
    return found


def _balance_inputs(dice, field):
    runs = {"first_ips": dice.mostly(0, 2), "first_clock": dice.clock(), "trial_mass": dice.mostly(1, 40),
            "trial_clock": dice.clock(), "second_ips": dice.mostly(0, 2), "second_clock": dice.clock()}
    return _common(dice, field) | (runs if dice.often(0.8) else {})


def _look_up_inputs(dice, field):
    low = dice.mostly(0, 25)
    rows = {"dial_low": low, "result_low": dice.mostly(0, 60), "dial_high": dice.mostly(35, 70),
            "result_high": dice.mostly(0, 90)}
    if dice.often(0.2):
        rows |= {"dial_high": low, "result_high": rows["result_low"]}
    rows |= _at(dice, field["limits_by"]) if "limits_by" in field else {}
    return _common(dice, field) | rows | {"column": "1/8 7×19"}


INPUTS = {
    "measure": _measure_inputs, "torque": _torque_inputs, "compression": _compression_inputs,
    "balance": _balance_inputs, "look_up": _look_up_inputs,
    "run_out": lambda dice, field: _common(dice, field) | {"back": dice.mostly(0, 3)},
    "drop": lambda dice, field: _common(dice, field) | {
        "base": "2150" if dice.often(0.3) else dice.mostly(2150, 2400, 0)},
    "rate": lambda dice, field: _common(dice, field) | {"hours_then": dice.mostly(100, 200),
                                                        "hours_now": dice.mostly(150, 300)},
}


def case(kind):
    """A maker of [field, reading] of this kind."""
    def make(dice):
        field = field_of(dice, kind)
        return [field, reading_of(dice, field)]
    return make


def _any(dice):
    return case(dice.choice(KINDS))(dice)


CASES = {f"readings.{function} {kind}": case(kind) for function in ("judge_reading", "reading_stops") for kind in KINDS}
CASES |= {
    "readings.reading_gaps": _any,
    "readings.calibration_gaps": lambda dice: [_any(dice)[1], "2026-11-25"],
    "readings.said_by_reading": lambda dice: [_any(dice)[1]],
    "readings.trend_values": _any,
    "limits.limits_of": case("measure"),
    "doubts.impossible_value": _any,
    "doubts.absurd_value": _any,
    "doubts.unlikely_input": _any,
}
