"""How the values of a card stand among those of past cards: a small plot and a sentence for each that is followed."""

from ..rules.number import compare_numbers
from ..rules.problems import Problem
from ..rules.ratio import ratio
from ..rules.trend import CONFIDENCE, LEAST_POINTS, since_new_part, theil_sen
from .trend_plot import trend_plot

AHEAD = 1.5  # how many spans of the series the line may run on to meet its limit in the plot
PERCENT = f"{CONFIDENCE[2:]} %"


def trend_lines(trends, items, numbers):
    """{"drawn": [{"title", "plot", "words"}], "few": [{"title", "count", "newest"}]} of `trends` (see `paper`).

    `items` and `numbers` by item name. A series below LEAST_POINTS points is told, not drawn.
    """
    found = {"drawn": [], "few": []}
    for trend in trends:
        series = since_new_part(trend["points"])
        title = _title(trend, numbers)
        if trend["projection"]["verdict"] == "too_few_points":
            newest = f"{series[-1]['value']} {trend['unit']} at {series[-1]['at']} h" if series else "none"
            found["few"].append({"title": title, "count": trend["projection"]["count"], "newest": newest})
        else:
            field = _field(trend, items)
            found["drawn"].append({"title": title, "words": trend_words(trend["projection"], trend["unit"]),
                                   "plot": _plot(trend, series, _limits(field, trend["station"]), title)})
    return found


def trend_words(projection, unit):
    """What a projection (`rules.trend.projection`) says, as sentences."""
    verdict, limit = projection["verdict"], projection["limit"]
    if verdict == "too_few_points":
        return f"Too few points: {projection['count']} of the {LEAST_POINTS} that a trend needs."
    drift = (f"{projection['count']} points, drift {projection['slope']} {unit} in 100 h ({PERCENT} between "
             f"{projection['slope_low']} and {projection['slope_high']}). ")
    if verdict == "past_limit":
        return drift + f"Past the limit of {limit} {unit}."
    if verdict == "no_drift":
        return drift + "No drift."
    if verdict == "away":
        return drift + "There is no limit on the side to which it drifts."
    most = f"and {projection['hours_high']} h" if projection["hours_high"] is not None else "h and never"
    return drift + (f"Projected to reach the limit of {limit} {unit} {projection['hours']} h after the last point "
                    f"({PERCENT} between {projection['hours_low']} {most}).")


def last_inspection(trends, card):
    """{item: {field: {station: typed value}}} of the newest past card: the points at fewer airframe hours than `card`.

    Nothing of a part that was exchanged at this card.
    """
    hours = card["times"].get("airframe")
    found = {}
    for trend in trends if hours else ():
        past = [point for point in trend["points"] if compare_numbers(point["at"], hours["value"]) < 0]
        own = [point for point in trend["points"] if compare_numbers(point["at"], hours["value"]) == 0]
        if past and not any(point["new_part"] for point in own):
            field = found.setdefault(trend["item"], {}).setdefault(trend["field"], {})
            field[trend["station"]] = max(past, key=lambda point: ratio(point["at"]))["value"]
    return found


def _title(trend, numbers):
    where = f", {trend['station']}" if trend["station"] else ""
    return f"{numbers.get(trend['item'], '')} {trend['title']}{where}".strip()


def _field(trend, items):
    fields = items[trend["item"]]["fields"] if trend["item"] in items else []
    return next((field for field in fields if field["field"] == trend["field"]), None)


def _limits(field, station):
    """(low, high) numbers or None: the limits of the card; none that depend on what is typed."""
    pair = field and field["limits"]
    if field and field.get("limits_at") and station in field["stations"]:
        pair = field["limits_at"][field["stations"].index(station)]
    return tuple(float(ratio(pair[end])) if pair and pair[end] is not None else None for end in ("min", "max"))


def _plot(trend, series, limits, title):
    living = {id(point) for point in series}
    points = [(float(ratio(point["at"])), float(ratio(point["value"])), id(point) in living)
              for point in sorted(trend["points"], key=lambda point: ratio(point["at"]))]
    return trend_plot(points, limits, _line(series, trend["projection"]), trend["unit"], f"Trend of {title}")


def _line(series, projection):
    """[(hours, value)] of the Theil-Sen line: over the series, and on to its limit where that is near enough."""
    try:
        line = theil_sen([ratio(point["at"]) for point in series], [ratio(point["value"]) for point in series],
                         CONFIDENCE)
    except Problem:
        return []
    first, final = (float(ratio(series[end]["at"])) for end in (0, -1))
    ends = [first, final]
    if projection["verdict"] == "reaches" and float(projection["hours"]) <= AHEAD * (final - first):
        ends.append(final + float(projection["hours"]))
    return [(hours, float(line["intercept"]) + float(line["slope"]) * hours) for hours in ends]
