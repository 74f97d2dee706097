"""`way`: the way from a start to a subject, leg by leg, and back."""

from __future__ import annotations

from typing import Any

import click

from backbearing.cli.frame import (
    Session,
    SignedPlace,
    emit,
    json_option,
    pass_session,
    tell_after_a_second,
)
from backbearing.cli.outingoptions import going_options


@click.command(name="way", cls=SignedPlace)
@click.argument("start")
@click.argument("place")
@click.option("--date", "day", metavar="DAY", help="The day of the walk. Default: today.")
@going_options
@json_option
@pass_session
def command(
    session: Session,
    /,
    start: str,
    place: str,
    day: str | None,
    as_json: bool,
    **going: Any,
) -> None:
    """Find the way from START to PLACE and back, with usual and slow times for each leg.

    START and PLACE are a subject's name, a coordinate, a waypoint or a time on a track. For a
    subject the way leads to its first camera position.

    \b
    Example:
      backbearing way "landing stage" "winding house"
      backbearing way "landing stage" "winding house" --snow ankle --date 2027-01-10
    """
    from datetime import UTC, datetime

    from backbearing.plans.approach.asked import ask_way
    from backbearing.writers.plain import plain
    from backbearing.writers.way import way_text

    with session.open(readonly=True) as notebook:
        answer = ask_way(
            notebook,
            start,
            place,
            day=day,
            now=datetime.now(UTC),
            progress=tell_after_a_second(),
            **going,
        )
    emit(as_json, lambda: plain(answer), lambda: way_text(answer))
