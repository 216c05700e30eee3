"""How the values of a card stand among those of past cards: a small plot and a sentence for each that is followed."""

from ..rules.problems import Problem
from ..rules.ratio import ratio
from ..rules.trend import CONFIDENCE, LEAST_POINTS, since_new_part, theil_sen
from .trend_plot import trend_plot

AHEAD = 1.5  # how many spans of the series the line may run on to meet its limit in the plot
A_ROW = 2
PERCENT = f"{CONFIDENCE[2:]} %"


def trend_lines(trends, numbers):
    """{"pairs": [[{"title", "plot", "words"}]], "few": [{"title", "count", "newest"}]} of `trends` (see `paper`).

    `numbers` by item name; at most two drawings side by side. A series below LEAST_POINTS points is told, not drawn.
    """
    drawn, few = [], []
    for trend in trends:
        series = since_new_part(trend["points"])
        title = _title(trend, numbers)
        if trend["projection"]["verdict"] == "too_few_points":
            newest = f"{series[-1]['value']} {trend['unit']} at {series[-1]['at']} h" if series else "none"
            few.append({"title": title, "count": trend["projection"]["count"], "newest": newest})
        else:
            drawn.append({"title": title, "words": trend_words(trend["projection"], trend["unit"]),
                          "plot": _plot(trend, series, title)})
    return {"pairs": [drawn[start : start + A_ROW] for start in range(0, len(drawn), A_ROW)], "few": few}


def trend_words(projection, unit):
    """What a projection (`rules.trend.projection`) says, as sentences."""
    verdict, limit = projection["verdict"], projection["limit"]
    if verdict == "too_few_points":
        return f"Too few points: {projection['count']} of the {LEAST_POINTS} that a trend needs."
    drift = (f"{projection['count']} points, drift {projection['slope']} {unit} per 100 h ({PERCENT} between "
             f"{projection['slope_low']} and {projection['slope_high']}). ")
    if verdict == "past_limit":
        return drift + f"Past the limit of {limit} {unit}."
    if verdict == "no_drift":
        return drift + "No drift."
    if verdict == "away":
        return drift + "There is no limit on the side to which it drifts."
    most = f"and {projection['hours_high']} h" if projection["hours_high"] is not None else "h and never"
    return drift + (f"Projected to reach the limit of {limit} {unit} after {projection['hours']} h more "
                    f"({PERCENT} between {projection['hours_low']} {most}).")


def last_inspection(trends, card):
    """{item: {field: {station: typed value}}} of the newest card before `card`, in the units of the fields."""
    found = {}
    for trend in trends:
        past = [point for point in trend["points"] if point["card"] != card["number"]]
        if past:
            found.setdefault(trend["item"], {}).setdefault(trend["field"], {})[trend["station"]] = past[-1]["value"]
    return found


def _title(trend, numbers):
    where = f", {trend['station']}" if trend["station"] else ""
    return f"{numbers.get(trend['item'], '')} {trend['title']}{where}".strip()


def _plot(trend, series, title):
    limits = [trend["limits"][end] and float(ratio(trend["limits"][end])) for end in ("min", "max")]
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
