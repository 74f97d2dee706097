"""What was asked of an exposure, and the answer: now, through the day, contrast and movement."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, quoted
from backbearing.models.illuminance import GROUNDS
from backbearing.models.movement import MOVERS, Mover, blurred
from backbearing.places.apertures import f_number, f_number_on_any
from backbearing.places.clocks import read_clock, split_day_and_clock
from backbearing.places.days import short_month
from backbearing.places.lengths import (
    FARTHEST_CAMERA_M,
    read_angle,
    read_duration_s,
    read_length,
)
from backbearing.places.zones import clock_text, day_bounds, local
from backbearing.plans.brightness import brightness_of, scene_of
from backbearing.plans.dazzle import CAUTION
from backbearing.plans.expose.choosing import (
    bellows_words,
    camera_of,
    choose_batch,
    lens_for_bellows,
)
from backbearing.plans.expose.clockrows import SKIES, ClockRow, clock_rows
from backbearing.plans.expose.contrast import Contrast, contrast_of, read_tones
from backbearing.plans.expose.course import MENTION_STOPS, MOST_STOPS, course_of
from backbearing.plans.expose.meter import meter_says, read_meter
from backbearing.plans.expose.moonthen import NIGHT_DEG, MoonThen, moon_then
from backbearing.plans.expose.seconds import METER_DOUBT_STOPS, setup
from backbearing.plans.expose.shutters import too_short_words
from backbearing.plans.expose.sunthen import face_words
from backbearing.plans.expose.tablelight import light_then
from backbearing.plans.periods import read_coming_day
from backbearing.plans.settings import zone_at
from backbearing.plans.sun import instant_on_clock
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from backbearing.notebook import Notebook
    from backbearing.plans.brightness import Scene
    from backbearing.plans.expose.course import Course
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.plans.expose.tablelight import TableLight
    from backbearing.records import ApertureMark, Batch, Lens, LightWindow

_USUAL_APERTURE = "16"
_MOST_MOVED_STOPS = 4.0  # a day is moved to a reading so far at most; beyond it says nothing
DUSK = phrase("The light goes within minutes after sunset: know the way back in the dark.")


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
    batch_basis: str  # "loaded" where neither named nor the only one
    advice: str  # what to add or to name, where there is no batch
    aperture: ApertureMark
    filter_name: str
    filter_stops: float
    bellows_stops: float
    colour_stops: float | None  # faster (+) here than in the light of the trial
    light: TableLight  # by its colour
    face: str  # whether the sun is on it, and what that rests on
    meter: str
    meter_off_stops: float | None  # over (+) the prediction; None: no reading, or dark then
    meter_says: str  # what a reading out of the range predicted may mean
    ev100: float | None  # None: dark
    ev_low: float | None  # the range: sky, sun off or on the face; of a reading the meter's
    ev_high: float | None
    ev_doubt_stops: float  # of the sky or the meter alone
    lux: float | None
    seconds: Seconds | None
    too_short: str  # for the shutters on record, and what to do
    moon: MoonThen | None  # None: not asked for, and no night
    changing: str  # said only above a quarter stop
    stop_lasts_min: int | None
    limit_s: float | None
    latest_within: datetime | None  # by the middle of the range
    latest_surely: datetime | None  # by its slow end
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
    tilt: str | None = None,
    moon: bool = False,
    now: datetime,
    progress: Callable[[str], None] | None = None,
) -> ExposeAnswer:
    """How many seconds at this subject?

    at: a clock time there, alone or after a day, or "now". day: a day, for its best light.
    Neither: now. position: the camera position, None for the first. tones: those that matter,
    for the contrast. tilt: of the face, 0 lies flat, 90 is upright. moon: its light too, which
    by night is told unasked. The rest as typed. Raises BadInput naming the option, NotFound with
    the nearest name, NotebookError.
    """
    from backbearing.notebook.kit import find_lens, load_kit
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    reading = read_meter(meter) if meter else None
    limit_s = read_duration_s(longest, where="--longest") if longest else None
    if limit_s is not None and limit_s <= 0.0:
        raise BadInput(say("the longest exposure must be above 0"), where="--longest")
    chosen = choose_batch(notebook, batch_name)
    batch = chosen.batch
    kit = load_kit(notebook)
    lens = find_lens(notebook, lens_name) if lens_name else None
    if lens is not None:
        mark = f_number(aperture or _USUAL_APERTURE, lens, where="--aperture")
    else:
        mark = f_number_on_any(aperture or _USUAL_APERTURE, kit.lenses, where="--aperture")
    _check_sky_and_ground(sky, ground)
    tilt_deg = read_angle(tilt, where="--tilt", low_deg=0.0, high_deg=180.0) if tilt else 90.0
    wanted = read_tones(tones)
    camera = camera_of(notebook, subject, position, where="--from")
    scene = scene_of(notebook, subject, camera=camera, face_tilt_deg=tilt_deg, progress=progress)
    place = scene.place
    zone = zone_at(notebook, place)
    on, when = _when(at, day, zone, now)
    window = _window(notebook, subject.name, on, progress) if at is None and day else None
    start, end = day_bounds(on, zone)
    times = _stamp(start) + np.arange(_minutes(start, end) + 360).astype("timedelta64[m]")
    courses = {each: course_of(scene, times, sky=each, ground=ground) for each in SKIES}
    course = courses[sky]
    if when is None:
        brightest = start + timedelta(minutes=int(np.argmax(course.ev100[: _minutes(start, end)])))
        when = window.best if window is not None else brightest
    i = course.at(when)
    racked = lens_for_bellows(kit, lens)
    distance_m = _distance_m(scene, racked, distance)
    way = None
    if batch is not None:
        way = setup(
            batch,
            mark.f_number,
            filter_name=filter_name,
            focal_mm=racked.focal_mm if racked else None,
            distance_m=distance_m,
        )
    predicted, predicted_range = float(course.ev100[i]), course.ev_range(i)
    ev, doubt = predicted, float(course.light.light.doubt_stops[i])
    ev_low, ev_high = predicted_range
    own_doubt, own = None, course  # the day as predicted, or moved to the reading
    if reading:
        ev, doubt = reading.ev100, METER_DOUBT_STOPS
        ev_low, ev_high = ev - doubt, ev + doubt
        own_doubt, own = doubt, course.moved(ev - predicted)
    steady = reading is not None and not abs(ev - predicted) <= _MOST_MOVED_STOPS
    seconds, altered, colour = None, 0.0, None
    if way is not None:
        colour = course.colour(way, i)
        if steady:
            seconds = way.seconds(ev, colour, doubt)
        else:
            seconds, altered = own.seconds(way, i, own_doubt)
    latest = surely = None
    if way and limit_s and not steady:
        latest, surely = own.last_within(way, i, limit_s, own_doubt)
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
        batch_basis=chosen.basis,
        advice=chosen.advice,
        aperture=mark,
        filter_name=way.filter_name if way else "",
        filter_stops=way.filter_stops if way else 0.0,
        bellows_stops=way.bellows_stops if way else 0.0,
        colour_stops=colour,
        light=light_then(
            course,
            i,
            subject.name,
            f"{clock_text(when, zone)}, {on:%d} {short_month(on)} {on.year}",
        ),
        face=face_words(course.light, i),
        meter=reading.words if reading else "",
        meter_off_stops=ev - predicted if reading and np.isfinite(predicted) else None,
        meter_says=meter_says(ev, predicted, predicted_range, sky) if reading else "",
        ev100=ev if np.isfinite(ev) else None,
        ev_low=ev_low if np.isfinite(ev_low) else None,
        ev_high=ev_high if np.isfinite(ev_high) else None,
        ev_doubt_stops=doubt,
        lux=None if reading else float(course.light.light.total_lux[i]),
        seconds=seconds,
        too_short=too_short_words(kit, seconds.exact_s, mark.f_number) if seconds else "",
        moon=moon_then(scene, course.time[i], way, sky=sky, ground=ground)
        if moon or float(course.light.sun_altitude_deg[i]) < NIGHT_DEG
        else None,
        changing=_changing(own, way, i, altered, zone) if way else "",
        stop_lasts_min=course.stop_lasts_min(i),
        limit_s=limit_s,
        latest_within=None if latest is None else start + timedelta(minutes=latest),
        latest_surely=None if surely is None else start + timedelta(minutes=surely),
        rows=clock_rows(courses, way, first, last),
        contrast=contrast_of(course, way, i, ground=ground, wanted=wanted) if way else None,
        movers=MOVERS,
        blurred=blurred(seconds.exact_s) if seconds else (),
        assumptions=(
            *then.rests_on,
            *_assumed(way, altered),
            *([said] if way and (said := bellows_words(kit, racked, distance_m)) else []),
        ),
        cautions=(*((say(CAUTION),) if lit else ()), say(DUSK)),
    )


def _when(
    at: str | None, day: str | None, zone: str, now: datetime
) -> tuple[date, datetime | None]:
    """The local day asked about, and the instant where one is named."""
    today = local(now, zone).date()
    dated = split_day_and_clock(at, where="--at") if at else None
    if day and dated:
        raise BadInput(say("--at has its own day"), where="--at", remedy=say("leave --date out"))
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
    from backbearing.plans.light.best import FIRST_YEAR, LAST_YEAR

    if not FIRST_YEAR <= on.year <= LAST_YEAR:
        raise BadInput(
            say(
                "the sun is known for the years {first_year} to {last_year}",
                first_year=FIRST_YEAR,
                last_year=LAST_YEAR,
            ),
            where="--date",
            remedy=say("ask about a day within them"),
        )
    answer = best_light(notebook, [name], start=on, end=on, limit=1, progress=progress)
    return next(iter(answer.windows), None)


def _distance_m(scene: Scene, lens: Lens | None, typed: str | None) -> float | None:
    """The distance for the bellows: as typed, else on record. Raises BadInput without a lens."""
    if typed:
        if lens is None:
            raise BadInput(
                say("a distance needs a lens"),
                where="--distance",
                remedy=say("name one with --lens"),
            )
        return read_length(typed, where="--distance", most_m=FARTHEST_CAMERA_M)
    return scene.camera.distance_m if scene.camera is not None else None


def _check_sky_and_ground(sky: str, ground: str) -> None:
    for word, known, where, what in (
        (sky, SKIES, "--sky", say("a sky")),
        (ground, tuple(GROUNDS), "--ground", say("a ground")),
    ):
        if word not in known:
            raise BadInput(
                say("{word} is not {what}", word=quoted(word), what=what),
                where=where,
                remedy=say("one of {known}", known=", ".join(known)),
            )


def _changing(course: Course, way: Setup, i: int, altered: float, zone: str) -> str:
    """What the change of light does, and when to begin instead where it does too much."""
    if abs(altered) > MOST_STOPS:
        later = altered < 0.0
        j = course.nearest_begin(way, i, later=later)
        what = (
            say(
                "the light comes up by more than {most_stops:g} stops before it ends",
                most_stops=MOST_STOPS,
            )
            if later
            else say("the light goes before the plate has had enough")
        )
        if j is None:
            return say("too dark then: {what}, and that day no start would do", what=what)
        begin = clock_text(course.instant(j), zone)
        return (
            say("too dark then: {what}; begin at {begin} or later", what=what, begin=begin)
            if later
            else say("too dark then: {what}; begin at {begin} or earlier", what=what, begin=begin)
        )
    if abs(altered) < MENTION_STOPS:
        return ""
    more = say("longer, as the light goes") if altered > 0 else say("shorter, as the light comes")
    return say(
        "{altered:.1f} stop {more} during the exposure; that is in the seconds",
        altered=abs(altered),
        more=more,
    )


def _assumed(way: Setup | None, altered: float) -> tuple[str, ...]:
    said = [say("EV at ISO 100 from lux by ISO 2720, C = 250 lx s (flat receptor)")]
    if way is None:
        return tuple(said)
    batch = way.batch
    trial = batch.tested_in
    said.append(
        say(
            "colour for {emulsion} plates: an estimate, nothing measured",
            emulsion=say(batch.emulsion),
        )
    )
    if trial is None or (trial.sun_altitude_deg is None and not trial.shade):
        said.append(say("the light of the batch's trial is not on record: taken as sun at 45°"))
    if batch.reciprocity_p is None and not batch.reciprocity_table:
        said.append(say("no reciprocity on record for this batch: long times may be too short"))
    elif trial is not None and trial.exposure_s is not None:
        said.append(say("reciprocity counted from the time of the trial"))
    if abs(altered) >= MENTION_STOPS:
        said.append(say("reciprocity taken at the mean light of the exposure, an approximation"))
    return tuple(said)


def _stamp(instant: datetime) -> np.datetime64:
    return np.datetime64(int(instant.astimezone(UTC).timestamp() * 1000), "ms")


def _minutes(start: datetime, end: datetime) -> int:
    return int((end - start) / timedelta(minutes=1))
