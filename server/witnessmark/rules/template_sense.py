"""What of a template field cannot be meant so: members that contradict each other, readings that would never pass.

Each is read rightly by itself, in `template_field` and `template_measuring`. What is found here would otherwise be
found by the person with the tool in the hand. Server only.
"""

from .entry import READING
from .harmonic import first_harmonic
from .number import compare_numbers
from .problems import Problem
from .ratio import ratio

NEVER_BELOW = ("spread", "step", "return_within", "difference")
WORSE_END = {"thickness": "min", "depth": "max"}
# How many inputs and derived values one reading of an entry holds.
ROOM = READING[1]["inputs"][2]


def check_sense(field, named, members):
    """Note with `members` what of `field` cannot be meant so. `named`: the degrees that each station's name says."""
    for check in (_check_numbers, _check_ends, _check_decision, _check_kind, _check_room):
        check(field, members)
    _check_angles(field, named, members)


def _check_numbers(field, members):
    for key in NEVER_BELOW:
        if field.get(key) is not None and compare_numbers(field[key], "0") < 0:
            members.fault(f"{key} is {field[key]}, and nothing lies within less than nothing.", "it without the minus")
    if "spread" in field and not field["stations"]:
        members.fault("spread compares places, but the field has no stations.", "`stations: ` and their names")
    bore = (field.get("compression") or {}).get("bore")
    if bore is not None and compare_numbers(bore, "0") <= 0:
        members.fault(f"a bore of {bore} is none.", "the bore in inches, for example `bore: \"4.375\"`")


def _check_ends(field, members):
    """A limit that lets everything bad pass was meant the other way round."""
    end = "max" if field["kind"] == "run_out" else WORSE_END.get(field.get("wear"))
    pairs = [pair for pair in [field["limits"], *(field.get("limits_at") or [])] if pair is not None]
    if end and any(pair[end] is None for pair in pairs):
        what = field["kind"] if field["kind"] == "run_out" else f"the {field['wear']} of wear"
        members.fault(f"{what} has no {end}, so the worst would pass.", f"`{end}: ` in its limits")
    if field["kind"] == "drop" and pairs and pairs[0]["max"] and compare_numbers(pairs[0]["max"], "0") <= 0:
        members.fault("a drop of nothing is suspect, so none could pass.", "`limits: {max: ...}` above 0")


def _check_decision(field, members):
    if field.get("decision") not in ("guarded", "four_outcome"):
        return
    if not any(field.get(key) for key in ("limits", "limits_at", "limits_by")):
        members.fault("it weighs the tolerance of the tool, but there are no limits.", "limits, or no decision")
    if not field["tool"]:
        members.fault("it weighs the tolerance of the tool, but names no tool.", "`tool: ` and what it is taken with")


def _check_kind(field, members):
    limits, compression = field["limits"] or {}, field.get("compression") or {}
    if field["kind"] == "look_up" and not field["tool"]:
        members.fault("a look_up names no tool, and its table belongs to one.", "`tool: tensiometer`")
    if (field.get("torque") or {}).get("drag") and not limits:
        members.fault("friction drag is added to limits, but there are none.", "limits, or `drag: \"no\"`")
    if field["kind"] == "balance" and "balance" not in field:
        members.fault("it does not say what its weights are in.", "`balance: {mass_unit: g}`")
    least, supply = limits.get("min"), compression.get("supply")
    if least is not None and supply is not None and compare_numbers(least, supply) > 0:
        members.fault(f"min {least} is above the supply of {supply}, so nothing could pass.", "a smaller min")
    if "scale" in field and (members.has("options") or members.has("means")):
        members.fault("a published scale brings its own options and their meanings.", "it without options and means")


def _check_room(field, members):
    """Names that one reading may have to hold: `derived` and `inputs` of its entry are not longer than that."""
    count, kind = len(field["stations"] or ()), field["kind"]
    most = ROOM - 1 if kind == "drop" else None
    if kind == "compression":
        by_orifice = (field.get("compression") or {}).get("mode") == "master_orifice"
        # confirmed, and what the register knows of the gauge, of the part and of the orifice; two for each cylinder.
        others = 1 + bool(field["tool"]) + bool(field.get("trend")) + by_orifice
        most = (ROOM - others) // 2
    if most is not None and count > most:
        members.fault(f"one reading cannot hold {count} stations of a {kind} like this.",
                      f"at most {most} stations; the others in a second field, for example one for each bank")


def _check_angles(field, named, members):
    angles = field.get("angles")
    if not angles or None in angles or not len(angles) == len(named) == len(field["stations"]):
        return
    for station, said, angle in zip(field["stations"], named, angles, strict=True):
        if said is not None and ratio(said) % 360 != ratio(angle) % 360:
            members.fault(f"the angle of \"{station}\" is given as {angle}.", f"{said}, or another name for it")
    try:
        first_harmonic([ratio("0")] * len(angles), [ratio(angle) for angle in angles])
    except Problem:
        members.fault("these angles cannot show the shape of a shaft.",
                      "angles spread round the turn, for example 0°, 90°, 180°, 270°")
