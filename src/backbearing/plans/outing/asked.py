"""An outing as it is asked for in words; the notebook's settings fill in what is not typed."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, cast

from backbearing.errors import BadInput
from backbearing.places.clocks import read_clock
from backbearing.places.lengths import read_duration_s
from backbearing.places.zones import local
from backbearing.plans.approach import Going
from backbearing.plans.approach.asked import refuse_far
from backbearing.plans.locate import locate
from backbearing.plans.outing.day import DARK_CLOTH_SET_UP_S, SET_UP_S, Needs
from backbearing.plans.outing.plan import Question, outing
from backbearing.plans.periods import read_coming_day
from backbearing.plans.settings import drive_setting, start_setting, zone_at

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from backbearing.models.walking import Snow
    from backbearing.notebook import Notebook
    from backbearing.plans.expose.seconds import Setup
    from backbearing.plans.locate import Located
    from backbearing.plans.outing.answer import OutingAnswer

LONGEST = timedelta(hours=24)


def ask_outing(
    notebook: Notebook,
    name: str,
    *,
    now: datetime,
    start: str | None = None,
    day: str | None = None,
    number: int | None = None,
    drive: str | None = None,
    leave: str | None = None,
    back_by: str | None = None,
    set_up: str | None = None,
    dark_cloth: bool = False,
    plates: int = 2,
    exposure: str | None = None,
    batch: str | None = None,
    aperture: str | None = None,
    margin: str | None = None,
    pace: str | None = None,
    snow: str = "none",
    load_kg: float = 0.0,
    steepest_deg: float = 40.0,
    steep_snow: bool = False,
    wade: bool = False,
    progress: Callable[[str], None] | None = None,
) -> OutingAnswer:
    """Read what was typed, then plan the outing (see `plans.outing.plan.outing`).

    start, drive: None takes the notebook's settings of these names. All times of day are on the
    clock at the subject. Raises BadInput naming the option, and NotFound, as the readers do.
    """
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    begin = starting_place(notebook, start)
    refuse_far(begin.place, subject.place, begin.name, subject.name)
    zone = zone_at(notebook, subject.place)
    today = local(now, zone).date()
    set_up_s = DARK_CLOTH_SET_UP_S if dark_cloth else SET_UP_S
    return outing(
        notebook,
        name,
        Question(
            start=begin.place,
            start_name=begin.name,
            day=None if day is None else read_coming_day(day, today=today, where="--date"),
            number=number,
            needs=Needs(
                drive_s=driving_s(notebook, drive),
                leave=None if leave is None else read_clock(leave, where="--leave"),
                back_by=None if back_by is None else read_clock(back_by, where="--back-by"),
                set_up_s=set_up_s if set_up is None else _span_s(set_up, "--set-up"),
                plates=plates,
                exposure_s=None if exposure is None else _span_s(exposure, "--exposure"),
                margin_s=None if margin is None else _span_s(margin, "--margin"),
            ),
            going=Going(
                snow=cast("Snow", snow),
                load_kg=load_kg,
                steepest_deg=steepest_deg,
                steep_snow=steep_snow,
                wade=wade,
            ),
            pace=pace,
            setup=_setup(notebook, batch, aperture),
        ),
        now=now,
        progress=progress,
    )


def starting_place(notebook: Notebook, start: str | None) -> Located:
    """Where a walk begins: the place typed, else the notebook's setting.

    Raises BadInput where there is neither, and as `locate` does.
    """
    written = start if start is not None else start_setting(notebook)
    if written is None:
        raise BadInput(
            "no start is given",
            where="--start",
            remedy="name where the walk begins, or keep it with 'backbearing setting start PLACE'",
        )
    return locate(notebook, written)


def driving_s(notebook: Notebook, drive: str | None) -> float | None:
    """How long the drive to the start takes: as typed, else the notebook's setting."""
    written = drive if drive is not None else drive_setting(notebook)
    return None if written is None else _span_s(written, "--drive")


def _span_s(text: str, where: str) -> float:
    seconds = read_duration_s(text, where=where)
    if seconds > LONGEST.total_seconds():
        raise BadInput("that is longer than a day", where=where, remedy="give less than 24 h")
    return seconds


def _setup(notebook: Notebook, batch: str | None, aperture: str | None) -> Setup | None:
    """What the camera is set to, where a batch is named; an aperture alone takes the only batch."""
    if batch is None and aperture is None:
        return None
    from backbearing.places.apertures import f_number
    from backbearing.plans.expose.choosing import batch_to_use
    from backbearing.plans.expose.seconds import setup

    taken = batch_to_use(notebook, batch)
    assert taken is not None  # noqa: S101 - `needed` has raised
    return setup(taken, f_number(aperture or "16", None, where="--aperture").f_number)
