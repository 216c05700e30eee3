"""The names of what was typed and of what was worked out, as the paper prints them.

Each row: the names that are printed together, the words before them, the pattern of their values. A row counts only
when all its names are there. `{unit}` is the unit of the reading, `{length_unit}` that of the lengths, often unknown.
"""

INPUTS = (
    (("extension",), "extension", "{extension} {length_unit}"),
    (("wrench_length",), "wrench length", "{wrench_length} {length_unit}"),
    (("angle",), "angle of the extension", "{angle}°"),
    (("drag", "drag_at"), "friction drag", "{drag} {unit} {drag_at}"),
    (("drag",), "friction drag", "{drag} {unit} at the fastener"),
    (("full_scale",), "full scale", "{full_scale} {unit}"),
    (("graduation",), "graduation", "{graduation} {unit}"),
    (("back",), "back at the first place", "{back} {unit}"),
    (("base",), "on both magnetos", "{base} {unit}"),
    (("master_orifice",), "master orifice", "{master_orifice} {unit}"),
    (("hours_then",), "hour-meter last time", "{hours_then} h"),
    (("hours_now",), "hour-meter now", "{hours_now} h"),
    (("column",), "by the table of the instrument for", "{column}"),
    (("dial_low", "result_low", "dial_high", "result_high"), "rows used",
     "dial {dial_low} is {result_low} {unit}, dial {dial_high} is {result_high} {unit}"),
    (("first_ips", "first_clock"), "first run", "{first_ips} ips at {first_clock} o’clock"),
    (("trial_mass", "trial_clock"), "trial weight", "{trial_mass} g at {trial_clock} o’clock"),
    (("second_ips", "second_clock"), "second run with it", "{second_ips} ips at {second_clock} o’clock"),
    (("tolerance_percent",), "tolerance of the tool", "{tolerance_percent} %"),
    (("tolerance",), "tolerance of the tool", "{tolerance} {unit}"),
)
DERIVED = (
    (("applied",), "Applied torque", "{applied} {unit}"),
    (("window_min", "window_max"), "Limits with the drag", "{window_min} to {window_max} {unit}"),
    (("window_min",), "Limits with the drag", "at least {window_min} {unit}"),
    (("window_max",), "Limits with the drag", "at most {window_max} {unit}"),
    (("total",), "Total indicator reading", "{total} {unit}"),
    (("eccentricity",), "Eccentricity", "{eccentricity} {unit}"),
    (("high_spot",), "High spot at", "{high_spot}°"),
    (("residual",), "Residual", "{residual} {unit}"),
    (("shape",), "Shape", "{shape}"),
    (("least", "least_at"), "Smallest", "{least} {unit} at {least_at}"),
    (("most", "most_at"), "Largest", "{most} {unit} at {most_at}"),
    (("spread",), "Largest minus smallest", "{spread} {unit}"),
    (("step", "step_at"), "Largest step", "{step} {unit} {step_at}"),
    (("weakest",), "Weakest", "{weakest}"),
    (("difference",), "Difference of the sides", "{difference} {unit}"),
    (("hours",), "Hours run", "{hours} h"),
    (("per_hour",), "Consumption", "{per_hour} {unit} an hour"),
    (("result",), "By the table", "{result} {unit}"),
    (("correction_mass", "correction_clock"), "Correction", "{correction_mass} g at {correction_clock} o’clock"),
    (("influence", "influence_clock"), "Influence of weight", "{influence} ips per g at {influence_clock} o’clock"),
    (("outcome",), "Tolerance of the tool", "{outcome}"),
)
OUTCOME = {
    "pass": "inside the limits by more than it",
    "conditional_pass": "inside the limits, but nearer to one than the tool can tell",
    "conditional_fail": "outside the limits, but nearer to one than the tool can tell",
    "fail": "outside the limits by more than it",
    "tool_not_good_enough": "twice as wide as the limits, so it decides nothing",
}
SHAPE = {
    "round": "round, the dial did not move",
    "once_per_turn": "once per turn, as of a shaft that is bent or off its centre",
    "other": "not once per turn, so not that of a bent shaft",
}
DRAG_AT = {"fastener": "at the fastener", "wrench": "as the wrench showed it"}
HEARD = {"none": "nowhere", "exhaust": "exhaust", "induction": "induction", "breather": "breather",
         "other": "elsewhere"}
DECISION = {
    "guarded": "the card passes only what is inside by more than the tolerance of the tool",
    "four_outcome": "the card passes what is inside, conditionally where the tool cannot tell",
}
PLACES = ("least_at", "most_at", "weakest")


def in_words(name, value, stations):
    """A code among the values as words; anything else as it is. `stations` are the names of the places."""
    codes = {"outcome": OUTCOME, "shape": SHAPE, "drag_at": DRAG_AT}.get(name, {})
    if name in PLACES:
        return _station(value, stations)
    if name == "step_at":
        return _between(value, stations)
    return codes.get(value, value)


def together(table, values, unit, stations, besides=()):
    """[(names, words, text)] of `values` {name: text} by the rows of `table`, then what no row knows, by name.

    Names in `besides` are printed elsewhere.
    """
    said = {name: in_words(name, value, stations) for name, value in values.items()}
    said |= {"unit": unit, "length_unit": values.get("length_unit", "")}
    left = {name for name in values if name not in besides and name != "length_unit"}
    found = []
    for names, words, pattern in table:
        if left.issuperset(names):
            found.append((names, words, " ".join(pattern.format_map(said).split())))
            left -= set(names)
    return found + [((name,), name, values[name]) for name in sorted(left)]


def _station(place, stations):
    return stations[int(place) - 1] if _is_place(place, len(stations)) else place


def _between(place, stations):
    if not _is_place(place, len(stations) - 1):
        return place
    return f"between {stations[int(place) - 1]} and {stations[int(place)]}"


def _is_place(text, count):
    return text.isascii() and text.isdigit() and len(text) < 3 and 1 <= int(text) <= count
