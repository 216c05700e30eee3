"""Whether a value creeps: the line through past readings, how sure it is, and when it reaches a limit.

The line is the Theil-Sen one: the median of the slopes between all pairs of points, so that one odd reading does not
turn it. Interval: P. K. Sen, Journal of the American Statistical Association 63 (1968), 1379-1389, equation 2.6.
"""

from fractions import Fraction
from math import isqrt, lcm

from .problems import Problem
from .ratio import compare, minus, over, plus, ratio, show, times
from .trig import square_root

LEAST_POINTS = 5
CONFIDENCE = "0.90"
SLOPE_PER = "100"
SD_PLACES = 24
# No text of hours has more digits than a number that can be read again.
FARTHEST = ratio("999999999999.9")

# Two-sided points of the normal distribution, times 10^15.
NORMAL = {"0.50": 674489750196082, "0.80": 1281551565544600, "0.90": 1644853626951473, "0.93": 1811910672952598,
          "0.95": 1959963984540054, "0.99": 2575829303548901}


def since_new_part(points):
    """`points` by their hours, from the newest one with `new_part` on; those at the same hours stay in their order."""
    ordered = sorted(points, key=lambda point: ratio(point["at"]))
    fitted = [index for index, point in enumerate(ordered) if point["new_part"]]
    return ordered[fitted[-1]:] if fitted else ordered


def theil_sen(xs, ys, confidence):
    """The line through points of ratios: {"slope", "intercept", "low", "high"} as ratios, exact.

    slope = median of the pairwise slopes, intercept = median(ys) - slope * median(xs), low and high the ends of the
    slope's interval; `confidence` is a key of NORMAL. Raises Problem `readings_none` when no two xs differ.
    """
    (x_whole, x_scale), (y_whole, y_scale) = _whole(xs), _whole(ys)
    slopes = _slopes(x_whole, y_whole)
    if not slopes:
        raise Problem("readings_none")
    first, last = _interval(len(slopes), x_whole, y_whole, NORMAL[confidence])

    def exact(index):
        rise, run = slopes[index]
        return Fraction(rise * x_scale, run * y_scale)

    slope = _middle(len(slopes), exact)
    intercept = minus(_median(ys), times(slope, _median(xs)))
    return {"slope": slope, "intercept": intercept, "low": exact(first), "high": exact(last)}


def least_squares(xs, ys):
    """The least-squares line: {"slope", "intercept", "slope_sd", "intercept_sd", "residual_sd"} as ratios.

    slope and intercept are exact, the standard deviations rounded to SD_PLACES decimals. Raises Problem
    `readings_none` for fewer than three points or when no two xs differ.
    """
    (x_whole, x_scale), (y_whole, y_scale) = _whole(xs), _whole(ys)
    count, x_sum, y_sum = len(xs), sum(x_whole), sum(y_whole)
    x_square = count * sum(x * x for x in x_whole) - x_sum * x_sum
    if count < 3 or x_square == 0:
        raise Problem("readings_none")
    product = count * sum(x * y for x, y in zip(x_whole, y_whole, strict=True)) - x_sum * y_sum
    y_square = count * sum(y * y for y in y_whole) - y_sum * y_sum
    slope = Fraction(product * x_scale, x_square * y_scale)
    intercept = Fraction(y_sum * x_square - product * x_sum, count * x_square * y_scale)
    variance = Fraction(y_square * x_square - product * product, count * (count - 2) * x_square * y_scale * y_scale)
    slope_variance = times(variance, Fraction(count * x_scale * x_scale, x_square))
    spread = Fraction(sum(x * x for x in x_whole), x_square)
    return {"slope": slope, "intercept": intercept, "slope_sd": square_root(slope_variance, SD_PLACES),
            "intercept_sd": square_root(times(variance, spread), SD_PLACES),
            "residual_sd": square_root(variance, SD_PLACES)}


def projection(points, limit_min, limit_max):
    """When a followed value reaches a limit: points {"at": hours, "value", "new_part"} of texts, limits texts or None.

    {"verdict": too_few_points | past_limit | no_drift | away | reaches, "count": different hours since the newest
    part, "slope", "slope_low", "slope_high": text per 100 h, "hours", "hours_low", "hours_high": text from the last
    point, "limit": text}; what cannot be said is None. "hours_high" is None when the interval allows no drift.
    """
    series = since_new_part(points)
    xs = [ratio(point["at"]) for point in series]
    ys = [ratio(point["value"]) for point in series]
    found = dict.fromkeys(["slope", "slope_low", "slope_high", "hours", "hours_low", "hours_high", "limit"])
    found = {"verdict": "too_few_points", "count": len(set(xs)), **found}
    if found["count"] < LEAST_POINTS:
        return found
    line = theil_sen(xs, ys, CONFIDENCE)
    found.update(_shown_slopes(line, series))
    passed = _passed(ys[-1], limit_min, limit_max)
    if passed is not None:
        return {**found, "verdict": "past_limit", "limit": passed}
    way = compare(line["slope"], ratio("0"))
    if way == 0:
        return {**found, "verdict": "no_drift"}
    limit = limit_max if way > 0 else limit_min
    if limit is None:
        return {**found, "verdict": "away"}
    return {**found, "verdict": "reaches", "limit": limit, **_hours(line, xs, ys, ratio(limit))}


