"""One subject's light windows: its wish over its minutes, from each camera position."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.wanted import (
    Bools,
    Condition,
    SpotMinutes,
    conditions,
    incidence_deg,
    needs_bearing,
    overcast_conditions,
    relative_azimuth_deg,
)
from backbearing.models.windows import Windows, binding, every_minute, find_windows, holds_at
from backbearing.places.words import (
    bearing_error_text,
    bearing_text,
    degrees_text,
    error_text,
    sun_stands_text,
)
from backbearing.plans.dazzle import may_dazzle
from backbearing.plans.light.unmatched import Unmatched, no_bearing, no_shade, why_unmatched
from backbearing.plans.light.why import edge_words, on_face_words
from backbearing.plans.soundness import too_short
from backbearing.plans.standins import FACING_ERROR_DEG, facing_behind
from backbearing.plans.wanted import generic_wish, lit_from_words
from backbearing.records import Bearing, LightWindow, Place, Subject, WantedLight
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from backbearing.plans.light.sky import Sky
    from backbearing.plans.light.spot import LocalMinutes

NO_BEARING = phrase("no bearing on record")
FACE_NOT_KNOWN = phrase("whether its face is lit is not known: no facing on record")
_OVERCAST_WORTH = 0.3  # so that sun which is wanted comes before sky that will do
_DOUBTFUL_WORTH = 0.1  # so that what is surely there comes before what may not be


@dataclass(frozen=True, slots=True, kw_only=True)
class Standpoint:
    """One camera position of a subject, with the bearing to judge it by."""

    name: str
    bearing: Bearing | None
    top_deg: float = 0.0  # the subject's top, seen from there
    wanted: WantedLight | None = None  # its own wish; None: the subject's


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidate:
    """A window with what ranking needs of it."""

    window: LightWindow
    day: int
    start_min: int  # local clock
    end_min: int
    dazzles: bool  # the sun may come near the camera's line in it


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What was found at one subject."""

    clear: tuple[Candidate, ...]
    overcast: tuple[Candidate, ...]
    missing: Unmatched | None  # why there is none under a clear sky
    without: tuple[str, ...]  # camera positions whose own wish finds none, where others' do
    cut: bool  # whether some light goes on beyond the minutes it may run over


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A subject with all that its light is judged by."""

    subject: Subject
    zone: str
    standpoints: tuple[Standpoint, ...]
    wanted: WantedLight | None  # where a standpoint has none of its own; None: generic default
    place: Place  # with a height, if any is on record
    sky: Sky

    @property
    def facing_deg(self) -> float | None:
        """The way its face looks, if only by the back bearing that was made from it."""
        if self.subject.facing_deg is not None:
            return self.subject.facing_deg
        behind = (facing_behind(standpoint.bearing) for standpoint in self.standpoints)
        return next((facing_deg for facing_deg in behind if facing_deg is not None), None)

    @property
    def generic(self) -> bool:
        """Whether any camera position is judged by the generic default."""
        return self.wanted is None and any(each.wanted is None for each in self.standpoints)

    @property
    def wished(self) -> bool:
        """Whether the user asked for any of its light."""
        return self.wanted is not None or any(each.wanted for each in self.standpoints)

    @property
    def ground_known(self) -> bool:
        """Whether the skyline was made from anything but a plain."""
        return self.sky.ground_known


def judge(one: Asked, minutes: SpotMinutes, local: LocalMinutes) -> Judged:
    """One subject's windows under a clear sky and under an overcast one, and why there are none.

    A window begins inside the time asked for, and goes on as far as the minutes reach.
    """
    clear: list[Candidate] = []
    missing: Unmatched | None = None
    without: list[str] = []
    ends = _midnights(local)
    cut = False
    if not bearing_known(one) and any(map(needs_bearing, wishes_of(one))):
        missing = no_bearing(one.subject.name)
    for standpoint in _worth_judging(one):
        bearing, wanted = standpoint.bearing, wish_of(one, standpoint)
        found = conditions(
            minutes, wanted, bearing.true_deg if bearing else None, facing_deg=one.facing_deg
        )
        here = _candidates(one, standpoint, minutes, found, local, wanted.minimum_min)
        cut = cut or any(holds_at(found, end) for end in ends)
        clear += here
        if not here and standpoint.wanted is not None:
            without.append(standpoint.name)
        if not here and (missing is None or not missing.relaxing):
            missing = _why_none(one, minutes, found, local.inside, wanted)
    overcast: list[Candidate] = []
    for wanted, standpoint in wishes_of(one).items():
        if wanted.other_sky is not None:
            found = overcast_conditions(minutes, wanted, wanted.other_sky)
            least = wanted.minimum_min
            overcast += _candidates(one, standpoint, minutes, found, local, least, overcast=True)
            cut = cut or any(holds_at(found, end) for end in ends)
    return Judged(
        clear=tuple(clear),
        overcast=tuple(overcast),
        missing=None if clear else missing,
        without=tuple(without) if clear else (),
        cut=cut,
    )


def _midnights(local: LocalMinutes) -> list[int]:
    """The first and last minutes in reach, where it is a day's end that bounds them."""
    reached = np.flatnonzero(local.reach)
    if not len(reached):
        return []
    first, last = int(reached[0]), int(reached[-1])
    begins_day = first == 0 or local.day[first - 1] != local.day[first]
    return [first, last] if begins_day else [last]


