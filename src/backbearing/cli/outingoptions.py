"""What commands ask that plan a walk: how one goes, what one does at the subject, the day."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

_GOING = (
    click.option(
        "--pace", metavar="NAME", help="'own' or a published rule; see 'backbearing pace'."
    ),
    click.option(
        "--snow",
        type=click.Choice(["none", "firm crust", "ankle", "shin", "knee"]),
        default="none",
        show_default=True,
        help="How far it breaks.",
    ),
    click.option(
        "--load",
        "load_kg",
        metavar="KG",
        type=click.FloatRange(0.0, 100.0),
        default=0.0,
        help="Carried; own walks are taken as walked with 10 kg.",
    ),
    click.option(
        "--steepest",
        "steepest_deg",
        metavar="DEG",
        type=click.FloatRange(5.0, 90.0),
        default=40.0,
        show_default=True,
        help="Ground as steep as this is closed where nobody has walked.",
    ),
    click.option("--steep-snow", is_flag=True, help="Allow off-track snow slopes of 30° and more."),
    click.option("--wade", is_flag=True, help="Let water be crossed anywhere."),
)
_START = click.option(
    "--start", metavar="PLACE", help="Where the walk begins. Default: setting start."
)
_BACK_BY = click.option("--back-by", metavar="CLOCK", help="Back at the start by this time.")
_OUTING = (
    click.option("--date", "day", metavar="DAY", help="Default: the best day that works."),
    click.option(
        "--window",
        "number",
        metavar="N",
        type=click.IntRange(min=1),
        help="The Nth light window, in the order of `light`. Default: the first that works.",
    ),
    click.option("--drive", metavar="SPAN", help="Home to start. Default: setting drive."),
    click.option(
        "--park",
        metavar="SPAN",
        help="From the end of the drive until you walk. Default: setting park, else 10min.",
    ),
    click.option(
        "--leave", metavar="CLOCK", help="Not from home (or, without a drive, the start) before."
    ),
)
_SEARCH = (
    click.option("--date", "day", metavar="DAY", help="Default: today."),
    click.option(
        "--leave",
        metavar="CLOCK",
        help="Default: now; on another day, to be done when the light is.",
    ),
)


def _at_subject(plates: int, margin: str) -> tuple[Callable[..., Any], ...]:
    return (
        click.option(
            "--set-up",
            metavar="SPAN",
            help="Default: 20min. The first plate's handling comes on top.",
        ),
        click.option(
            "--dark-cloth", is_flag=True, help="Dark cloth and movements: 40min to set up."
        ),
        click.option(
            "--plates",
            type=click.IntRange(1, 100),
            default=plates,
            show_default=True,
            help="To expose.",
        ),
        click.option(
            "--a-plate",
            metavar="SPAN",
            help="To handle each, besides its exposure. Default: 5min.",
        ),
        click.option(
            "--exposure", metavar="SPAN", help="Of one plate. Default: by --batch, else 60s."
        ),
        click.option("--batch", metavar="NAME", help="For the seconds. Default: the loaded one."),
        click.option("--aperture", metavar="N", help="With a batch. Default: 16."),
        click.option("--pack", metavar="SPAN", help="To pack up. Default: 10min."),
        click.option("--margin", metavar="SPAN", help=margin),
    )


def going_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of how one goes."""
    return _given(command, _GOING)


def outing_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options that `plans.outing.ask_outing` takes."""
    margin = "In hand before each limit. Default: 30min, or a quarter of the way out if more."
    return _given(command, (_START, *_OUTING, _BACK_BY, *_at_subject(2, margin), *_GOING))


def search_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of the walk that `plans.search.askedwalk.ask_search` takes."""
    margin = "In hand before dark and the limit. Default: 30min."
    return _given(command, (_START, *_SEARCH, _BACK_BY, *_at_subject(1, margin), *_GOING))


def _given(
    command: Callable[..., Any], options: tuple[Callable[..., Any], ...]
) -> Callable[..., Any]:
    for option in reversed(options):
        command = option(command)
    return command