def second_opinion(points, found):
    """What least squares says where it differs much from `found` = `projection(points, ..)`: hours as text, or "never".

    None while its hours lie within the interval of `found`, and when nothing was projected.
    """
    if found["verdict"] != "reaches":
        return None
    series = since_new_part(points)
    xs = [ratio(point["at"]) for point in series]
    ys = [ratio(point["value"]) for point in series]
    line, steady = least_squares(xs, ys), theil_sen(xs, ys, CONFIDENCE)
    if compare(line["slope"], ratio("0")) != compare(steady["slope"], ratio("0")):
        return None if found["hours_high"] is None else "never"
    hours = _until(minus(ratio(found["limit"]), line["intercept"]), line["slope"], xs[-1])
    early = compare(ratio(hours), ratio(found["hours_low"])) < 0
    late = found["hours_high"] is not None and compare(ratio(hours), ratio(found["hours_high"])) > 0
    return hours if early or late else None


def _shown_slopes(line, series):
    """With the decimals of the values; with one more while that would show a single digit. Never more than six."""
    decimals = max(len(point["value"].partition(".")[2]) for point in series)
    told = {name: times(slope, ratio(SLOPE_PER)) for name, slope in
            (("slope", line["slope"]), ("slope_low", line["low"]), ("slope_high", line["high"]))}
    single = len(show(told["slope"], decimals).lstrip("-0.")) < 2
    return {name: show(slope, min(decimals + single, 6)) for name, slope in told.items()}


def _passed(value, limit_min, limit_max):
    if limit_max is not None and compare(value, ratio(limit_max)) > 0:
        return limit_max
    return limit_min if limit_min is not None and compare(value, ratio(limit_min)) < 0 else None


def _hours(line, xs, ys, limit):
    """Each slope of the interval turns about the median point; a slope that never gets there gives no hours."""
    way = compare(line["slope"], ratio("0"))
    steep, flat = (line["high"], line["low"]) if way > 0 else (line["low"], line["high"])
    turn, since = minus(limit, _median(ys)), minus(xs[-1], _median(xs))
    told = {"hours": line["slope"], "hours_low": steep, "hours_high": flat}
    return {name: _until(turn, slope, since) if compare(slope, ratio("0")) == way else None
            for name, slope in told.items()}


def _until(turn, slope, since):
    hours = minus(over(turn, slope), since)
    near = hours if compare(hours, FARTHEST) < 0 else FARTHEST
    return show(near if compare(near, ratio("0")) > 0 else ratio("0"), 1)


def _whole(ratios):
    """[whole numbers], scale: each ratio is its whole number over the scale."""
    scale = lcm(*(one.denominator for one in ratios))
    return [one.numerator * (scale // one.denominator) for one in ratios], scale


def _slopes(xs, ys):
    """[(rise, run > 0)] of all pairs of whole-numbered points that differ in x, by slope.

    Two different slopes are at least 1/widest² apart, so the whole part of slope * widest² orders them exactly.
    """
    widest = (max(xs) - min(xs)) ** 2 if xs else 0
    keyed = []
    for index, x in enumerate(xs):
        for other in range(index):
            rise, run = ys[index] - ys[other], x - xs[other]
            if run:
                keyed.append((rise * widest // run, *((rise, run) if run > 0 else (-rise, -run))))
    return [(rise, run) for _, rise, run in sorted(keyed, key=lambda one: one[0])]


def _interval(count, xs, ys, point):
    """Places of both ends of the interval among `count` sorted slopes, rounded as scipy.stats.theilslopes does."""
    size = len(xs)
    variance = _tie_weight(size) - sum(map(_tie_weight, _repeats(xs))) - sum(map(_tie_weight, _repeats(ys)))
    if variance < 0:
        return 0, count - 1
    square = point * point * variance
    width = isqrt(square // (18 * 10**30))
    wider = width if width * width * 18 * 10**30 == square else width + 1
    last = min((count + 1 + width) // 2, count - 1)
    return max((count + 1 - wider) // 2 - 1, 0), last


def _tie_weight(size):
    return size * (size - 1) * (2 * size + 5)


def _repeats(values):
    counts = {}
    for value in values:
        counts[value] = counts.get(value, 0) + 1
    return counts.values()


def _median(ratios):
    ordered = sorted(ratios)
    return _middle(len(ordered), ordered.__getitem__)


def _middle(count, at):
    place = count // 2
    return at(place) if count % 2 else over(plus(at(place - 1), at(place)), ratio("2"))
