"""Edges measured by hand, and the trees around a subject: put on record, listed, taken back."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, cast

from backbearing.errors import BadFile, BadInput, quoted
from backbearing.places.bearings import Instrument, read_bearing
from backbearing.places.lengths import read_angle, read_length
from backbearing.places.zones import day_bounds, zone_name
from backbearing.plans.settings import zone_setting
from backbearing.records import EdgeReading, ReadingEffect, Subject, Trees

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from backbearing.notebook import Notebook
    from backbearing.readers.readings import WrittenReading

CLINOMETER_ERROR_DEG = 0.5  # 95 %; common practice, no source
PHONE_ANGLE_ERROR_DEG = 1.5  # its level sensor, held at arm's length; common practice, no source
TALLEST_TREE_M = 120.0
FARTHEST_TREE_M = 10_000.0
_NORTHERN_LEAF_MONTHS = (5, 6, 7, 8, 9, 10)
_FURTHEST_UP_DEG = 89.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsAnswer:
    """The readings of a subject's skyline, those just added, and its trees."""

    subject: str
    added: tuple[EdgeReading, ...]
    readings: tuple[EdgeReading, ...]  # all on record, by azimuth
    trees: Trees | None
    assumed: tuple[str, ...]


def add_readings(
    notebook: Notebook,
    name: str,
    typed: Sequence[str],
    *,
    table: Path | None = None,
    instrument: str | None = None,
    angle_error: str | None = None,
    effect: ReadingEffect = "raises",
    note: str = "",
    on: date | None = None,
    today: date,
) -> ReadingsAnswer:
    """Put readings of a subject's skyline on record, all of them or none.

    typed: azimuth and angle, as '215M 12'. table: a file of them. instrument: what the azimuths
    were taken with. on: the day of the readings, for the declination; default today.
    Raises NotFound for an unknown subject, BadInput for what cannot be read.
    """
    from backbearing.notebook.subjects import find_subject
    from backbearing.notebook.surroundings import add_reading

    written = [*map(_typed, typed), *(_of_table(table) if table is not None else ())]
    if not written:
        raise BadInput("no reading is given", where="reading", remedy="write it as '215M 12'")
    error_deg = PHONE_ANGLE_ERROR_DEG if instrument == "phone" else CLINOMETER_ERROR_DEG
    assumed = [f"angles ± {error_deg:g}° ({'phone' if instrument == 'phone' else 'clinometer'})"]
    if angle_error is not None:
        error_deg = read_angle(angle_error, where="--angle-error", low_deg=0.0, high_deg=45.0)
        assumed = []
    day = on or today
    with notebook.writing():
        subject = find_subject(notebook, name)
        zone = zone_name(
            subject.place.latitude_deg, subject.place.longitude_deg, zone_setting(notebook)
        )
        taken_at = day_bounds(day, zone)[0].replace(tzinfo=UTC) if on else datetime.now(UTC)
        added = []
        for each in written:
            reading = _reading(each, subject, day, instrument, error_deg, effect)
            reading = replace(reading, taken_at=taken_at, note=reading.note or note)
            added.append(add_reading(notebook, reading, subject.place))
    assumed += dict.fromkeys(
        f"azimuths: {each.azimuth.basis.replace('assumed: ', '')}"
        for each in added
        if each.azimuth.basis != "given"
    )
    if any(each.azimuth.declination_deg is not None for each in added):
        assumed.append(f"declination of {day.isoformat()}; --date names another day")
    return replace(readings_of(notebook, subject.name), added=tuple(added), assumed=tuple(assumed))


def readings_of(notebook: Notebook, name: str) -> ReadingsAnswer:
    """Which readings of a subject's skyline are on record, and which trees?

    Raises NotFound for an unknown subject.
    """
    from backbearing.notebook.subjects import find_subject
    from backbearing.notebook.surroundings import list_readings, list_trees

    subject = find_subject(notebook, name)
    return ReadingsAnswer(
        subject=subject.name,
        added=(),
        readings=tuple(list_readings(notebook, subject.id)),
        trees=next(iter(list_trees(notebook, subject.id)), None),
        assumed=(),
    )


def drop_reading(notebook: Notebook, number: int) -> ReadingsAnswer:
    """Move a reading to the bin by its number; what is left. Raises NotFound for no such one."""
    from backbearing.notebook.bin import discard
    from backbearing.notebook.subjects import list_subjects
    from backbearing.notebook.surroundings import list_readings

    with notebook.writing():
        found = next((each for each in list_readings(notebook) if each.id == number), None)
        discard(notebook, "reading", number)
        named = {each.id: each.name for each in list_subjects(notebook)}
    name = named.get(found.subject_id) if found is not None else None
    if name is None:
        return ReadingsAnswer(subject="", added=(), readings=(), trees=None, assumed=())
    return readings_of(notebook, name)


