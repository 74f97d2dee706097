"""The light on a subject minute by minute under one sky, and exposures along it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.exposure import changing_s, ev_from_illuminance
from backbearing.plans.brightness import brightness_of

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.plans.brightness import Brightness, Scene
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.records import Floats, Times

MENTION_STOPS = 0.25
MOST_STOPS = 2.0  # beyond, the light of another hour would make the picture
_MINUTE_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """A subject's light minute by minute, as arrays of one length."""

    time: Times
    ev100: Floats
    direct_share: Floats
    light: Brightness

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
        lux = np.exp2(self.ev100[i:] - ev)
        after_s = np.arange(lux.size) * _MINUTE_S
        given = np.concatenate([[0.0], np.cumsum((lux[1:] + lux[:-1]) / 2.0) * _MINUTE_S])

        def mean_light(until_s: float) -> float:
            return max(float(np.interp(until_s, after_s, given)) / until_s, 1e-9)

        def needed(light: float) -> float:
            return setup.needed(ev + float(np.log2(light)), colour)

        changing = changing_s(mean_light, needed, steady_s)
        longer = changing / steady_s
        altered = float(np.log2(longer))
        if abs(altered) > MOST_STOPS:
            return None, altered
        return setup.seconds(ev, colour, doubt, longer=longer), altered

    def stop_lasts_min(self, i: int) -> int | None:
        """How many minutes from this one until the light has changed by a stop; None: never."""
        with np.errstate(invalid="ignore"):
            changed = np.flatnonzero(np.abs(self.ev100[i:] - self.ev100[i]) >= 1.0)
        return int(changed[0]) if changed.size else None

    def last_within(self, setup: Setup, i: int, limit_s: float) -> int | None:
        """The last minute from this one on until which an exposure stays under a limit."""
        last = None
        for j in range(i, self.time.size):
            ev = float(self.ev100[j])
            if not np.isfinite(ev) or setup.needed(ev, self.colour(setup, j)) > limit_s:
                break
            last = j
        return last


def course_of(scene: Scene, times: Times, *, sky: str, ground: str) -> Course:
    """The light on a scene at these minutes. Raises BadInput for an unknown ground or sky."""
    light = brightness_of(scene, times, sky=sky, ground=ground)
    total = light.light.total_lux
    share = np.divide(light.light.direct_lux, total, out=np.zeros_like(total), where=total > 0.0)
    return Course(
        time=light.time, ev100=ev_from_illuminance(total), direct_share=share, light=light
    )