def _why_none(
    one: Asked,
    minutes: SpotMinutes,
    found: Sequence[Condition],
    inside: Bools,
    wanted: WantedLight,
) -> Unmatched:
    if wanted.direct_sun is False and one.facing_deg is None and not one.ground_known:
        return no_shade(one.subject.name)
    return why_unmatched(
        one.subject.name, minutes, found, inside, wanted, facing_deg=one.facing_deg
    )


def bearing_known(one: Asked) -> bool:
    """Whether a bearing to the subject is known from any camera position."""
    return any(standpoint.bearing is not None for standpoint in one.standpoints)


def wish_of(one: Asked, standpoint: Standpoint) -> WantedLight:
    """The wish a camera position is judged by: its own, the subject's or the generic one."""
    return standpoint.wanted or one.wanted or generic_wish(bearing_known=bearing_known(one))


def wishes_of(one: Asked) -> dict[WantedLight, Standpoint]:
    """The wishes a subject is judged by, each with the first camera position it is for."""
    found: dict[WantedLight, Standpoint] = {}
    for standpoint in one.standpoints:
        found.setdefault(wish_of(one, standpoint), standpoint)
    return found


def not_judged(one: Asked) -> tuple[Standpoint, ...]:
    """Camera positions left aside: a direction of light is wanted, and others have a bearing."""
    if not bearing_known(one):
        return ()
    return tuple(
        standpoint
        for standpoint in one.standpoints
        if standpoint.bearing is None and needs_bearing(wish_of(one, standpoint))
    )


def _worth_judging(one: Asked) -> Iterable[Standpoint]:
    """Camera positions that can differ: without a direction of light the first of a wish stands."""
    first = wishes_of(one)
    for standpoint in one.standpoints:
        wanted = wish_of(one, standpoint)
        if needs_bearing(wanted):
            if standpoint.bearing is not None:
                yield standpoint
        elif first[wanted] is standpoint:
            yield standpoint


def _candidates(
    one: Asked,
    standpoint: Standpoint,
    minutes: SpotMinutes,
    found: Sequence[Condition],
    local: LocalMinutes,
    minimum_min: float,
    *,
    overcast: bool = False,
) -> list[Candidate]:
    bearing = standpoint.bearing
    windows = find_windows(
        minutes,
        found,
        inside=local.reach,
        begins=local.inside,
        minimum_min=minimum_min,
        bearing_error_deg=bearing.error_deg if bearing else 0.0,
        facing_error_deg=FACING_ERROR_DEG,
    )
    best = windows.best
    azimuth, altitude = minutes.azimuth_deg[best], minutes.altitude_deg[best]
    relative = relative_azimuth_deg(azimuth, bearing.true_deg).tolist() if bearing else None
    on_face = _on_face(one, minutes, windows)
    dazzles = _dazzles(standpoint, minutes, windows)
    rests_on = _rests_on(one, standpoint, overcast=overcast)
    candidates = []
    for i, (start, middle, end) in enumerate(
        zip(windows.start.tolist(), best.tolist(), windows.end.tolist(), strict=True)
    ):
        delta = abs(relative[i]) if relative else None
        lit = lit_from_words(delta, left=relative[i] < 0) if relative and delta is not None else ""
        height = round(float(altitude[i]), 2)  # once, for the sentence and the figure alike
        if overcast:
            delta, lit = None, say("no direction (overcast)")
            why = say(
                "Under an overcast sky this will do; where the sun stands matters little then."
            )
        else:
            opens = _edge(one, minutes, found, local.reach, start - 1, opening=True)
            closes = _edge(one, minutes, found, local.reach, end + 1, opening=False)
            stands = ", ".join(
                part
                for part in (lit, say("sun {stands}", stands=sun_stands_text(height)), on_face[i])
                if part
            )
            why = say(
                "{stands}; opens {opens}, closes {closes}.",
                stands=stands,
                opens=opens,
                closes=closes,
            )
            why = why[0].upper() + why[1:]
        low = min(float(minutes.altitude_deg[start]), float(minutes.altitude_deg[end])) < 2.0
        day = int(minutes.day[start])
        plus_minus = float(np.ceil(windows.plus_minus_min[i]))
        doubtful = too_short(end - start, plus_minus)
        worth = _DOUBTFUL_WORTH if doubtful else _OVERCAST_WORTH if overcast else 1.0
        window = LightWindow(
            subject=one.subject.name,
            camera_position=standpoint.name,
            day=date(1970, 1, 1) + timedelta(days=day),
            zone=one.zone,
            start=_instant(minutes, start),
            best=_instant(minutes, middle),
            end=_instant(minutes, end),
            plus_minus_min=plus_minus,
            score=round(float(windows.score[i]) * worth, 4),
            sky="overcast" if overcast else "clear",
            sun_azimuth_deg=round(float(azimuth[i]), 2),
            sun_altitude_deg=height,
            delta_deg=None if delta is None else round(delta, 2),
            lit_from=lit or say(NO_BEARING),
            why=why,
            rests_on=(*rests_on, say("refraction near the horizon")) if low else rests_on,
            doubtful=doubtful,
        )
        candidates.append(
            Candidate(
                window=window,
                day=day,
                start_min=int(minutes.clock_min[start]),
                end_min=int(minutes.clock_min[end]),
                dazzles=dazzles[i] and not overcast,
            )
        )
    return candidates


