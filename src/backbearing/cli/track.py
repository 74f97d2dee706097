"""`track`: one past walk in full."""

from __future__ import annotations

from typing import Any

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session
from backbearing.errors import quoted


class TrackNumber(click.IntRange):
    """A track by its number; whatever else is typed gets told where the numbers stand."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        try:
            return int(super().convert(value, param, ctx))
        except click.BadParameter:
            self.fail(
                f"{quoted(value)} is no track's number; 'backbearing tracks' lists them", param
            )


@click.command(name="track")
@click.argument("number", metavar="ID", type=TrackNumber(min=1))
@click.option(
    "--within",
    metavar="LENGTH",
    default="100m",
    show_default=True,
    help="Name the subjects passed within this distance.",
)
@json_option
@pass_session
def command(session: Session, number: int, within: str, as_json: bool) -> None:
    """Show the walk with this ID: length, climb, moving and standing time, stops and gaps,
    suspect fixes, subjects passed. 'backbearing tracks' lists the IDs.

    Each figure comes with the method behind it. Suspect fixes are kept in the track and left
    out of the figures.

    \b
    Example:
      backbearing track 5 --within 50m
    """
    from backbearing.places.lengths import read_length
    from backbearing.plans.walks import describe_walk
    from backbearing.writers.plain import plain
    from backbearing.writers.walks import walk_text

    within_m = read_length(within, where="--within")
    with session.open(readonly=True) as notebook:
        answer = describe_walk(notebook, number, within_m=within_m)
    emit(as_json, lambda: plain(answer), lambda: walk_text(answer))
