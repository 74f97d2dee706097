"""`sun`: where the sun stands at a place, and its day."""

from __future__ import annotations

from contextlib import ExitStack

import click

from backbearing.cli.frame import Session, SignedPlace, emit, json_option, pass_session


@click.command(name="sun", cls=SignedPlace)
@click.argument("place")
@click.option("--date", "day", metavar="DAY", help="The day, as 2026-03-14. Default: today.")
@click.option(
    "--time",
    "--at",
    "clock",
    metavar="TIME",
    help="One instant instead of the day: a clock time there, as 14:32, a day and a clock time, "
    "as '2026-12-05 14:00', the same with a zone, as 2026-12-05T15:00Z, or 'now'.",
)
@json_option
@pass_session
def command(
    session: Session, place: str, day: str | None, clock: str | None, as_json: bool
) -> None:
    """Say where the sun stands at PLACE: its whole day, or one instant with --time.

    PLACE is a subject's name, a coordinate, a waypoint or a time on a track. Clock times are
    those of the place. Where terrain on record reaches, the skyline says when the sun is on it
    (first and last sun, with --at since when); elsewhere the horizon is taken as flat.

    \b
    Example:
      backbearing sun "47.0123 N 21.0456 W" --date 2026-03-14
      backbearing sun "47.0123 N 21.0456 W" --time "2026-03-14 16:40"
    """
    from datetime import UTC, datetime

    from backbearing.plans.sun import ask_sun
    from backbearing.writers.plain import plain
    from backbearing.writers.sun import sun_text

    with ExitStack() as stack:
        known = session.path.exists()  # a coordinate needs no notebook
        notebook = stack.enter_context(session.open()) if known else None
        answer = ask_sun(notebook, place, day=day, clock=clock, now=datetime.now(UTC))
    emit(as_json, lambda: plain(answer), lambda: sun_text(answer))
