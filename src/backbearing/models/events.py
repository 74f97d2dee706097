"""The sun's day over a flat horizon: rise, set, twilights and noon.

Found on our own `sun_position`, so that they agree with everything else it says; astral's
figures by name stand beside them (`flat_events_by_name`). A skyline of real ground has no
place here: see `sunlight`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo
from typing import TYPE_CHECKING, Literal, get_args

import numpy as np

from backbearing.models.arguments import as_span, as_times, every, to_datetime, within
from backbearing.models.crossings import crossings, with_extremes
from backbearing.models.sun import sun_position, sun_vectors

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from backbearing.records import Floats, Times

EventKind = Literal[
    "astronomical dawn",
    "nautical dawn",
    "civil dawn",
    "sunrise",
    "noon",
    "sunset",
    "civil dusk",
    "nautical dusk",
    "astronomical dusk",
    # what holds for the whole span; these have no instant
    "sun stays up",
    "sun stays down",
    "civil twilight or lighter throughout",
    "darker than civil twilight throughout",
    "nautical twilight or lighter throughout",
    "darker than nautical twilight throughout",
    "astronomical twilight or lighter throughout",
    "night throughout",
]


@dataclass(frozen=True, slots=True)
class SunEvent:
    """One event, or, with `when` None, a state that holds from start to end."""

    kind: EventKind
    when: datetime | None  # UTC
    azimuth_deg: float | None
    airless_altitude_deg: float | None  # of the sun's centre


@dataclass(frozen=True, slots=True)
class _Level:
    """An airless altitude of the sun's centre, and what crossing it or not is called."""

    altitude_deg: float
    up: EventKind
    down: EventKind
    above: EventKind
    below: EventKind


# USNO, "Rise, Set and Twilight Definitions" (2004): rise and set are the upper limb on a level
# horizon under average refraction, 34′ + 16′; twilights count the centre without refraction.
_LEVELS = (
    _Level(-50.0 / 60.0, "sunrise", "sunset", "sun stays up", "sun stays down"),
    _Level(
        -6.0,
        "civil dawn",
        "civil dusk",
        "civil twilight or lighter throughout",
        "darker than civil twilight throughout",
    ),
    _Level(
        -12.0,
        "nautical dawn",
        "nautical dusk",
        "nautical twilight or lighter throughout",
        "darker than nautical twilight throughout",
    ),
    _Level(
        -18.0,
        "astronomical dawn",
        "astronomical dusk",
        "astronomical twilight or lighter throughout",
        "night throughout",
    ),
)
HORIZON_DOUBT_DEG = 0.1
_SAMPLE_MS = 600_000  # between a day's two extremes the altitude only rises or only falls


def sun_events(
    latitude_deg: float,
    longitude_deg: float,
    start: datetime | np.datetime64,
    end: datetime | np.datetime64,
    *,
    height_m: float = 0.0,
) -> list[SunEvent]:
    """What does the sun do over a flat horizon from start up to, not including, end?

    latitude_deg, longitude_deg: WGS 84, single numbers. start, end: UTC datetime64 or aware
    datetimes, any distance apart. height_m: only for the parallax; the dip of a sea horizon
    is not counted. Returns the states that hold throughout (no sunrise and no sunset: the sun
    stays up, or down; the same for each twilight), then the events in order of time. Near
    the polar circles a day may hold two of a kind, or one without the other. Noon is the
    passage through the meridian of the longitude.

    Method: sampled each ten minutes and at each extreme, refined to 0.1 s. The air at the
    horizon is not known that well: see `minutes_of_doubt`.
    Raises BadInput for arguments out of range.
    """
    first, last = as_span(start, end)
    latitude = float(within("latitude_deg", latitude_deg, -90.0, 90.0))
    longitude = float(within("longitude_deg", longitude_deg, -180.0, 360.0))
    if first == last:
        return []

    def altitude(times: Times) -> Floats:
        return sun_position(
            times, latitude, longitude, height_m=height_m, refraction=False
        ).altitude_deg

    times = every(first, last, _SAMPLE_MS)
    times = with_extremes(times, altitude(times))
    altitudes = altitude(times)
    kinds: list[EventKind] = []
    instants: list[Times] = []
    states: list[SunEvent] = []
    for level in _LEVELS:
        found, rising = crossings(
            _less(altitude, level.altitude_deg), times, altitudes - level.altitude_deg
        )
        kept = found < last
        found, rising = found[kept], rising[kept]
        if not found.size:
            above = altitudes[0] >= level.altitude_deg
            states.append(SunEvent(level.above if above else level.below, None, None, None))
        kinds += [level.up if up else level.down for up in rising]
        instants.append(found)
    noons = _noons(longitude, times)
    noons = noons[noons < last]
    kinds += ["noon"] * noons.size
    instants.append(noons)

    when = np.concatenate(instants)
    sun = sun_position(when, latitude, longitude, height_m=height_m, refraction=False)
    events = [
        SunEvent(
            kinds[i], to_datetime(when[i]), float(sun.azimuth_deg[i]), float(sun.altitude_deg[i])
        )
        for i in np.argsort(when, kind="stable")
    ]
    return states + events


