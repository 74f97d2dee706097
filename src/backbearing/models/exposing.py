"""How long the exposures of an outing take, by the moment they are begun: longer as light goes."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from math import inf, isfinite


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposing:
    """Seconds from the first exposure's begin to the last one's end, by that begin.

    Between two begins the longer of both counts, before the first and after the last theirs.
    """

    begins: tuple[float, ...]  # ascending, seconds on the outing's clock
    lasts_s: tuple[float, ...]  # of each; inf where it is too dark or does not end

    @classmethod
    def steady(cls, seconds: float) -> Exposing:
        """The same whenever they are begun."""
        return cls(begins=(0.0,), lasts_s=(seconds,))

    def lasts(self, begin: float) -> float:
        """How long the exposures take that are begun at a moment."""
        above = bisect_left(self.begins, begin)
        last = len(self.begins) - 1
        return max(self.lasts_s[max(above - 1, 0)], self.lasts_s[min(above, last)])

    def latest(self, done_by: float) -> float:
        """The latest begin of exposures that are done by a moment; −inf where none are."""
        for number in range(len(self.begins), -1, -1):
            before = self.begins[number - 1] if number > 0 else -inf
            until = self.begins[number] if number < len(self.begins) else inf
            lasts = self.lasts(until)
            if isfinite(lasts) and (begin := min(until, done_by - lasts)) > before:
                return begin
        return -inf

    def soonest_end(self, begin: float) -> float:
        """When exposures begun at a moment or later are done at the earliest; inf: never."""
        later = self.begins[bisect_left(self.begins, begin) :]
        return min(each + self.lasts(each) for each in (begin, *later))
