"""What was measured at the spot, from the words it was written in, to numbers with their errors.

Used for `mark` and for field notes alike. Everything here can also be assumed from something
else that was written, and each such step is a sentence in `Measured.assumed`.

         top \\
              \\  38°                    tall = distance · (tan top − tan foot)
    eye -------\\--------- level
              /   −6°
        foot /
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeVar, cast

from backbearing.errors import BadInput, quoted
from backbearing.places.lengths import FARTHEST_CAMERA_M, LONGEST_M, read_angle, read_length
from backbearing.plans.standins import (
    back_of_facing,
    between_edges_deg,
    disagreement,
    from_places,
    midway,
    outside_edges,
)
from backbearing.records import Bearing, CameraPosition, Place, Sighting

ANGLE_ERROR_DEG = 1.0  # 95 %, of a clinometer read by eye; common practice, no source
PACE_M = 0.75  # one step of a walking adult; common practice, no source

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What was written down of a subject, in the words it was written in; '' where nothing was."""

    bearing: str = ""  # camera → subject
    instrument: str = ""
    bearing_error: str = ""
    distance: str = ""
    measured: str = ""  # "taped" or "paced"
    top: str = ""
    foot: str = ""
    left_edge: str = ""
    right_edge: str = ""
    facing: str = ""
    tall: str = ""
    wide: str = ""
    sightings: tuple[str, ...] = ()  # "KNOLL 300M"
    bare: str = ""  # "magnetic" in a field record: bare bearings came off a needle

    @property
    def from_camera(self) -> bool:
        """Whether anything was measured that belongs to where the camera stands."""
        return bool(
            self.bearing
            or self.distance
            or self.top
            or self.foot
            or self.left_edge
            or self.right_edge
            or self.sightings
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """The numbers, and what had to be assumed for them.

    camera: None where nothing was measured from a camera position.
    """

    place: Place  # of the subject
    camera: CameraPosition | None
    tall_m: float | None
    wide_m: float | None
    facing_deg: float | None
    assumed: tuple[str, ...]


def measure(
    stood: Place,
    written: Written,
    *,
    on: date,
    subject_at: Place | None = None,
    camera_name: str = "main",
    where: str = "",
    problems: list[str] | None = None,
) -> Measured:
    """Answer where the subject is, how large, and in which direction, from what was written.

    stood: where the record was made: the camera position where anything was measured from it,
        else the subject itself. subject_at: the subject's own place, where it is known.
    on: the day of the record, for the declination of magnetic bearings.
    where: put before the field's name in messages ("--" or "notes.txt, line 3, ").
    problems: where given, a value that cannot be read goes there as a sentence and is left out.

    Raises BadInput for a value that cannot be read, unless `problems` is given.
    """
    assumed: list[str] = []
    written = _one_compass(written, assumed)

    def attempt(text: str, read: Callable[[], T]) -> T | None:
        if not text:
            return None
        try:
            return read()
        except BadInput as error:
            if problems is None:
                raise
            problems.append(str(error))
            return None

    def bearing_of(text: str, name: str) -> Bearing | None:
        return attempt(text, lambda: _bearing(text, stood, written, on, f"{where}{name}"))

    left, right = bearing_of(written.left_edge, "left"), bearing_of(written.right_edge, "right")
    edges_deg = attempt(
        "edges" if left and right else "", lambda: between_edges_deg(left, right, where)
    )
    facing = bearing_of(_true_unless_marked(written.facing), "facing")
    distance = attempt(
        written.distance, lambda: _distance_m(written.distance, f"{where}distance", assumed)
    )
    taken = bearing_of(written.bearing, "bearing")
    if taken and subject_at and (doubt := disagreement(taken, stood, subject_at)):
        assumed.append(doubt)
    if taken and left and edges_deg and (doubt := outside_edges(taken, left, edges_deg)):
        assumed.append(doubt)
    bearing = (
        taken
        or (midway(left, right, edges_deg, assumed) if left and right and edges_deg else None)
        or (from_places(stood, subject_at, assumed) if subject_at else None)
        or (back_of_facing(facing, assumed) if facing else None)
    )
    place = _subject_place(stood, subject_at, bearing, distance, written, assumed)
    top = attempt(written.top, lambda: _angle_deg(written.top, f"{where}top"))
    foot = attempt(written.foot, lambda: _angle_deg(written.foot, f"{where}foot"))
    tall = attempt(written.tall, lambda: _length_m(written.tall, f"{where}tall"))
    wide = attempt(written.wide, lambda: _length_m(written.wide, f"{where}wide"))
    from_angles = attempt(
        "tall" if None not in (top, foot, distance) else "",
        lambda: tall_from_angles_m(
            cast("float", distance), cast("float", top), cast("float", foot), written.measured
        ),
    )
    tall = _tall(tall, from_angles, top, foot, distance, assumed)
    if wide is None and edges_deg and distance is not None:
        wide = round(2 * distance * math.tan(math.radians(edges_deg / 2)), 2)
        assumed.append(
            f"width {wide:.1f} m from its edges, {edges_deg:.0f}° apart, if seen square on"
        )
    sightings = [
        sighting
        for text in written.sightings
        if (sighting := attempt(text, lambda: _sighting(text, stood, written, on, where)))  # noqa: B023
    ]
    camera = None
    if written.from_camera or bearing is not None or subject_at is not None:
        camera = CameraPosition(
            name=camera_name,
            place=stood,
            bearing=bearing,
            distance_m=distance,
            top_deg=top,
            foot_deg=foot,
            left_edge=left,
            right_edge=right,
            sightings=tuple(sightings),
        )
    return Measured(
        place=place,
        camera=camera,
        tall_m=tall,
        wide_m=wide,
        facing_deg=facing.true_deg if facing else None,
        assumed=tuple(assumed),
    )


# ---------------------------------------------------------------- reading


def _one_compass(written: Written, assumed: list[str]) -> Written:
    """Bare bearings of a record are magnetic where its marked ones are, or a needle gave them."""
    marked = re.compile(r"\d\s*°?\s*(?i:m|mag|magnetic)")
    bare = re.compile(r"\d+(?:\.\d+)?\s*°?")
    texts = {name: getattr(written, name) for name in ("bearing", "left_edge", "right_edge")}
    far = [text.rpartition(" ")[2] for text in written.sightings]
    beside = any(marked.search(text) for text in (*texts.values(), *far))
    if not (beside or (written.bare == "magnetic" and written.instrument != "phone")):
        return written
    changed = {name: f"{text}M" for name, text in texts.items() if bare.fullmatch(text.strip())}
    sightings = tuple(
        f"{sighting}M" if bare.fullmatch(text) else sighting
        for sighting, text in zip(written.sightings, far, strict=True)
    )
    if changed or sightings != written.sightings:
        reason = "like those with an M beside them" if beside else "as a compass gives them"
        assumed.append(f"bearings without M or T taken as magnetic, {reason}")
    return replace(written, sightings=sightings, **changed)


def _bearing(text: str, stood: Place, written: Written, on: date, where: str) -> Bearing:
    from backbearing.places.bearings import INSTRUMENT_ERROR_DEG, read_bearing

    if written.instrument and written.instrument not in INSTRUMENT_ERROR_DEG:
        raise BadInput(
            f"no instrument is called {quoted(written.instrument)}",
            where=where,
            remedy=f"choose one of {', '.join(INSTRUMENT_ERROR_DEG)}",
        )
    error_deg = (
        read_angle(written.bearing_error, where=f"{where} error", low_deg=0.0, high_deg=180.0)
        if written.bearing_error
        else None
    )
    return read_bearing(
        text,
        latitude_deg=stood.latitude_deg,
        longitude_deg=stood.longitude_deg,
        height_m=stood.height_m,
        on=on,
        instrument=written.instrument or None,
        error_deg=error_deg,
        where=where,
    )


def _sighting(text: str, stood: Place, written: Written, on: date, where: str) -> Sighting:
    """`KNOLL 300M`, `far cairn 35 T`, `tower SW`: the far thing and the bearing to it."""
    words = text.split()
    if len(words) < 2 or not any(ch.isalpha() for ch in words[0]):
        raise BadInput(
            f"{quoted(text)} names no thing and a bearing to it",
            where=f"{where}sighting",
            remedy="write it as 'KNOLL 300M'",
        )
    for n in range(1, len(words)):
        try:
            bearing = _bearing(" ".join(words[n:]), stood, written, on, f"{where}sighting")
        except BadInput:
            if n == len(words) - 1:
                raise
        else:
            break
    return Sighting(to=" ".join(words[:n]), bearing=bearing)


def _true_unless_marked(text: str) -> str:
    """A wall's facing is asked for as true: a bare figure is one, and no assumption."""
    bare = text.strip().rstrip("°").strip()
    return f"{bare}T" if bare.replace(".", "", 1).isdigit() else text


def _length_m(text: str, where: str, *, most_m: float = LONGEST_M) -> float:
    length_m = read_length(text, where=where, most_m=most_m)
    if not length_m > 0:
        raise BadInput(
            f"{quoted(text)} is no length to measure with", where=where, remedy="leave it out"
        )
    return length_m


def _distance_m(text: str, where: str, assumed: list[str]) -> float:
    paces = re.fullmatch(r"([0-9]{1,5})\s*(?i:paces?|steps?)", text.strip())
    if not paces:
        return _length_m(text, where, most_m=FARTHEST_CAMERA_M)
    distance_m = _length_m(f"{int(paces[1]) * PACE_M}", where, most_m=FARTHEST_CAMERA_M)
    assumed.append(f"distance {distance_m:.0f} m: {int(paces[1])} paces of {PACE_M} m")
    return distance_m


def _angle_deg(text: str, where: str) -> float:
    # short of straight up or down, where no distance gives a height
    return read_angle(text, where=where, low_deg=-89.0, high_deg=89.0)


# ---------------------------------------------------------------- place


def _subject_place(
    stood: Place,
    subject_at: Place | None,
    bearing: Bearing | None,
    distance_m: float | None,
    written: Written,
    assumed: list[str],
) -> Place:
    from backbearing.places.geodesy import offset

    if subject_at is not None:
        return subject_at
    if bearing is not None and distance_m is not None:
        by = "taped" if written.measured == "taped" else "paced"
        if not written.measured:
            assumed.append("distance taken as paced (± a tenth)")
        return offset(stood, bearing, distance_m, distance_by=by)  # type: ignore[arg-type]
    if distance_m is not None:
        assumed.append(
            f"no bearing: the subject is somewhere within {distance_m:g} m of where you stood"
        )
        return replace(
            stood,
            error_m=math.hypot(stood.error_m, distance_m),
            error_basis=f"{stood.error_basis}, and {distance_m:g} m in an unrecorded direction",
        )
    if written.from_camera:
        assumed.append(
            "no distance: the subject is put where the camera stood, "
            "and its error does not count how far off it is"
        )
    return stood


# ---------------------------------------------------------------- size


def tall_from_angles_m(
    distance_m: float, top_deg: float, foot_deg: float, measured: str = ""
) -> tuple[float, float]:
    """Answer how tall a thing is from its distance and two angles: (height [m], ± [m], 95 %).

    distance_m: level distance to it. Plane trigonometry (sketch above).
    Raises BadInput where the top does not lie above the foot.
    """
    from backbearing.places.geodesy import DISTANCE_ERROR

    top, foot = math.radians(top_deg), math.radians(foot_deg)
    rise = math.tan(top) - math.tan(foot)
    if rise <= 0:
        raise BadInput(
            f"the top at {top_deg:g}° does not lie above the foot at {foot_deg:g}°",
            where="top",
            remedy="give angles below eye level a minus",
        )
    share = DISTANCE_ERROR["taped" if measured == "taped" else "paced"]
    angle = math.radians(ANGLE_ERROR_DEG) * distance_m
    error_m = math.hypot(
        share * distance_m * rise, angle / math.cos(top) ** 2, angle / math.cos(foot) ** 2
    )
    return distance_m * rise, error_m


def _tall(
    given_m: float | None,
    from_angles: tuple[float, float] | None,
    top_deg: float | None,
    foot_deg: float | None,
    distance_m: float | None,
    assumed: list[str],
) -> float | None:
    if from_angles is None:
        if (top_deg is not None or foot_deg is not None) and given_m is None:
            missing = [
                name
                for name, value in (
                    ("the angle to the top", top_deg),
                    ("the angle to the foot", foot_deg),
                    ("the distance", distance_m),
                )
                if value is None
            ]
            if missing:
                assumed.append(f"height not worked out: {' and '.join(missing)} not known")
        return given_m
    tall_m, error_m = from_angles
    by_angles = f"{tall_m:.1f} m ± {error_m:.1f} m from the angles {top_deg:g}° and {foot_deg:g}°"
    if given_m is None:
        assumed.append(f"height {by_angles} at {distance_m:g} m")
        return round(tall_m, 2)
    if abs(given_m - tall_m) > error_m:
        assumed.append(f"height {given_m:g} m as given, though it is {by_angles}")
    return given_m
