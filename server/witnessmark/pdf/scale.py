"""From values to places in a drawing, and the few round numbers that stand on an axis."""

from math import floor, log10

ROOM = 0.08  # of the span, kept free above and below


class Scale:
    """A straight scale that holds all of `values` (numbers), from `start` to `end` in points."""

    def __init__(self, values, start, end, room=ROOM):
        low, high = min(values), max(values)
        # A row of equal values has no span of its own; any will do that keeps it in the middle.
        spare = (high - low) * room or abs(high) * room or 1.0
        self.low, self.high = low - spare, high + spare
        self._start, self._per = start, (end - start) / (self.high - self.low)

    def __call__(self, value):
        return self._start + (value - self.low) * self._per

    def ticks(self, most=4):
        """[(number, its decimal text)] of at most `most` + 1 round numbers inside the scale, in rising order."""
        span = self.high - self.low
        power = floor(log10(span / most))
        step = next(width * 10.0**power for width in (1, 2, 5, 10) if width * 10.0**power * most >= span)
        decimals = max(0, -floor(log10(step) + 1e-9))
        first = floor(self.low / step) + 1
        numbers = [count * step for count in range(first, floor(self.high / step) + 1)]
        return [(number, f"{number:.{decimals}f}") for number in numbers]
