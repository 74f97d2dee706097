"""`edit`: change what is on record of a subject."""

from __future__ import annotations

from typing import Any

import click

from backbearing.cli.frame import Session, pass_session
from backbearing.records import POSITION_ERROR_M, SUBJECT_STATES

INSTRUMENTS = ("sighting compass", "baseplate", "phone")


@click.command(name="edit")
@click.argument("subject", metavar="NAME")
@click.option("--name", metavar="NEW", help="A new name.")
@click.option("--state", type=click.Choice(SUBJECT_STATES), help="Its state.")
@click.option("--at", metavar="PLACE", help="Where the subject is.")
@click.option("--error", metavar="LENGTH", help="95 % radius of its position, as 15m.")
@click.option("--sky", type=click.Choice(list(POSITION_ERROR_M)), help="How open the sky was.")
@click.option("--words", metavar="TEXT", help="What it is, in a few words.")
@click.option("--tall", metavar="LENGTH", help="Its height.")
@click.option("--wide", metavar="LENGTH", help="Its width.")
@click.option("--facing", metavar="BEARING", help="The way its face looks.")
@click.option(
    "--at-water/--not-at-water",
    default=None,
    help="Whether it stands at the water: on the lowest ground within its error.",
)
@click.option("--blocked", metavar="TEXT", help="What stopped me; '' when nothing does any more.")
@click.option("--next-time", metavar="TEXT", help="What to change; '' when done.")
@click.option("--camera-position", metavar="NAME", help="Which one, where there are several.")
@click.option("--camera-at", metavar="PLACE", help="Where the camera stands.")
@click.option(
    "--bearing",
    metavar="BEARING",
    help="Camera to subject, 215M or 215T.",
)
@click.option(
    "--instrument",
    type=click.Choice(INSTRUMENTS),
    help="What took it; by a compass, a bare 215 is magnetic.",
)
@click.option("--bearing-error", metavar="DEGREES", help="Its error, if not the instrument's.")
@click.option("--distance", metavar="LENGTH", help="Camera to subject.")
@click.option("--measured", type=click.Choice(["taped", "paced"]), help="How the distance was.")
@click.option("--top", metavar="DEGREES", help="Angle to its top from the camera.")
@click.option("--foot", metavar="DEGREES", help="Angle to its foot from the camera.")
@click.option(
    "--date", "day", metavar="DAY", help="Day of a magnetic bearing. Default: the record's."
)
@pass_session
def command(session: Session, /, subject: str, day: str | None, **given: Any) -> None:
    """Change what is on record of the subject NAME: only what is given changes.

    'none' takes a measured value off the record. Where the subject's place was worked out from
    camera, bearing and distance, it moves along with them.

    \b
    Example:
      backbearing edit "winding house" --state scouted --blocked "river too high to ford"
      backbearing edit "winding house" --bearing 213M --distance 9m --date 2026-03-14
    """
    from datetime import UTC, datetime

    from backbearing.places.clocks import read_day
    from backbearing.plans.editing import Changes, edit
    from backbearing.writers.subjects import edit_text

    latest = datetime.now(UTC).astimezone().date()
    on = None if day is None else read_day(day, latest=latest, where="--date")
    with session.open() as notebook:
        answer = edit(notebook, subject, Changes(**given), on=on)
    print(edit_text(answer))