def ends_of_days(
    latitude_deg: float,
    longitude_deg: float,
    days: Sequence[tuple[datetime, datetime]],
    *,
    height_m: float = 0.0,
) -> list[tuple[datetime | None, datetime | None]]:
    """The last sunset and the last civil dusk over a flat horizon of each of these days.

    days: start and end of each (aware), ascending, none over another. Returns UTC, None where
    there is none on that day. As `sun_events`, but for many days at once and to a second, and
    a sun that dips for less than ten minutes may be missed.
    Raises BadInput for arguments out of range.
    """
    spans = [as_span(start, end) for start, end in days]
    if not spans:
        return []

    def altitude(times: Times) -> Floats:
        return sun_position(
            times, latitude_deg, longitude_deg, height_m=height_m, refraction=False
        ).altitude_deg

    samples = [every(first, last, _SAMPLE_MS) for first, last in spans]
    times = np.concatenate(samples)
    altitudes = altitude(times)
    # nothing is looked for between one day and the next
    ends = np.cumsum([len(each) for each in samples])
    times = np.insert(times, ends[:-1], times[ends[:-1] - 1])
    altitudes = np.insert(altitudes, ends[:-1], np.nan)
    starts = np.array([first for first, _ in spans])
    found: list[list[datetime | None]] = []
    for level in _LEVELS[:2]:
        over = altitudes - level.altitude_deg
        when, rising = crossings(_less(altitude, level.altitude_deg), times, over, to_ms=1000)
        last_of: list[datetime | None] = [None] * len(spans)
        for instant in when[~rising]:
            last_of[int(np.searchsorted(starts, instant, side="right")) - 1] = to_datetime(instant)
        found.append(last_of)
    return list(zip(*found, strict=True))


def _less(quantity: Callable[[Times], Floats], level: float) -> Callable[[Times], Floats]:
    return lambda times: quantity(times) - level


def _noons(longitude_deg: float, times: Times) -> Times:
    """Passages of the sun's centre through the upper meridian (n,), samples given."""
    lam = np.radians(longitude_deg)

    def east(when: Times) -> Floats:
        x, y, _ = sun_vectors(as_times(when))
        return np.asarray(y * np.cos(lam) - x * np.sin(lam))

    found, rising = crossings(east, times, east(times))
    return found[~rising]  # westward through the meridian at noon, eastward at midnight


def minutes_of_doubt(latitude_deg: float, event: SunEvent) -> float | None:
    """How many minutes early or late can this sunrise or sunset really be at a flat horizon?

    The air at the horizon lifts the sun by 0.1° more or less than average from day to day
    (several minutes of arc: from memory, no source), and the sun climbs
    0.25° a minute times cos(latitude) |sin(azimuth)|. At least 0.5 min. None where it grazes
    so flat that the figure passes an hour, and for all other events: noon and the twilights
    are defined without the air.
    """
    if event.azimuth_deg is None or event.kind not in ("sunrise", "sunset"):
        return None
    slant = math.cos(math.radians(latitude_deg)) * math.sin(math.radians(event.azimuth_deg))
    climb_deg_per_min = 0.25 * abs(slant)
    if climb_deg_per_min * 60.0 < HORIZON_DOUBT_DEG:
        return None
    return max(0.5, HORIZON_DOUBT_DEG / climb_deg_per_min)


AstralName = Literal["dawn", "sunrise", "noon", "sunset", "dusk"]
ASTRAL_NAMES: tuple[AstralName, ...] = get_args(AstralName)


def flat_events_by_name(
    latitude_deg: float, longitude_deg: float, day: date, zone: tzinfo = UTC
) -> dict[AstralName, datetime | None]:
    """What does astral give for this local civil day's flat-horizon events?

    Returns UTC instants by astral's names (dawn and dusk are civil), None where astral has
    none on that day. They differ from `sun_events` by 11 to 22 s in the median up to 59° of
    latitude, half a minute at 60–66°, and minutes, or in whether there is one, where the sun
    or the twilight grazes: astral reads the sun's place a little off the event's own instant
    (noon's at 0h: up to 30 s) and clamps latitude at 89.8°.
    Raises BadInput for a latitude or longitude out of range.
    """
    from astral import Observer
    from astral import sun as astral_sun

    latitude = float(within("latitude_deg", latitude_deg, -90.0, 90.0))
    longitude = float(within("longitude_deg", longitude_deg, -180.0, 360.0))
    observer = Observer(latitude, (longitude + 180.0) % 360.0 - 180.0, 0.0)
    found: dict[AstralName, datetime | None] = {}
    for name in ASTRAL_NAMES:
        try:
            event: datetime = getattr(astral_sun, name)(observer, date=day, tzinfo=zone)
        except ValueError:
            found[name] = None
        else:
            found[name] = event.astimezone(UTC)
    return found