def put_trees(
    notebook: Notebook,
    name: str,
    *,
    tall: str,
    beyond: str,
    leaf: str | None = None,
    evergreen: bool = False,
    note: str = "",
) -> ReadingsAnswer:
    """Say which trees stand around a subject, in place of what was said before.

    leaf: the months in which they let no sun through, as 'May-Oct'; default May to October, and
    six months on in the southern half of the world. Raises NotFound, and BadInput for what
    cannot be read, or leaves on evergreens.
    """
    from backbearing.notebook.subjects import find_subject
    from backbearing.notebook.surroundings import set_trees
    from backbearing.plans.wanted import read_months

    if evergreen and leaf is not None:
        raise BadInput("evergreens are in leaf in every month", where="--leaf")
    tall_m = read_length(tall, where="--tall", most_m=TALLEST_TREE_M)
    beyond_m = read_length(beyond, where="--beyond", most_m=FARTHEST_TREE_M)
    if tall_m < 0.1:
        raise BadInput("trees need a height", where="--tall", remedy="'trees NAME --none' for none")
    assumed: list[str] = []
    with notebook.writing():
        subject = find_subject(notebook, name)
        months: tuple[int, ...] = ()
        if leaf is not None:
            months = read_months(leaf, "--leaf")
        elif not evergreen:
            south = subject.place.latitude_deg < 0.0
            months = tuple(sorted((m + 5) % 12 + 1 if south else m for m in _NORTHERN_LEAF_MONTHS))
            assumed.append(f"in leaf from {'November to April' if south else 'May to October'}")
        trees = Trees(
            tall_m=tall_m,
            beyond_m=beyond_m,
            leaf_months=months,
            evergreen=evergreen,
            note=note,
            subject_id=subject.id,
        )
        set_trees(notebook, subject.id, trees)
    return replace(readings_of(notebook, subject.name), assumed=tuple(assumed))


def no_trees(notebook: Notebook, name: str) -> ReadingsAnswer:
    """Take a subject's trees off the record. Raises NotFound for an unknown subject."""
    from backbearing.notebook.subjects import find_subject
    from backbearing.notebook.surroundings import set_trees

    with notebook.writing():
        subject = find_subject(notebook, name)
        set_trees(notebook, subject.id, None)
    return readings_of(notebook, subject.name)


def _typed(text: str) -> WrittenReading:
    from backbearing.readers.readings import WrittenReading

    azimuth, _, angle = text.strip().replace(",", " ").rpartition(" ")
    if not azimuth.strip():
        raise BadInput(
            f"{quoted(text)} is no reading", where="reading", remedy="write it as '215M 12'"
        )
    return WrittenReading(azimuth=azimuth.strip(), angle=angle, note="", where="reading")


def _of_table(path: Path) -> tuple[WrittenReading, ...]:
    from backbearing.readers.readings import MOST_BYTES, read_readings

    try:
        if not path.is_file():
            raise BadFile("is not a file that can be read", path=path)
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise BadFile(f"cannot be read ({error.strerror})", path=path) from error
    return read_readings(content, path=path.name)


def _reading(
    written: WrittenReading,
    subject: Subject,
    day: date,
    instrument: str | None,
    error_deg: float,
    effect: ReadingEffect,
) -> EdgeReading:
    place = subject.place
    azimuth = read_bearing(
        written.azimuth,
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        height_m=place.height_m,
        on=day,
        instrument=cast("Instrument | None", instrument),
        where=written.where,
    )
    return EdgeReading(
        azimuth=azimuth,
        altitude_deg=_angle_deg(written.angle, written.where),
        altitude_error_deg=error_deg,
        effect=effect,
        note=written.note,
        subject_id=subject.id,
    )


def _angle_deg(text: str, where: str) -> float:
    """'12', '-3°' in degrees; '21 %' as a clinometer's other scale has it."""
    if text.strip().endswith("%"):
        share = read_angle(text.strip()[:-1].strip(), where=where, low_deg=-5000.0, high_deg=5000.0)
        return round(math.degrees(math.atan(share / 100.0)), 3)
    return read_angle(text, where=where, low_deg=-_FURTHEST_UP_DEG, high_deg=_FURTHEST_UP_DEG)
