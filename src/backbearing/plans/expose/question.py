"""What was asked of an exposure, and the answer: now, through the day, contrast and movement."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, quoted
from backbearing.models.movement import MOVERS, Mover, blurred
from backbearing.places.apertures import f_number, f_number_on_any
from backbearing.places.clocks import read_clock, split_day_and_clock
from backbearing.places.lengths import FARTHEST_CAMERA_M, read_duration_s, read_length
from backbearing.places.zones import clock_text, day_bounds, local, zone_name
from backbearing.plans.brightness import brightness_of, scene_of
from backbearing.plans.dazzle import CAUTION
from backbearing.plans.expose.choosing import NO_BATCH, batch_to_use, camera_of
from backbearing.plans.expose.contrast import Contrast, contrast_of, read_tones
from backbearing.plans.expose.course import MENTION_STOPS, MOST_STOPS, course_of
from backbearing.plans.expose.meter import read_meter
from backbearing.plans.expose.seconds import METER_DOUBT_STOPS, setup
from backbearing.plans.expose.tablelight import TableLight
from backbearing.plans.periods import read_coming_day
from backbearing.plans.settings import zone_setting
from backbearing.plans.sun import instant_on_clock

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from backbearing.notebook import Notebook
    from backbearing.plans.brightness import Scene
    from backbearing.plans.expose.course import Course
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.records import Batch, Lens, LightWindow

SKIES = ("clear", "hazy", "overcast")
_USUAL_APERTURE = "16"
_BEFORE, _AFTER, _STEP = timedelta(minutes=30), timedelta(minutes=60), timedelta(minutes=10)
DUSK = "The light goes within minutes after sunset: know the way back in the dark."


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockRow:
    """A minute of the day: EV at ISO 100 and seconds under each of SKIES."""

    at: datetime
    sun_altitude_deg: float
    sun_share: float  # of the disc over the skyline
    ev100: tuple[float, ...]
    seconds: tuple[Seconds | None, ...]  # None: no batch, or dark


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposeAnswer:
    """How many seconds at a subject, then and along the day."""

    subject: str
    zone: str
    day: date
    at: datetime
    sky: str
    ground: str
    window: LightWindow | None
    batch: Batch | None
    advice: str  # what to add, where there is no batch
    aperture: str
    f_number: float
    filter_name: str
    filter_stops: float
    bellows_stops: float
    colour_stops: float | None  # faster (+) here than in the light of the trial
    light: TableLight  # by its colour
    meter: str
    ev100: float | None  # None: dark
    ev_doubt_stops: float
    lux: float | None
    seconds: Seconds | None
    changing: str  # said only above a quarter stop
    stop_lasts_min: int | None
    limit_s: float | None
    latest_within: datetime | None
    rows: tuple[ClockRow, ...]
    contrast: Contrast | None
    movers: tuple[Mover, ...]
    blurred: tuple[str, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]


def ask_expose(
    notebook: Notebook,
    name: str,
    *,
    at: str | None = None,
    day: str | None = None,
    batch_name: str | None = None,
    aperture: str | None = None,
    lens_name: str | None = None,
    filter_name: str | None = None,
    distance: str | None = None,
    meter: str | None = None,
    longest: str | None = None,
    position: str | None = None,
    tones: Sequence[str] = (),
    sky: str = "clear",
    ground: str = "grass",
    now: datetime,
    progress: Callable[[str], None] | None = None,
) -> ExposeAnswer:
    """How many seconds at this subject?

    at: a clock time there, alone or after a day, or "now". day: a day, for its best light.
    Neither: now. position: the camera position, None for the first. tones: those that matter,
    for the contrast. The rest as typed. Raises BadInput naming the option, NotFound with the
    nearest name, NotebookError.
    """
    from backbearing.notebook.kit import find_lens, load_kit
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    reading = read_meter(meter) if meter else None
    limit_s = read_duration_s(longest, where="--longest") if longest else None
    if limit_s is not None and limit_s <= 0.0:
        raise BadInput("the longest exposure must be above 0", where="--longest")
    batch = batch_to_use(notebook, batch_name)
    lens = find_lens(notebook, lens_name) if lens_name else None
    if lens is not None:
        mark = f_number(aperture or _USUAL_APERTURE, lens, where="--aperture")
    else:
        lenses = load_kit(notebook).lenses
        mark = f_number_on_any(aperture or _USUAL_APERTURE, lenses, where="--aperture")
    wanted = read_tones(tones)
    camera = camera_of(notebook, subject, position, where="--from")
    scene = scene_of(notebook, subject, camera=camera, progress=progress)
    place = scene.place
    zone = zone_name(place.latitude_deg, place.longitude_deg, zone_setting(notebook))
    on, when = _when(at, day, zone, now)
    window = _window(notebook, subject.name, on, progress) if at is None and day else None
    start, end = day_bounds(on, zone)
    times = _stamp(start) + np.arange(_minutes(start, end) + 360).astype("timedelta64[m]")
    courses = {each: course_of(scene, times, sky=each, ground=ground) for each in SKIES}
    if sky not in courses:
        raise BadInput(
            f"{quoted(sky)} is not a sky", where="--sky", remedy=f"it is one of {', '.join(SKIES)}"
        )
    course = courses[sky]
    if when is None:
        brightest = start + timedelta(minutes=int(np.argmax(course.ev100[: _minutes(start, end)])))
        when = window.best if window is not None else brightest
    i = course.at(when)
    way = _setup(scene, batch, mark.f_number, lens, filter_name, distance)
    ev = reading.ev100 if reading else float(course.ev100[i])
    doubt = METER_DOUBT_STOPS if reading else float(course.light.light.doubt_stops[i])
    seconds, altered, colour = None, 0.0, None
    if way is not None:
        colour = course.colour(way, i)
        if reading:
            seconds = way.seconds(ev, colour, doubt)
        else:
            seconds, altered = course.seconds(way, i)
    latest = course.last_within(way, i, limit_s)[0] if way and limit_s and not reading else None
    then = brightness_of(scene, course.time[i : i + 1], sky=sky, ground=ground)
    first, last = (window.start, window.end) if window else (when, when)
    lit = float(course.light.disc_fraction[i]) > 0.0
    return ExposeAnswer(
        subject=subject.name,
        zone=zone,
        day=on,
        at=when,
        sky=sky,
        ground=ground,
        window=window,
        batch=batch,
        advice="" if batch else NO_BATCH,
        aperture=mark.engraved,
        f_number=mark.f_number,
        filter_name=way.filter_name if way else "",
        filter_stops=way.filter_stops if way else 0.0,
        bellows_stops=way.bellows_stops if way else 0.0,
        colour_stops=colour,
        light=_light_then(course, i, subject.name, clock_text(when, zone)),
        meter=reading.words if reading else "",
        ev100=ev if np.isfinite(ev) else None,
        ev_doubt_stops=doubt,
        lux=None if reading else float(course.light.light.total_lux[i]),
        seconds=seconds,
        changing=_changing(course, way, i, altered, zone) if way else "",
        stop_lasts_min=course.stop_lasts_min(i),
        limit_s=limit_s,
        latest_within=None if latest is None else start + timedelta(minutes=latest),
        rows=tuple(_rows(courses, way, first - _BEFORE, last + _AFTER)),
        contrast=contrast_of(course, way, i, ground=ground, wanted=wanted) if way else None,
        movers=MOVERS,
        blurred=blurred(seconds.exact_s) if seconds else (),
        assumptions=(*then.rests_on, *_assumed(way, altered)),
        cautions=(*((CAUTION,) if lit else ()), DUSK),
    )


def _when(
    at: str | None, day: str | None, zone: str, now: datetime
) -> tuple[date, datetime | None]:
    """The local day asked about, and the instant where one is named."""
    today = local(now, zone).date()
    dated = split_day_and_clock(at, where="--at") if at else None
    if day and dated:
        raise BadInput("--at has its own day", where="--at", remedy="leave --date out")
    if at is None or at.strip().casefold() == "now":
        if day:
            return read_coming_day(day, today=today, where="--date"), None
        return today, now
    on = today
    if dated or day:
        on = read_coming_day(dated.day if dated else day or "", today=today, where="--at")
    clock = read_clock(dated.clock if dated else at, where="--at")
    when, _ = instant_on_clock(on, clock, zone, offset=dated.zone if dated else None)
    return local(when, zone).date(), when


def _window(
    notebook: Notebook, name: str, on: date, progress: Callable[[str], None] | None
) -> LightWindow | None:
    from backbearing.plans.light import best_light

    answer = best_light(notebook, [name], start=on, end=on, limit=1, progress=progress)
    return next(iter(answer.windows), None)


def _setup(
    scene: Scene,
    batch: Batch | None,
    number: float,
    lens: Lens | None,
    filter_name: str | None,
    distance: str | None,
) -> Setup | None:
    distance_m = scene.camera.distance_m if scene.camera is not None else None
    if distance:
        distance_m = read_length(distance, where="--distance", most_m=FARTHEST_CAMERA_M)
        if lens is None:
            raise BadInput(
                "a distance needs a lens", where="--distance", remedy="name one with --lens"
            )
    if batch is None:
        return None
    return setup(
        batch,
        number,
        filter_name=filter_name,
        focal_mm=lens.focal_mm if lens else None,
        distance_m=distance_m,
    )


def _rows(
    courses: dict[str, Course], way: Setup | None, first: datetime, last: datetime
) -> list[ClockRow]:
    rows = []
    step = _STEP * max(1, round((last - first) / _STEP / 16))
    at = first.replace(second=0, microsecond=0, minute=first.minute // 10 * 10)
    while at <= last:
        i = courses["clear"].at(at)
        light = courses["clear"].light
        rows.append(
            ClockRow(
                at=at,
                sun_altitude_deg=float(light.sun_altitude_deg[i]),
                sun_share=float(light.disc_fraction[i]),
                ev100=tuple(float(courses[sky].ev100[i]) for sky in SKIES),
                seconds=tuple(
                    courses[sky].seconds(way, i)[0] if way is not None else None for sky in SKIES
                ),
            )
        )
        at += step
    return rows


def _light_then(course: Course, i: int, subject: str, clock: str) -> TableLight:
    return TableLight(
        words=f"that at {subject} at {clock}, {course.light.sky} sky",
        sun_altitude_deg=float(course.light.sun_altitude_deg[i]),
        direct_share=float(course.sun_share[i]),
        sky=course.light.sky,
    )


def _changing(course: Course, way: Setup, i: int, altered: float, zone: str) -> str:
    """What the change of light does, and when to begin instead where it does too much."""
    if abs(altered) > MOST_STOPS:
        later = altered < 0.0
        j = course.nearest_begin(way, i, later=later)
        what = (
            f"the light comes up by more than {MOST_STOPS:g} stops before it ends"
            if later
            else "the light goes before the plate has had enough"
        )
        if j is None:
            return f"too dark then: {what}, and that day no start would do"
        begin = clock_text(course.instant(j), zone)
        return f"too dark then: {what}; begin at {begin} or {'later' if later else 'earlier'}"
    if abs(altered) < MENTION_STOPS:
        return ""
    more = "longer, as the light goes" if altered > 0 else "shorter, as the light comes"
    return f"{abs(altered):.1f} stop {more} during the exposure; that is in the seconds"


def _assumed(way: Setup | None, altered: float) -> tuple[str, ...]:
    said = ["EV at ISO 100 from lux by ISO 2720, C = 250 lx s (flat receptor)"]
    if way is None:
        return tuple(said)
    batch = way.batch
    trial = batch.tested_in
    said.append(f"colour for {batch.emulsion} plates: an estimate, nothing measured")
    if trial is None or (trial.sun_altitude_deg is None and not trial.shade):
        said.append("the light of the batch's trial is not on record: taken as sun at 45°")
    if batch.reciprocity_p is None and not batch.reciprocity_table:
        said.append("no reciprocity on record for this batch: long times may be too short")
    elif trial is not None and trial.exposure_s is not None:
        said.append("reciprocity counted from the time of the trial")
    if abs(altered) >= MENTION_STOPS:
        said.append("reciprocity taken at the mean light of the exposure, an approximation")
    return tuple(said)


def _stamp(instant: datetime) -> np.datetime64:
    return np.datetime64(int(instant.astimezone(UTC).timestamp() * 1000), "ms")


def _minutes(start: datetime, end: datetime) -> int:
    return int((end - start) / timedelta(minutes=1))
