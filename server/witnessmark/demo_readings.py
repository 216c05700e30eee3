"""Readings without a hand: for every kind of field one that fits its limits. The demo and the tests use it."""

from decimal import Decimal

from .rules.readings import judge_reading

HOURS = Decimal(25)
FALL_FROM = Decimal(2600)
DRAG_SHARE, TIGHT_TOLERANCE = Decimal("0.02"), "0.0001"
SPEED_RUN = {"first_ips": "0.60", "first_clock": "3", "trial_mass": "5", "trial_clock": "6", "second_ips": "0.42",
             "second_clock": "4.5"}


def fitting_reading(field, tools):
    """A reading inside the limits of `field`, with what follows from it. `tools` as for `demo_phone.passing`."""
    values, inputs = FITTING[field["kind"]](field)
    return reading_of(field, values, inputs, tools)


def reading_of(field, values, inputs, tools):
    """The reading of `field` with these typed values and inputs, and with its tool where it asks for one."""
    used = [tools.get(field["tool"], tools[""])] if field["tool"] else []
    reading = {"values": values, "unit": field["unit"], "tools": used, "inputs": inputs, "derived": {}}
    return {**reading, "derived": judge_reading(field, reading)["derived"]}


def _measure(field):
    row = field["limits_by"]["rows"][0] if "limits_by" in field else {}
    pairs = field.get("limits_at") or row.get("limits_at")
    if pairs is None:
        pairs = [row.get("limits", field["limits"])] * _count(field)
    tight = {"tolerance": TIGHT_TOLERANCE} if field.get("decision", "simple") != "simple" else {}
    return [str(_middle(pair)) for pair in pairs], _limit_inputs(field) | tight


def _limit_inputs(field):
    if "limits_by" not in field:
        return {}
    by = field["limits_by"]
    unit = {"at_unit": by["unit"]} if by["unit"] else {}
    return {"at": by["rows"][0]["at"], **unit}


def _middle(pair):
    """The middle of a pair of limits, with as many decimals; half of a max alone, a min alone itself."""
    low, high = (pair or {}).get("min"), (pair or {}).get("max")
    if low is None and high is None:
        return Decimal("1.0")
    given = Decimal(high if high is not None else low)
    return ((Decimal(low if low is not None else 0) + given) / 2 if high is not None else given).quantize(given)


def _torque(field):
    middle = _middle(field["limits"])
    if not field.get("torque", {}).get("drag"):
        return [str(middle)], {}
    drag = (middle * DRAG_SHARE).quantize(middle)
    return [str(middle + drag)], {"drag": str(drag)}


def _swing(field):
    """Up and down again within a quarter of the limit, back where it began."""
    most = Decimal((field["limits"] or {}).get("max") or "0.004")
    values = [str((most * (index % 4) / 8).quantize(most)) for index in range(_count(field))]
    return values, {"back": values[0]} if "return_within" in field else {}


def _compression(field):
    told = field["compression"]
    supply, floor = Decimal(told["supply"]), Decimal((field["limits"] or {}).get("min") or "0")
    kept = str(((supply + floor) / 2).quantize(supply))
    heard = {f"heard_{number}": "none" for number in range(1, _count(field) + 1)}
    orifice = {"master_orifice": str(floor)} if told["mode"] == "master_orifice" else {}
    return [kept] * _count(field), heard | orifice


def _drop(field):
    return [str(FALL_FROM - _middle(field["limits"]))] * _count(field), {"base": str(FALL_FROM)}


def _rate(field):
    return [str(_middle(field["limits"]) * HOURS)], {"hours_then": "100.0", "hours_now": str(Decimal("100.0") + HOURS)}


def _look_up(field):
    row = field["limits_by"]["rows"][0] if "limits_by" in field else {}
    result = str(_middle(row.get("limits", field["limits"])))
    rows = {"dial_low": "30", "result_low": result, "dial_high": "30", "result_high": result}
    return ["30"], {"column": "Invented cable and riser", **rows, **_limit_inputs(field)}


def _balance(field):
    return [str(_middle(field["limits"]))], SPEED_RUN


def _chosen(field):
    return [(field["acceptable"] or field["options"])[0]], {}


def _told(_field):
    return ["as found"], {}


def _count(field):
    return len(field["stations"]) or 1


FITTING = {"measure": _measure, "run_out": _swing, "torque": _torque, "compression": _compression, "drop": _drop,
           "rate": _rate, "look_up": _look_up, "balance": _balance, "choice": _chosen, "scale": _chosen, "text": _told}
