"""`searched`: where a subject was looked for, and whether it was found."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session

if TYPE_CHECKING:
    from backbearing.records import LookLaw, LookSide


@click.command(name="searched")
@click.argument("subject")
@click.option("--track", type=int, metavar="NUMBER", help="The walk, by its number in 'tracks'.")
@click.option("--through", is_flag=True, help="Only walked through, not looking.")
@click.option(
    "--side",
    type=click.Choice(["left", "right", "both"]),
    help="Which side was looked through, along the line, where the track does not tell.",
)
@click.option(
    "--range",
    "range_text",
    metavar="LENGTHS",
    help="From how far it is just seen: 30m, or by ground, open=40m,trees=12m (water, rough). Kept "
    "with it; 15 m where none was ever given.",
)
@click.option(
    "--ahead",
    is_flag=True,
    help="Looked only the way you went, never back: what shows only from beyond stays unseen.",
)
@click.option("--snow", is_flag=True, help="Under snow, for a low thing: half as wide.")
@click.option(
    "--even",
    is_flag=True,
    help="Walked in even parallel strips (inverse-cube detection); else random search.",
)
@click.option("--along", metavar="LINE", help="The line the search is about.")
@click.option("--found", metavar="PLACE", help="Found: where it stands.")
@click.option("--anyway", is_flag=True, help="Found there, far off its place on record as it is.")
@click.option("--note", default="", metavar="TEXT")
@click.option("--drop", type=int, metavar="NUMBER", help="Take a look off the record.")
@json_option
@pass_session
def command(
    session: Session,
    subject: str,
    track: int | None,
    through: bool,
    side: LookSide | None,
    range_text: str | None,
    ahead: bool,
    snow: bool,
    even: bool,
    along: str | None,
    found: str | None,
    anyway: bool,
    note: str,
    drop: int | None,
    as_json: bool,
) -> None:
    """Keep a walk on which SUBJECT was looked for: not found, or found at a place.

    What was looked through counts less from then on; the chance that it is gone or elsewhere
    grows. With --found its position is mended and the clues are scored; --drop gives back the one
    before. Passages that the walk went through are on record as open that day. Without --track or
    --found: the looks on record.

    \b
    Example:
      backbearing searched "powder hut" --track 3 --range 20m
      backbearing searched "powder hut" --track 4 --range open=40m,trees=12m --ahead
      backbearing searched "powder hut" --track 5 --found "47.0005 N 21.0013 W"
      backbearing searched "powder hut" --drop 2
    """
    from datetime import UTC, datetime

    from backbearing.plans.periods import today_there
    from backbearing.plans.search.lookedfor import add_look, drop_look, looks_of
    from backbearing.writers.looks import look_json, look_text, looks_json, looks_text

    if anyway and found is None:
        raise click.UsageError("--anyway goes with --found")
    if drop is None and (track is not None or found is not None):
        law: LookLaw = "inverse cube" if even else "random"
        with session.open() as notebook:
            answer = add_look(
                notebook,
                subject,
                track=track,
                looking=not through,
                ahead=ahead,
                side=side or "",
                range_text=range_text,
                snow=snow,
                law=law,
                found=found,
                anyway=anyway,
                note=note,
                today=today_there(notebook, datetime.now(UTC)),
                along_name=along,
            )
        emit(as_json, lambda: look_json(answer), lambda: look_text(answer))
        return
    if any((through, side, range_text, ahead, snow, even, along, note, track, found)):
        raise click.UsageError(
            "which walk was it? say --track ('tracks' lists their numbers)"
            if drop is None
            else "--drop takes a look off the record, and nothing else"
        )
    with session.open(readonly=drop is None) as notebook:
        looks = looks_of(notebook, subject) if drop is None else drop_look(notebook, subject, drop)
    emit(as_json, lambda: looks_json(looks), lambda: looks_text(looks))
