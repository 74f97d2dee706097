"""`outing`: a day planned from door to door for a subject's light."""

from __future__ import annotations

from typing import Any

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, tell_after_a_second


@click.command(name="outing")
@click.argument("subject")
@click.option("--start", metavar="PLACE", help="Where the walk begins. Default: setting start.")
@click.option("--date", "day", metavar="DAY", help="The day. Default: the best one that works.")
@click.option(
    "--window",
    "number",
    metavar="N",
    type=click.IntRange(min=1),
    help="The Nth light window, in the order of `light`. Default: the first that works.",
)
@click.option("--drive", metavar="SPAN", help="From home to the start. Default: setting drive.")
@click.option("--leave", metavar="CLOCK", help="Not from home before; without a drive, the start.")
@click.option("--back-by", metavar="CLOCK", help="Back at the start by this time.")
@click.option("--set-up", metavar="SPAN", help="Default: 20min.")
@click.option("--dark-cloth", is_flag=True, help="Dark cloth and movements: 40min to set up.")
@click.option(
    "--plates",
    type=click.IntRange(1, 100),
    default=2,
    show_default=True,
    help="5 min for each, and its exposure.",
)
@click.option("--exposure", metavar="SPAN", help="Of one plate. Default: by --batch, else 60s.")
@click.option("--batch", metavar="NAME", help="Emulsion batch, for the seconds.")
@click.option("--aperture", metavar="N", help="With a batch. Default: 16.")
@click.option(
    "--margin",
    metavar="SPAN",
    help="In hand before each limit. Default: the larger of 30min and a quarter of the way out.",
)
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
    "load_kg",
    metavar="KG",
    type=click.FloatRange(0.0, 100.0),
    default=0.0,
    help="Counted with published rules.",
)
@click.option(
    "--steepest",
    "steepest_deg",
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
def command(session: Session, /, subject: str, as_json: bool, **asked: Any) -> None:
    """Plan a day for SUBJECT from door to door: when to leave, set up, turn back, be back.

    Deadlines hold at the slow pace, with a margin. Rough, trackless and water legs are walked in
    usable light only, judged under the sky and the trees of each; paths may be walked by torch.
    Where the day cannot work, it says what is short, by how much, and the next day that works.

    \b
    Example:
      backbearing outing "winding house" --start "landing stage" --drive 40min
      backbearing outing "winding house" --start "landing stage" --date 2026-11-28 --back-by 15:00
    """
    from datetime import UTC, datetime

    from backbearing.plans.outing import ask_outing
    from backbearing.writers.outing import outing_text
    from backbearing.writers.plain import plain

    with session.open() as notebook:
        answer = ask_outing(
            notebook, subject, now=datetime.now(UTC), progress=tell_after_a_second(), **asked
        )
    emit(as_json, lambda: plain(answer), lambda: outing_text(answer))
