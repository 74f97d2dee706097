"""The light on a subject minute by minute under one sky, and exposures along it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property, partial
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.exposure import changing_s, ev_from_illuminance
from backbearing.plans.brightness import brightness_of

if TYPE_CHECKING:
    from backbearing.plans.brightness import Brightness, Scene
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.records import Floats, Times

MENTION_STOPS = 0.25
MOST_STOPS = 2.0  # beyond, the light of another hour would make the picture
_MINUTE_S = 60.0
_STRIDE = 10  # minutes, in looking for one that will do


@dataclass(frozen=True, kw_only=True, eq=False)
class Course:
    """A subject's light minute by minute, as arrays of one length."""

    time: Times
    ev100: Floats
    sun_share: Floats  # of the light, by its colour: straight from the disc or off lit ground
    light: Brightness
    # the same with the sun off the face and on it, as far as that is not known
    darker: tuple[Floats, Floats]
    brighter: tuple[Floats, Floats]

    @cached_property
    def _light(self) -> Floats:
        """The light of each minute, 1 for EV 0 at ISO 100."""
        answer: Floats = np.exp2(self.ev100)
        return answer

    @cached_property
    def _given(self) -> Floats:
        """Light given from the first minute up to each, in minutes of EV 0 at ISO 100."""
        return np.concatenate([[0.0], np.cumsum((self._light[1:] + self._light[:-1]) / 2.0)])

    def _given_up_to(self, minute: float) -> float:
        """The same up to a moment; from one minute to the next the light goes straight."""
        k = min(int(minute), self._light.size - 2)
        part = min(minute - k, 1.0)
        here, step = float(self._light[k]), float(self._light[k + 1] - self._light[k])
        return float(self._given[k]) + here * part + step * part**2 / 2.0

    def mean_light(self, i: int, over_s: float) -> float:
        """The mean light from a minute on over so many seconds, 1 for that of the minute.

        Past the last minute there is none.
        """
        over_min = over_s / _MINUTE_S
        given = self._given_up_to(i + over_min) - float(self._given[i])
        return max(given / over_min / float(self._light[i]), 1e-9)

    def instant(self, i: int) -> datetime:
        """The aware instant of a minute."""
        stamp_ms = int(self.time[i].astype("datetime64[ms]").astype(np.int64))
        return datetime.fromtimestamp(stamp_ms / 1000.0, tz=UTC)

    def at(self, when: datetime) -> int:
        """The index of the minute nearest to an aware instant."""
        index = round((when.timestamp() - self._begins_s) / _MINUTE_S)
        return min(max(index, 0), self.time.size - 1)

    @cached_property
    def _begins_s(self) -> float:
        return int(self.time[0].astype("datetime64[ms]").astype(np.int64)) / 1000.0

    def colour(self, setup: Setup, i: int) -> float:
        """As `Setup.colour` at a minute."""
        return self._colour(setup, i, float(self.sun_share[i]))

    def _colour(self, setup: Setup, i: int, sun_share: float) -> float:
        return setup.colour(float(self.light.sun_altitude_deg[i]), sun_share, self.light.sky)

    def ev_range(self, i: int) -> tuple[float, float]:
        """Least and most EV at ISO 100 at a minute: sun off or on the face, and the sky's doubt."""
        doubt = float(self.light.light.doubt_stops[i])
        return float(self.darker[0][i]) - doubt, float(self.brighter[0][i]) + doubt

    def moved(self, stops: float) -> Course:
        """The same day with so many stops more light, at its every minute, and no doubt where the
        sun is: as a meter found it."""
        ev = self.ev100 + stops
        there = (ev, self.sun_share)
        return replace(self, ev100=ev, darker=there, brighter=there)

    def seconds(
        self, setup: Setup, i: int, doubt: float | None = None
    ) -> tuple[Seconds | None, float]:
        """The exposure begun at a minute, and by how many stops the change of light alters it.

        doubt: of the light in stops, in place of the sky's.
        """
        ev, colour = float(self.ev100[i]), self.colour(setup, i)
        if not np.isfinite(ev):
            return None, 0.0
        if doubt is None:
            doubt = float(self.light.light.doubt_stops[i])
        shown = partial(
            setup.seconds,
            ev,
            colour,
            doubt,
            darker_stops=max(0.0, -self._apart_stops(setup, i, self.darker)),
            brighter_stops=max(0.0, self._apart_stops(setup, i, self.brighter)),
        )
        steady_s = setup.needed(ev, colour)
        if steady_s < _MINUTE_S / 10.0:
            return shown(), 0.0

        def needed(light: float) -> float:
            return setup.needed(ev + math.log2(light), colour)

        changing = changing_s(lambda over_s: self.mean_light(i, over_s), needed, steady_s)
        longer = changing / steady_s
        altered = math.log2(longer)
        if abs(altered) > MOST_STOPS:
            return None, altered
        return shown(longer=longer), altered

    def _apart_stops(self, setup: Setup, i: int, other: tuple[Floats, Floats]) -> float:
        """By how many stops the plate gets more of the light in the other case."""
        ev, there = float(self.ev100[i]), float(other[0][i])
        if not np.isfinite(there) or (there == ev and other[1][i] == self.sun_share[i]):
            return 0.0
        return there - ev + self._colour(setup, i, float(other[1][i])) - self.colour(setup, i)

    def stop_lasts_min(self, i: int) -> int | None:
        """How many minutes from this one until the light has changed by a stop; None: never."""
        with np.errstate(invalid="ignore"):
            changed = np.flatnonzero(np.abs(self.ev100[i:] - self.ev100[i]) >= 1.0)
        return int(changed[0]) if changed.size else None

    def last_within(
        self, setup: Setup, i: int, limit_s: float, doubt: float | None = None
    ) -> tuple[int | None, int | None]:
        """The last minute from this one on up to which every exposure begun stays under a limit.

        By the middle of their ranges, and by the slow end. The change of the light during each
        is counted. doubt: as in `seconds`.
        """
        last = surely = None
        sure = True
        for j in range(i, self.time.size):
            exposure, _ = self.seconds(setup, j, doubt)
            if exposure is None or exposure.exact_s > limit_s:
                break
            last = j
            sure = sure and exposure.most_s <= limit_s
            surely = j if sure else surely
        return last, surely

    def nearest_begin(self, setup: Setup, i: int, *, later: bool) -> int | None:
        """The nearest minute, later or earlier, from which an exposure can be told; None: none.

        Looked for in strides of ten minutes and then by the minute.
        """
        way = 1 if later else -1
        end = self.time.size if later else -1
        for j in range(i + way, end, way * _STRIDE):
            if self.seconds(setup, j)[0] is not None:
                near = range(j - way * (_STRIDE - 1), j, way)
                found = (k for k in near if way * (k - i) > 0 and self.seconds(setup, k)[0])
                return next(found, j)
        return None


def course_of(scene: Scene, times: Times, *, sky: str, ground: str) -> Course:
    """The light on a scene at these minutes. Raises BadInput for an unknown ground or sky."""
    light = brightness_of(scene, times, sky=sky, ground=ground)
    own, darker, brighter = (
        (ev_from_illuminance(case.total_lux), case.disc_share)
        for case in (light.light, light.darker, light.brighter)
    )
    return Course(
        time=light.time,
        ev100=own[0],
        sun_share=own[1],
        light=light,
        darker=darker,
        brighter=brighter,
    )
