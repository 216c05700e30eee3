"""Random inputs for the rules that compute: what a person may type, its edges, and what nobody should type.

`CASES` maps "module.function" to a maker of its arguments from a `Dice`; a name may say more behind a blank. Exact
ratios are Fractions here.
"""

import random
from fractions import Fraction

from witnessmark.rules.problems import Problem
from witnessmark.rules.trend import NORMAL, projection
from witnessmark.rules.units import UNITS

WRONG = ["", " ", "-", ".", "1.", "1,5", "1e3", "+1", "--1", "1 2", " 1", "1\n", "abc", "NaN", "Infinity", "0x1f",
         "\u0661", "\uff11", "1_0", "1" * 16, "0." + "1" * 19, "1/2", "None", "null"]
EDGES = ["0", "-0", "0.0", ".0", "-.0", "000", "9" * 15, "-" + "9" * 15, "9" * 15 + "." + "9" * 18,
         "." + "0" * 17 + "1", "0.5", "-0.5", "1.5", "2.5", "0.125", "0.005", "0.045", "-0.005", "1", "-1", "10",
         "007.50"]
COMMAS = ["1,250", "0,002", "-1,5", "1,25", "12,345", "0,250", "-0,250", ",5", "1,5,0", " 2,5 ", "00,125", "1.250",
          "1,2345"]
KINDS = sorted({facts["kind"] for facts in UNITS.values()})
OUTCOMES = ["pass", "conditional_pass", "conditional_fail", "fail", "tool_not_good_enough", None]


class Dice(random.Random):
    """Throws what the rules take in."""

    def often(self, share):
        return self.random() < share

    def decimal(self, low=0, high=1000, places=None):
        """A typed decimal text from `low` to `high`, written in one of the ways that people write."""
        places = self.choice([0, 1, 2, 2, 3, 4]) if places is None else places
        whole = self.randint(low * 10**places, high * 10**places)
        digits = str(abs(whole)).rjust(places + 1, "0")
        text = digits if places == 0 else f"{digits[:-places]}.{digits[-places:]}"
        if text.startswith("0.") and self.often(0.2):
            text = text[1:]
        return ("-" if whole < 0 else "") + text

    def typed(self):
        """Any text that a person may type into a field for numbers: mostly a number."""
        if self.often(0.1):
            return self.choice(WRONG)
        if self.often(0.15):
            return self.choice(EDGES)
        return self.decimal(*self.choice([(0, 1), (0, 10), (0, 1000), (-1000, 1000), (0, 10**9)]))

    def mostly(self, *arguments, wrong=0.04):
        """As `decimal`, now and then any typed text."""
        return self.typed() if self.often(wrong) else self.decimal(*arguments)

    def exact(self, low=-1000, high=1000):
        """A ratio: of a typed text, of two whole numbers, or nothing at all."""
        if self.often(0.08):
            return Fraction(0)
        if self.often(0.6):
            return Fraction(self.decimal(low, high))
        below = self.choice([3, 7, 9, 360, 10**6, 254 * 10**9 + 1])
        return Fraction(self.randint(low * below, high * below), below)

    def end(self):
        """An end of limits: a ratio, or None for an open one."""
        return None if self.often(0.2) else self.exact(-20, 20)

    def unit(self, kind=None):
        if kind is None and self.often(0.04):
            return self.choice(["", "in lbf", "mm ", "toString", "IN", "°"])
        kind = kind or self.choice(KINDS)
        return self.choice([unit for unit, facts in UNITS.items() if facts["kind"] == kind])

    def two_units(self):
        """Two units, mostly of one kind."""
        kind = self.choice(KINDS)
        return (self.unit(), self.unit()) if self.often(0.1) else (self.unit(kind), self.unit(kind))

    def row(self, least=1, most=12, wrong=0.01):
        """Typed values side by side, near to each other so that equal ones come up."""
        base, places = self.randint(-3, 300), self.randint(0, 4)
        values = [self.decimal(base, base + self.choice([0, 1, 3]), places) for _ in range(self.randint(least, most))]
        return [self.typed() if self.often(wrong) else value for value in values]

    def table(self):
        """Rows of a table, mostly one that can be used."""
        columns = self.choice([2, 2, 2, 3])
        firsts = sorted({Fraction(self.randint(-20, 400), self.choice([1, 2, 4])) for _ in range(self.randint(1, 8))})
        rows = [[str(float(first)), *(self.decimal(-5, 90) for _ in range(columns - 1))] for first in firsts]
        if self.often(0.1):
            self.choice([self.shuffle, lambda rows: rows.append(rows[-1]), lambda rows: rows[0].pop(),
                         lambda rows: rows[-1].append("1"), list.clear,
                         lambda rows: rows[-1].__setitem__(-1, self.typed())])(rows)
        return rows

    def place_in(self, rows):
        """A ratio in a table, at one of its rows, or a little outside."""
        if self.often(0.3) and rows:
            try:
                return Fraction(self.choice(rows)[0])
            except ValueError:
                return Fraction(1)
        return self.exact(-25, 420)

    def clock(self):
        return self.decimal(0, 12, self.randint(0, 2)) if self.often(0.94) else self.typed()

    def lever(self):
        angle = self.choice(["0", "45", "90", "180", "60", "120", "-30", "720"]) if self.often(0.5) else \
            self.mostly(-400, 400)
        return [self.mostly(1, 30), self.mostly(-12, 12), angle]

    def points(self):
        """A trend: values that creep or do not, sometimes with ties, new parts, or hours that go back."""
        drift, noise, places = self.choice([-2, -1, 0, 0, 1, 3]), self.choice([0, 1, 5]), self.randint(0, 4)
        hours, value, found = self.randint(0, 3000), self.randint(50, 500), []
        for _ in range(self.randint(0, 14)):
            hours += self.choice([0, 1, 25, 50, 100, 100]) if self.often(0.97) else -30
            value += drift + self.randint(-noise, noise)
            digits = Fraction(value, 10**places)
            found.append({"at": f"{hours}.{self.randint(0, 9)}", "value": f"{float(digits):.{places}f}",
                          "new_part": self.often(0.06)})
        return found

    def limit(self):
        return None if self.often(0.25) else self.decimal(-10, 600)