def _on_face(one: Asked, minutes: SpotMinutes, windows: Windows) -> list[str]:
    """How the sun meets the subject's face at each window's best minute, in words."""
    best = windows.best
    if one.facing_deg is None:
        return [""] * len(best)
    off = incidence_deg(minutes.azimuth_deg[best], minutes.altitude_deg[best], one.facing_deg)
    return [
        on_face_words(each, sunlit=sunlit)
        for each, sunlit in zip(off.tolist(), minutes.sunlit[best].tolist(), strict=True)
    ]


def _dazzles(standpoint: Standpoint, minutes: SpotMinutes, windows: Windows) -> list[bool]:
    """Whether the sun may come near the camera's line at any minute of each window."""
    if standpoint.bearing is None or not len(windows.start):
        return [False] * len(windows.start)
    index, first = every_minute(windows.start, windows.end)
    near = may_dazzle(
        minutes.azimuth_deg[index],
        minutes.altitude_deg[index],
        standpoint.bearing,
        standpoint.top_deg,
    )
    found: list[bool] = np.logical_or.reduceat(near, first).tolist()
    return found


def _edge(
    one: Asked,
    minutes: SpotMinutes,
    found: Sequence[Condition],
    inside: Bools,
    outside: int,
    *,
    opening: bool,
) -> str:
    """How a window opens or closes; `outside` is the minute just beyond it."""
    made_by = binding(found, outside)
    if not made_by and 0 <= outside < len(inside) and inside[outside]:
        return say("at midnight")  # all holds beyond it: a run of a day and longer, cut there
    words = edge_words(made_by, outside, opening=opening)
    if words in (say("at first sun"), say("at last sun")):
        month = int(minutes.time[outside].astype("datetime64[M]").astype(int)) % 12 + 1
        blocked_by = one.sky.edge_words(float(minutes.azimuth_deg[outside]), month)
        words = f"{words} {blocked_by}" if blocked_by else words
    return words


def _instant(minutes: SpotMinutes, index: int) -> datetime:
    moment: datetime = minutes.time[index].item()
    return moment.replace(tzinfo=UTC)


def _rests_on(one: Asked, standpoint: Standpoint, *, overcast: bool) -> tuple[str, ...]:
    place = one.subject.place
    found = [say(one.sky.skyline.basis), say("position {place}", place=error_text(place))]
    bearing = standpoint.bearing
    if bearing is not None and not overcast:
        said = f"{bearing.as_written} {bearing_error_text(bearing)}" in place.error_basis
        true = say(
            "{as_written}, {true} true",
            as_written=bearing.as_written,
            true=degrees_text(bearing.true_deg),
        )
        found.append(say("bearing {true}", true=true if said else bearing_text(bearing)))
    if not overcast and (direct := wish_of(one, standpoint).direct_sun) is not None:
        found += _face_words(one, sun_wanted=direct)
    return tuple(found)


def _face_words(one: Asked, *, sun_wanted: bool) -> list[str]:
    """What is known of the way the face looks, and how; or that nothing is, where sun is wanted."""
    facing_deg = one.facing_deg
    if facing_deg is None:
        return [say(FACE_NOT_KNOWN)] if sun_wanted else []
    basis = (
        say("from the bearing that stands in")
        if one.subject.facing_deg is None
        else say("on record without its error, which is assumed")
    )
    return [
        say(
            "face upright, looking {facing} true ± {facing_error_deg:.0f}° ({basis})",
            facing=degrees_text(facing_deg),
            facing_error_deg=FACING_ERROR_DEG,
            basis=basis,
        )
    ]
