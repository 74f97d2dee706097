"""An outing as it is asked for in words; the notebook's settings fill in what is not typed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from math import log
from typing import TYPE_CHECKING, Any

from backbearing.errors import BadInput
from backbearing.places.clocks import read_clock
from backbearing.places.lengths import read_duration_s
from backbearing.places.zones import local
from backbearing.plans.approach import Going
from backbearing.plans.approach.asked import refuse_far
from backbearing.plans.locate import locate
from backbearing.plans.outing.clocks import Question
from backbearing.plans.outing.day import (
    A_PLATE_S,
    DARK_CLOTH_SET_UP_S,
    PACK_S,
    PARK_S,
    SET_UP_S,
    Needs,
)
from backbearing.plans.outing.plan import other_days, outing
from backbearing.plans.periods import read_coming_day
from backbearing.plans.settings import drive_setting, park_setting, start_setting, zone_at
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date, datetime

    from backbearing.models.walking import Snow
    from backbearing.notebook import Notebook
    from backbearing.plans.expose.seconds import Setup
    from backbearing.plans.locate import Located
    from backbearing.plans.outing.answer import OutingAnswer
    from backbearing.records import Lens

USUAL_F = 16.0
LONGEST = timedelta(hours=24)


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedDay:
    """What is done at a subject and how one goes there, as options of the command line.

    batch: None takes the only one, else that of which most plates are loaded; without one no
    seconds are told.
    """

    set_up: str | None = None
    dark_cloth: bool = False
    plates: int | None = None
    a_plate: str | None = None
    exposure: str | None = None
    batch: str | None = None
    aperture: str | None = None
    pack: str | None = None
    margin: str | None = None
    pace: str | None = None
    snow: Snow = "none"
    load_kg: float = 0.0
    steepest_deg: float = 40.0
    steep_snow: bool = False
    wade: bool = False

    def needs(self, *, plates: int) -> Needs:
        """What is done there and kept in hand; so many plates unless told. Raises BadInput."""
        set_up_s = DARK_CLOTH_SET_UP_S if self.dark_cloth else SET_UP_S
        return Needs(
            set_up_s=set_up_s if self.set_up is None else span_s(self.set_up, "--set-up"),
            plates=plates if self.plates is None else self.plates,
            a_plate_s=A_PLATE_S if self.a_plate is None else span_s(self.a_plate, "--a-plate"),
            exposure_s=None if self.exposure is None else span_s(self.exposure, "--exposure"),
            pack_s=PACK_S if self.pack is None else span_s(self.pack, "--pack"),
            margin_s=None if self.margin is None else span_s(self.margin, "--margin"),
        )

    @property
    def going(self) -> Going:
        """How one goes."""
        return Going(
            snow=self.snow,
            load_kg=self.load_kg,
            steepest_deg=self.steepest_deg,
            steep_snow=self.steep_snow,
            wade=self.wade,
        )


def ask_outing(
    notebook: Notebook,
    name: str,
    *,
    now: datetime,
    progress: Callable[[str], None] | None = None,
    **typed: Any,
) -> OutingAnswer:
    """Read what was typed, then plan the outing (see `plans.outing.plan.outing`).

    typed: start, day, number, drive, park, leave and back_by as the command line has them, None for
    what is not said, and the fields of `TypedDay`. A start, drive and time to park that are not
    said are the notebook's settings of these names. All times of day are on the clock at the
    subject. Raises BadInput naming the option, and NotFound, as the readers do.
    """
    question = _question(notebook, name, now=now, **typed)
    return outing(notebook, name, question, now=now, progress=progress)


def ask_other_days(
    notebook: Notebook,
    name: str,
    days: Sequence[date],
    *,
    now: datetime,
    progress: Callable[[str], None] | None = None,
    **typed: Any,
) -> list[OutingAnswer]:
    """Read what was typed as `ask_outing` does, then plan the same on other days.

    days: one at least. See `plans.outing.plan.other_days`.
    """
    question = replace(_question(notebook, name, now=now, **typed), day=days[0])
    return other_days(notebook, name, question, days, now=now, progress=progress)


def _question(
    notebook: Notebook,
    name: str,
    *,
    now: datetime,
    start: str | None = None,
    day: str | None = None,
    number: int | None = None,
    drive: str | None = None,
    park: str | None = None,
    leave: str | None = None,
    back_by: str | None = None,
    **typed: Any,
) -> Question:
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    begin = starting_place(notebook, start)
    refuse_far(begin.place, subject.place, begin.name, subject.name)
    zone = zone_at(notebook, subject.place)
    today = local(now, zone).date()
    asked = TypedDay(**typed)
    setup, lens = camera_setup(notebook, asked.batch, asked.aperture)
    return Question(
        start=begin.place,
        start_name=begin.name,
        day=None if day is None else read_coming_day(day, today=today, where="--date"),
        number=number,
        needs=replace(
            asked.needs(plates=2),
            drive_s=driving_s(notebook, drive),
            park_s=parking_s(notebook, park),
            leave=None if leave is None else read_clock(leave, where="--leave"),
            back_by=None if back_by is None else read_clock(back_by, where="--back-by"),
        ),
        going=asked.going,
        pace=asked.pace,
        setup=setup,
        lens=lens,
    )


def starting_place(notebook: Notebook, start: str | None) -> Located:
    """Where a walk begins: the place typed, else the notebook's setting.

    Raises BadInput where there is neither, and as `locate` does.
    """
    written = start if start is not None else start_setting(notebook)
    if written is None:
        raise BadInput(
            say("no start is given"),
            where="--start",
            remedy=say(
                "name where the walk begins, or keep it with 'backbearing setting start PLACE'"
            ),
        )
    return locate(notebook, written)


def driving_s(notebook: Notebook, drive: str | None) -> float | None:
    """How long the drive to the start takes: as typed, else the notebook's setting."""
    written = drive if drive is not None else drive_setting(notebook)
    return None if written is None else span_s(written, "--drive")


