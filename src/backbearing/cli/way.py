"""`way`: the way from a start to a subject, leg by leg, and back."""

from __future__ import annotations

import click

from backbearing.cli.frame import (
    Session,
    SignedPlace,
    emit,
    json_option,
    pass_session,
    tell_after_a_second,
)


@click.command(name="way", cls=SignedPlace)
@click.argument("start")
@click.argument("place")
@click.option("--date", "day", metavar="DAY", help="The day of the walk. Default: today.")
@click.option("--pace", metavar="NAME", help="'own' or a published rule; see 'backbearing pace'.")
@click.option(
    "--snow",
    type=click.Choice(["none", "firm crust", "ankle", "shin", "knee"]),
    default="none",
    show_default=True,
    help="How far it breaks.",
)
@click.option(
    "--load",
    metavar="KG",
    type=float,
    default=0.0,
    help="Carried; own walks are taken as walked with 10 kg.",
)
@click.option(
    "--steepest",
    metavar="DEG",
    type=click.FloatRange(5.0, 90.0),
    default=40.0,
    show_default=True,
    help="Ground as steep as this is closed where nobody has walked.",
)
@click.option("--steep-snow", is_flag=True, help="Allow off-track snow slopes of 30° and more.")
@click.option("--wade", is_flag=True, help="Let water be crossed anywhere.")
@json_option
@pass_session
def command(
    session: Session,
    start: str,
    place: str,
    day: str | None,
    pace: str | None,
    snow: str,
    load: float,
    steepest: float,
    steep_snow: bool,
    wade: bool,
    as_json: bool,
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
            pace=pace,
            snow=snow,
            load_kg=load,
            steepest_deg=steepest,
            steep_snow=steep_snow,
            wade=wade,
            now=datetime.now(UTC),
            progress=tell_after_a_second(),
        )
    emit(as_json, lambda: plain(answer), lambda: way_text(answer))
