"""`mark`: put a subject on record, or a further camera position of one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session
from backbearing.records import POSITION_ERROR_M, SUBJECT_STATES, SkyOpenness, SubjectState

F = TypeVar("F", bound=Callable[..., Any])

MEASURED = (
    ("--bearing", "215M", "Bearing from the camera to the subject, true (T) or magnetic (M)."),
    ("--bearing-error", "DEGREES", "Its error, where it is not the instrument's."),
    ("--distance", "8m", "Level distance from the camera to the subject; it is moved by it."),
    ("--top", "38", "Angle to the subject's top from the camera, degrees above level."),
    ("--foot", "-6", "Angle to its foot, below level with a minus."),
    ("--left", "190M", "Bearing of its left edge."),
    ("--right", "240M", "Bearing of its right edge."),
    ("--tall", "10m", "How tall it is; worked out from the angles and distance where not given."),
    ("--wide", "4m", "How wide it is; worked out from the edges and distance where not given."),
    ("--facing", "35", "The true azimuth its face looks to; its back bearing may stand in."),
)
SAID = (
    ("--words", "TEXT", "Three words for it."),
    ("--blocked", "TEXT", "What stopped me."),
    ("--next-time", "TEXT", "What to change next time."),
    ("--note", "TEXT", "A remark, kept as it is."),
)


def _texts(options: tuple[tuple[str, str, str], ...]) -> Callable[[F], F]:
    """Options that take a text as it is written, from (flag, what stands for it, help)."""

    def add(function: F) -> F:
        for flag, metavar, line in reversed(options):
            function = click.option(flag, metavar=metavar, default="", help=line)(function)
        return function

    return add


@click.command(name="mark")
@click.argument("name")
@click.option("--at", "at", metavar="PLACE", required=True, help="Where you stood, as above.")
@click.option("--sky", type=click.Choice(list(POSITION_ERROR_M)), help="How open the sky was.")
@click.option("--error", metavar="40m", help="Radius that holds the true place 95 times in 100.")
@click.option("--subject-at", metavar="PLACE", help="The subject's own place, where known apart.")
@click.option(
    "--camera-position", metavar="CAMERA", help="Add one of this name to a subject on record."
)
@_texts(MEASURED)
@click.option(
    "--instrument",
    type=click.Choice(["sighting compass", "baseplate", "phone"]),
    help="What the bearings were taken with; by either compass, bare figures are magnetic. "
    "Default: the error of a sighting compass, and bare figures true.",
)
@click.option("--measured", type=click.Choice(["taped", "paced"]), help="How the distance was.")
@click.option("--sighting", metavar='"KNOLL 300M"', multiple=True, help="A bearing to a far thing.")
@click.option("--state", type=click.Choice(SUBJECT_STATES), help="Default: seen.")
@click.option(
    "--at-water",
    is_flag=True,
    help="It stands at the water: its skyline is that of the lowest ground within its error.",
)
@click.option("--date", "day", metavar="DAY", help="Day of the record, as 2026-03-14.")
@_texts(SAID)
@json_option
@pass_session
def command(
    session: Session,
    /,
    name: str,
    at: str,
    sky: SkyOpenness | None,
    error: str | None,
    subject_at: str | None,
    camera_position: str | None,
    state: SubjectState | None,
    at_water: bool,
    day: str | None,
    as_json: bool,
    **texts: Any,
) -> None:
    """Put the subject NAME on record at PLACE, with what is known of it.

    PLACE is a coordinate, a subject's name, a waypoint ('wpt 012'), a time on a track
    ('track 3 at 14:32'), or any of these and an offset ('wpt 012 + 215M 8m').

    With a bearing, a distance or angles, PLACE is where the camera stands. A bearing and a
    distance move the subject from there; a bearing alone leaves it there and says so.
    Otherwise PLACE is the subject itself.

    \b
    Example, a subject and a second place to see it from:
      backbearing mark "boiler" --at "47.0071 N 20.9853 W" --sky walls \\
          --bearing 215M --distance 12m --measured taped --top 38 --foot -6 \\
          --words "rusted through" --next-time "come before noon"
      backbearing mark "boiler" --camera-position "from the leat" \\
          --at "47.0073 N 20.9852 W" --bearing 212M
    """
    from backbearing.plans.marking import mark_as_written
    from backbearing.writers.marking import mark_text
    from backbearing.writers.plain import plain

    with session.open(create=True) as notebook:
        answer = mark_as_written(
            notebook,
            name,
            at,
            sky=sky,
            error=error,
            subject_at=subject_at,
            camera_position=camera_position,
            state=state,
            at_water=at_water,
            day=day,
            **texts,
        )
    emit(as_json, lambda: plain(answer), lambda: mark_text(answer))