def parking_s(notebook: Notebook, park: str | None) -> float:
    """How long from the end of the drive until one walks: as typed, else set, else the usual."""
    written = park if park is not None else park_setting(notebook)
    return PARK_S if written is None else span_s(written, "--park")


def span_s(text: str, where: str) -> float:
    """A span of less than a day. Raises BadInput."""
    seconds = read_duration_s(text, where=where)
    if seconds > LONGEST.total_seconds():
        raise BadInput(
            say("that is longer than a day"), where=where, remedy=say("give less than 24 h")
        )
    return seconds


def camera_setup(
    notebook: Notebook, batch: str | None, aperture: str | None
) -> tuple[Setup | None, Lens | None]:
    """What the camera is set to, and the lens whose bellows count; no setup without a batch.

    A batch that is not named is chosen as `expose` does, lens and aperture as on the page: the
    first lens on record, its mark nearest to f/16. Raises BadInput and NotFound for what
    was typed amiss, an aperture with no batch to use it for among that.
    """
    from backbearing.notebook.kit import load_kit
    from backbearing.places.apertures import f_number
    from backbearing.plans.expose.choosing import batch_to_use, choose_batch
    from backbearing.plans.expose.seconds import setup

    if batch is None and aperture is None:
        taken = choose_batch(notebook, None).batch
    else:
        taken = batch_to_use(notebook, batch)
    if taken is None:
        return None, None
    lens = next(iter(load_kit(notebook).lenses), None)
    if aperture is not None:
        f = f_number(aperture, None, where="--aperture").f_number
    else:
        marks = [mark.f_number for mark in lens.apertures] if lens is not None else []
        f = min(marks, key=lambda each: abs(log(each / USUAL_F)), default=USUAL_F)
    try:
        return setup(taken, f), lens
    except BadInput:
        if batch is None and aperture is None:  # a speed or table that will not do: `expose` says
            return None, lens
        raise
