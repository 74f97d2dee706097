"""The light on a subject minute by minute under one sky, and exposures along it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
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
    direct_share: Floats
    light: Brightness

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
        since = np.datetime64(int(when.timestamp() * 1000), "ms") - self.time[0]
        index = round(since / np.timedelta64(1, "m"))
        return int(np.clip(index, 0, self.time.size - 1))

    def colour(self, setup: Setup, i: int) -> float:
        """As `Setup.colour` at a minute."""
        altitude = float(self.light.sun_altitude_deg[i])
        return setup.colour(altitude, float(self.direct_share[i]), self.light.sky)

    def seconds(self, setup: Setup, i: int) -> tuple[Seconds | None, float]:
        """The exposure begun at a minute, and by how many stops the change of light alters it."""
        ev, colour = float(self.ev100[i]), self.colour(setup, i)
        if not np.isfinite(ev):
            return None, 0.0
        doubt = float(self.light.light.doubt_stops[i])
        steady_s = setup.needed(ev, colour)
        if steady_s < _MINUTE_S / 10.0:
            return setup.seconds(ev, colour, doubt), 0.0

        def needed(light: float) -> float:
            return setup.needed(ev + math.log2(light), colour)

        changing = changing_s(lambda over_s: self.mean_light(i, over_s), needed, steady_s)
        longer = changing / steady_s
        altered = math.log2(longer)
        if abs(altered) > MOST_STOPS:
            return None, altered
        return setup.seconds(ev, colour, doubt, longer=longer), altered

    def stop_lasts_min(self, i: int) -> int | None:
        """How many minutes from this one until the light has changed by a stop; None: never."""
        with np.errstate(invalid="ignore"):
            changed = np.flatnonzero(np.abs(self.ev100[i:] - self.ev100[i]) >= 1.0)
        return int(changed[0]) if changed.size else None

    def last_within(self, setup: Setup, i: int, limit_s: float) -> int | None:
        """The last minute from this one on up to which every exposure begun stays under a limit.

        The change of the light during each is counted.
        """
        last = None
        for j in range(i, self.time.size):
            exposure, _ = self.seconds(setup, j)
            if exposure is None or exposure.exact_s > limit_s:
                break
            last = j
        return last

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
    total = light.light.total_lux
    share = np.divide(light.light.direct_lux, total, out=np.zeros_like(total), where=total > 0.0)
    return Course(
        time=light.time, ev100=ev_from_illuminance(total), direct_share=share, light=light
    )
