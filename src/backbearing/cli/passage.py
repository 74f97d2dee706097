"""`passage`: bridges, fords, gaps and steps, and what was found there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from backbearing.cli.frame import Session, SignedPlace, emit, json_option, pass_session, say

if TYPE_CHECKING:
    from backbearing.plans.passages import PassageAnswer
    from backbearing.records import PassageCause, PassageKind, PassageState

_CAUSES = ["wall", "water", "snow", "windfall", "ran out of time"]

_cause = click.option("--cause", type=click.Choice(_CAUSES), help="What stood in the way.")
_side = click.option(
    "--side", default="", metavar="TEXT", help="From where it was looked at, as 'the north'."
)
_on = click.option("--on", metavar="DAY", help="The day it was found so. Default: today.")
_note = click.option("--note", default="", metavar="TEXT")


@click.group(name="passage")
def command() -> None:
    """Keep where a way goes or does not go: bridges, fords, gaps and steps.

    'way' crosses water at passages likely to be open, and says when another is worth a look.
    Only a wall stays closed; what else was found loses weight with the days.

    \b
    Example:
      backbearing passage add "plank bridge" "47.0062 N 20.9890 W" --kind bridge
      backbearing passage try "plank bridge" --found "looked blocked" --cause windfall
      backbearing passage list "plank bridge"
    """


@command.command(name="add", cls=SignedPlace)
@click.argument("name")
@click.argument("place")
@click.option("--kind", type=click.Choice(["bridge", "ford", "gap", "step"]), required=True)
@click.option(
    "--state",
    type=click.Choice(["open", "blocked", "looked blocked", "unknown"]),
    help="How it was found; 'looked blocked' where it was not tried.",
)
@_cause
@_side
@_on
@_note
@json_option
@pass_session
def add(
    session: Session,
    name: str,
    place: str,
    kind: PassageKind,
    state: PassageState | None,
    cause: PassageCause | None,
    side: str,
    on: str | None,
    note: str,
    as_json: bool,
) -> None:
    """Put the passage NAME at PLACE on record.

    PLACE is a coordinate, a name on record, a waypoint, a time on a track, or an offset of these.

    \b
    Example:
      backbearing passage add "upper ford" "47.0084 N 20.9848 W" --kind ford --state open
    """
    from datetime import UTC, datetime

    from backbearing.plans.passages import add_passage
    from backbearing.plans.periods import today_there

    with session.open(create=True) as notebook:
        answer = add_passage(
            notebook,
            name,
            place,
            kind=kind,
            state=state,
            cause=cause or "",
            side=side,
            on=on,
            note=note,
            today=today_there(notebook, datetime.now(UTC)),
        )
    _emit(as_json, answer)


@command.command(name="try")
@click.argument("name")
@click.option(
    "--found",
    type=click.Choice(["open", "blocked", "looked blocked", "unknown"]),
    required=True,
    help="'looked blocked' where it was not tried.",
)
@_cause
@_side
@_on
@_note
@json_option
@pass_session
def try_(
    session: Session,
    name: str,
    found: PassageState,
    cause: PassageCause | None,
    side: str,
    on: str | None,
    note: str,
    as_json: bool,
) -> None:
    """Write down what was found at the passage NAME; what was found before stays.

    \b
    Example:
      backbearing passage try "the gap" --found open --note "the pines are cut"
    """
    from datetime import UTC, datetime

    from backbearing.plans.passages import try_passage
    from backbearing.plans.periods import today_there

    with session.open() as notebook:
        answer = try_passage(
            notebook,
            name,
            found=found,
            cause=cause or "",
            side=side,
            on=on,
            note=note,
            today=today_there(notebook, datetime.now(UTC)),
        )
    _emit(as_json, answer)


@command.command(name="list")
@click.argument("name", required=False)
@click.option("--near", metavar="PLACE", help="Only passages near a place, nearest first.")
@click.option("--within", metavar="LENGTH", help="How near. Default: 2 km.")
@click.option("--date", "day", metavar="DAY", help="The day of the chances. Default: today.")
@json_option
@pass_session
def list_(
    session: Session,
    name: str | None,
    near: str | None,
    within: str | None,
    day: str | None,
    as_json: bool,
) -> None:
    """List passages with their chance of being open; with NAME, all that was found there.

    \b
    Example:
      backbearing passage list
      backbearing passage list "the gap"
      backbearing passage list --near "winding house" --within 1km
    """
    from datetime import UTC, datetime

    from backbearing.places.lengths import read_length
    from backbearing.places.words import metres_text
    from backbearing.plans.passages import passages_on_record
    from backbearing.plans.periods import read_coming_day, today_there

    within_m = None if within is None else read_length(within, where="--within")
    with session.open(readonly=True) as notebook:
        today = today_there(notebook, datetime.now(UTC))
        answer = passages_on_record(
            notebook,
            name,
            near=near,
            within_m=within_m,
            on=today if day is None else read_coming_day(day, today=today, where="--date"),
        )
    if not answer.passages and not as_json:
        where = (
            f" within {metres_text(answer.within_m or 0.0)} of {answer.near}" if answer.near else ""
        )
        say(f"no passages on record{where}; 'backbearing passage add' puts one there")
    _emit(as_json, answer)


def _emit(as_json: bool, answer: PassageAnswer) -> None:
    from backbearing.writers.passages import passages_text
    from backbearing.writers.plain import plain

    emit(as_json, lambda: plain(answer), lambda: passages_text(answer))