def _second_opinion(dice):
    while True:
        points = dice.points()
        try:
            found = projection(points, dice.limit(), dice.limit())
        except Problem:
            continue
        if found["verdict"] == "reaches" or dice.often(0.02):
            return [points, found]


def _line(dice):
    count = dice.randint(0, 12)
    xs = [dice.exact(0, dice.choice([2, 1000])) for _ in range(count)]
    return [xs, [dice.exact(-9, 9) for _ in range(count)]]


def _harmonic(dice):
    count = dice.randint(3, 12) if dice.often(0.97) else dice.randint(0, 3)
    even = [Fraction(360 * index, count) for index in range(count)]
    degrees = even if dice.often(0.7) else [dice.exact(-90, 450) for _ in range(count - dice.often(0.05))]
    return [[Fraction(value) for value in dice.row(count, count, wrong=0)] if count else [], degrees]


def _clocks(dice):
    second = [dice.mostly(0, 2), dice.clock()]
    first = second if dice.often(0.03) else [dice.mostly(0, 2), dice.clock()]
    return [*first, dice.mostly(0, 40), dice.clock(), *second]


def _guarded(dice):
    low, high = dice.end(), dice.end()
    if low is not None and high is not None and low > high:
        low, high = high, low
    u = dice.exact(0, 3)
    if low is not None and high is not None and dice.often(0.1):
        u = (high - low) / 2
    ends = [end for end in (low, high) if end is not None]
    value = dice.choice(ends) + dice.choice([-u, 0, u]) if ends and dice.often(0.3) else dice.exact(-25, 25)
    return [value, low, high, u]


