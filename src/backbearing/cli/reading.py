"""`reading`: edges of a skyline measured by hand, put on record and listed."""

from __future__ import annotations

from pathlib import Path

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session


@click.group(name="reading")
def command() -> None:
    """Put edges measured with compass and clinometer on record; they go into the skyline.

    Two readings no more than 15° apart are taken as one straight edge; beyond that a reading
    speaks for 3° to either side. 'skyline NAME --measure' says which are worth taking.

    \b
    Example:
      backbearing reading add "winding house" "215M 12" "220M 14.5"
      backbearing reading list "winding house"
    """


@command.command(name="add")
@click.argument("name")
@click.argument("readings", nargs=-1, metavar='["215M 12"]...')
@click.option(
    "--file",
    "table",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="CSV",
    help="A table of azimuth, angle and, if you like, a note.",
)
@click.option(
    "--instrument",
    type=click.Choice(["sighting compass", "baseplate", "phone"]),
    help="What took the azimuths; by either compass, bare figures are magnetic. "
    "Default: the error of a sighting compass, and bare figures true.",
)
@click.option("--angle-error", metavar="DEGREES", help="Of the angles; default 0.5, a phone's 1.5.")
@click.option(
    "--replaces",
    is_flag=True,
    help="They rule even where the terrain stands higher. Default: the higher of both.",
)
@click.option("--note", metavar="TEXT", default="", help="What stands there.")
@click.option("--date", "day", metavar="DAY", help="The day they were taken. Default: today.")
@json_option
@pass_session
def add(
    session: Session,
    name: str,
    readings: tuple[str, ...],
    table: Path | None,
    instrument: str | None,
    angle_error: str | None,
    replaces: bool,
    note: str,
    day: str | None,
    as_json: bool,
) -> None:
    """Add readings taken at the subject NAME: azimuth (T or M) and angle above level.

    The angle is in degrees, or with a % as a clinometer's other scale has it. All are added or
    none. Never point an eye or any glass at the sun.

    \b
    Example:
      backbearing reading add "winding house" "215M 12" "220M 14.5" --note "spoil heap"
      backbearing reading add "winding house" --file readings.csv --instrument "sighting compass"
    """
    from datetime import UTC, datetime

    from backbearing.places.clocks import read_day
    from backbearing.plans.readings import add_readings
    from backbearing.writers.plain import plain
    from backbearing.writers.readings import readings_text

    today = datetime.now(UTC).astimezone().date()
    with session.open() as notebook:
        answer = add_readings(
            notebook,
            name,
            readings,
            table=table,
            instrument=instrument,
            angle_error=angle_error,
            effect="replaces" if replaces else "raises",
            note=note,
            on=None if day is None else read_day(day, latest=today, where="--date"),
            today=today,
        )
    emit(as_json, lambda: plain(answer), lambda: readings_text(answer))


@command.command(name="list")
@click.argument("name")
@json_option
@pass_session
def list_(session: Session, name: str, as_json: bool) -> None:
    """List the readings taken at the subject NAME; 'reading drop NO' takes one back.

    \b
    Example:
      backbearing reading list "winding house"
    """
    from backbearing.plans.readings import readings_of
    from backbearing.writers.plain import plain
    from backbearing.writers.readings import readings_text

    with session.open() as notebook:
        answer = readings_of(notebook, name)
    emit(as_json, lambda: plain(answer), lambda: readings_text(answer))


@command.command(name="drop")
@click.argument("number", type=int)
@json_option
@pass_session
def drop(session: Session, number: int, as_json: bool) -> None:
    """Move the reading of that NUMBER to the bin; 'restore' brings it back.

    \b
    Example:
      backbearing reading drop 3
    """
    from backbearing.plans.readings import drop_reading
    from backbearing.writers.plain import plain
    from backbearing.writers.readings import readings_text

    with session.open() as notebook:
        answer = drop_reading(notebook, number)
    emit(as_json, lambda: plain(answer), lambda: readings_text(answer))
