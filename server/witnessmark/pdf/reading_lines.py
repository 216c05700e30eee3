"""One reading as the paper prints it: what was typed, by which limits it is judged, and what follows from it."""

from ..rules.balance import two_blade
from ..rules.readings import calibration_gaps, judge_reading
from .judged_places import judged_words, outside_places
from .limit_lines import limit_words
from .reading_pictures import BESIDE, reading_picture
from .reading_tables import reading_tables
from .reading_words import DECISION, DERIVED, INPUTS, together

SAID_APART = {"new_part", "confirmed"}
NOTHING = "nothing"
WHAT_VALUE = {"look_up": "dial {}", "balance": "{} {} in the last run"}
CASTLE_NUT = ("Castle nut: from the lower limit on to the next slot, never above the upper one, the friction drag "
              "added to both (AC 43.13-1B par. 7-40 f).")
UNKNOWN_FIELD = {"kind": "text", "stations": [], "limits": None, "source": None, "acceptable": None, "unit": None,
                 "options": [], "tool": None, "required": False}


def reading_line(field, name, reading, day, last=None):
    """A reading with its unit, its limits and their source, its tools as of `day` and what follows from it.

    A reading of a field that the template does not know is printed as typed, under its bare `name`. `last`: see
    `reading_pictures.reading_picture`.
    """
    field = field or {**UNKNOWN_FIELD, "title": name}
    judged = judge_reading(field, reading)
    unit, stations = reading["unit"] or "", field["stations"]
    told = {name: reading["derived"].get(name, NOTHING) for name in judged["differs"]}
    outside = outside_places(field, reading, judged["derived"])
    tables, in_tables = reading_tables(field, reading, judged["derived"], told, outside)
    besides = in_tables | SAID_APART | ({"at", "at_unit"} if field.get("limits_by") else set())
    # The old part's values are no measure for a new one.
    last = {} if reading["inputs"].get("new_part") == "yes" else last or {}
    picture = reading_picture(field, reading, judged["derived"], outside, last)
    return {
        "title": field["title"],
        "values": [] if tables else [_value(field, value, unit) for value in reading["values"]],
        "means": _means(field, reading),
        "tables": tables,
        "limits": limit_words(field, reading),
        "source": field["source"] or "",
        "judged": judged_words(field, reading, judged["within"], outside),
        "outside": judged["within"] is False,
        "inputs": [(words, text) for _, words, text in together(INPUTS, reading["inputs"], unit, stations, besides)],
        "derived": _derived(judged, reading, unit, stations, in_tables),
        "tools": [_tool(field.get("tool") or "tool", tool, day) for tool in reading["tools"]],
        "notes": _notes(field, reading, judged["derived"]),
        "picture": picture,
        "beside": picture is not None and field["kind"] in BESIDE,
    }


def _value(field, value, unit):
    if value is None:
        return "not taken"
    pattern = WHAT_VALUE.get(field["kind"], "{} {}")
    return pattern.format(value, unit).strip()


def _means(field, reading):
    """What the chosen grade of a scale stands for, as the card describes it."""
    chosen = reading["values"][0] if len(reading["values"]) == 1 else None
    described = dict(zip(field["options"], field.get("means") or (), strict=False))
    return described.get(chosen, "")


def _notes(field, reading, derived):
    inputs, notes = reading["inputs"], []
    if inputs.get("confirmed") == "yes":
        notes.append("Asked about so unusual a value, whoever read it confirmed that it was read so.")
    if inputs.get("new_part") == "yes":
        notes.append("The part is new: the values of the old one do not count with this one.")
    notes += [f"{name.replace('_', ' ')}: {inputs[name]}" for name in sorted(SAID_APART)
              if inputs.get(name, "yes") != "yes"]
    if field.get("decision") in DECISION:
        notes.append(f"Decision: {DECISION[field['decision']]}.")
    if (field.get("torque") or {}).get("nut") == "castle":
        notes.append(CASTLE_NUT)
    if "correction_mass" in derived:
        notes.append(_on_two_blades(derived["correction_mass"], derived["correction_clock"]))
    return notes


def _on_two_blades(mass, clock):
    split = two_blade(mass, clock)
    along = f"{split['mass']} g go on blade {split['blade']}" if split["blade"] != "none" else "nothing goes on a blade"
    return (f"On two blades, A at 12 and B at 6 o’clock: {along}; {split['left']} g across the blades cannot be taken "
            "there.")


def _tool(kind, tool, day):
    """{"words", "past"}: a tool with its calibration date; `past` when that was before `day`."""
    past = bool(calibration_gaps({"tools": [tool]}, day))
    until = tool["calibrated_until"]
    words = f"calibrated {'only ' if past else ''}until {until}" if until else "no calibration date recorded"
    return {"words": f"{kind} {tool['serial']}, {words}", "past": past}


def _derived(judged, reading, unit, stations, in_tables):
    """[(title, recomputed value, what the phone had told instead or "")]."""
    anew, had = judged["derived"], reading["derived"]
    names, differs = {*anew, *had}, set(judged["differs"])
    told = {row: text for row, _, text in _rows(had, names, unit, stations, in_tables)}
    return [(words, text, told[row] if differs & set(row) else "")
            for row, words, text in _rows(anew, names, unit, stations, in_tables)]


def _rows(values, names, unit, stations, in_tables):
    filled = {name: values.get(name, NOTHING) for name in names}
    rows = together(DERIVED, filled, unit, stations, in_tables)
    return [(row, words, text if values.keys() & set(row) else NOTHING) for row, words, text in rows]