CASES = {
    "ratio.ratio": lambda dice: [dice.typed()],
    "ratio.plus": lambda dice: [dice.exact(), dice.exact()],
    "ratio.minus": lambda dice: [dice.exact(), dice.exact()],
    "ratio.times": lambda dice: [dice.exact(), dice.exact()],
    "ratio.over": lambda dice: [dice.exact(), dice.exact() or Fraction(1)],
    "ratio.compare": lambda dice: [dice.exact(-2, 2), dice.exact(-2, 2)],
    "ratio.show": lambda dice: [dice.exact(), dice.randint(0, 8)],
    "number.read_number": lambda dice: [dice.typed()],
    "number.point_for_comma": lambda dice: [dice.choice(COMMAS) if dice.often(0.5)
                                            else dice.typed().replace(".", ",")],
    "number.compare_numbers": lambda dice: [dice.typed(), dice.typed()],
    "number.add_numbers": lambda dice: [dice.typed(), dice.typed()],
    "number.subtract_numbers": lambda dice: [dice.typed(), dice.typed()],
    "number.show_number": lambda dice: [dice.typed(), dice.randint(0, 6)],
    "units.check_unit": lambda dice: [dice.unit()],
    "units.in_unit": lambda dice: [dice.exact(), *dice.two_units()],
    "units.span_in_unit": lambda dice: [dice.exact(), *dice.two_units()],
    "units.convert": lambda dice: [dice.typed(), *dice.two_units(), dice.randint(0, 6)],
    "units.compare_with_unit": lambda dice: (lambda one, other: [dice.typed(), one, dice.typed(), other])(
        *dice.two_units()),
    "torque.applied_torque": lambda dice: [dice.mostly(), *dice.lever()[:dice.choice([2, 3])]],
    "torque.drag_at_fastener": lambda dice: [dice.mostly(0, 50), *dice.lever()],
    "torque.wrench_setting": lambda dice: (lambda lever: [dice.mostly(), *lever[:2], dice.randint(0, 4), lever[2]])(
        dice.lever()),
    "torque.window": lambda dice: [{"min": dice.end(), "max": dice.end()}, dice.exact(-1, 40)],
    "torque.setting_range": lambda dice: [{"min": dice.end(), "max": dice.end()},
                                          *([None, None, None] if dice.often(0.3) else dice.lever())],
    "torque.wrench_advice": lambda dice: [dice.mostly(0, 300), dice.mostly(1, 400),
                                          None if dice.often(0.3) else dice.mostly(0, 40)],
    "torque.show_torque": lambda dice: [dice.exact()],
    "guard.uncertainty": lambda dice: [dice.exact(), dice.mostly(0, 20)],
    "guard.acceptance": lambda dice: _guarded(dice)[1:],
    "guard.outcome": _guarded,
    "guard.may_pass": lambda dice: [dice.choice([None, "simple", "guarded", "four_outcome"]),
                                    dice.choice([True, False, None]), dice.choice(OUTCOMES)],
    "table.check_rows": lambda dice: [dice.table()],
    "table.rows_around": lambda dice: (lambda rows: [rows, dice.place_in(rows)])(dice.table()),
    "table.between_rows": lambda dice: (lambda rows: [rows, dice.place_in(rows)])(dice.table()),
    "measurement.total_indicator_reading": lambda dice: [dice.row(0)],
    "measurement.spread": lambda dice: [dice.row(0)],
    "measurement.least": lambda dice: [dice.row(0)],
    "measurement.most": lambda dice: [dice.row(0)],
    "measurement.step": lambda dice: [dice.row(0)],
    "measurement.drops": lambda dice: [dice.mostly(1800, 2900), dice.row(0)],
    "measurement.hours_run": lambda dice: [dice.mostly(), dice.mostly()],
    "measurement.per_hour": lambda dice: [dice.mostly(0, 12), dice.mostly(0, 60)],
    "compression.loss": lambda dice: [dice.exact(-1, 90), dice.exact(-1, 90)],
    "compression.orifice_for_bore": lambda dice: [dice.choice(["5", "4.99", "5.000"]) if dice.often(0.2)
                                                  else dice.mostly(3, 7)],
    "trig.cosine": lambda dice: [dice.exact(-1000, 1000) if dice.often(0.7) else Fraction(dice.randint(-60, 60) * 15)],
    "trig.sine": lambda dice: [dice.exact(-1000, 1000) if dice.often(0.7) else Fraction(dice.randint(-60, 60) * 15)],
    "trig.arctangent": lambda dice: [dice.exact(-9, 9), dice.exact(-9, 9)],
    "trig.square_root": lambda dice: [dice.choice([dice.exact(-1, 900), Fraction(dice.randint(0, 99), 8)**2]),
                                      dice.randint(0, 24)],
    "harmonic.first_harmonic": _harmonic,
    "harmonic.shape_of": lambda dice: [{"share": dice.choice([Fraction(9, 10), dice.exact(0, 1)])}, dice.exact(0, 1)],
    "trend.since_new_part": lambda dice: [dice.points()],
    "trend.theil_sen": lambda dice: [*_line(dice), dice.choice(list(NORMAL))],
    "trend.least_squares": _line,
    "trend.projection": lambda dice: [dice.points(), dice.limit(), dice.limit()],
    "trend.second_opinion": _second_opinion,
    "balance.clock_degrees": lambda dice: [dice.clock()],
    "balance.influence": _clocks,
    "balance.two_blade": lambda dice: [dice.mostly(-1, 40), dice.clock()],
}
