"""`plate`: plates from loading to the finished negative."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say

if TYPE_CHECKING:
    from backbearing.records import Development, Highlights, PlateState, Shadows


@click.group(name="plate")
def command() -> None:
    """Keep book of plates: loaded, exposed, developed, and how they came out.

    A side is written as holder and letter: 3A. Holders and batches come from 'kit take'.

    \b
    Example:
      backbearing plate load 3 --batch "slate coating 4"
      backbearing plate expose 3A "winding house" --time 40s --aperture 16
      backbearing plate develop 3A --shadows thin --highlights open
      backbearing plate list --state loaded
    """


@command.command(name="load")
@click.argument("sides", nargs=-1, required=True, metavar="SIDE...")
@click.option("--batch", required=True, metavar="NAME", help="Of which batch.")
@json_option
@pass_session
def load(session: Session, sides: tuple[str, ...], batch: str, as_json: bool) -> None:
    """Put plates into sides of holders; a holder alone means all its sides.

    \b
    Example:
      backbearing plate load 2B --batch "slate coating 4"
    """
    from datetime import UTC, datetime

    from backbearing.plans.plates import load_plates
    from backbearing.writers.plain import plain
    from backbearing.writers.plates import plates_text

    with session.open() as notebook:
        answer = load_plates(notebook, sides, batch=batch, now=datetime.now(UTC))
    emit(as_json, lambda: plain(answer), lambda: plates_text(answer))


@command.command(name="expose")
@click.argument("side")
@click.argument("subject")
@click.option("--time", "seconds", required=True, metavar="TIME", help="As '40s' or '2min'.")
@click.option("--aperture", metavar="MARK", help="As engraved on the lens, or as f/16.")
@click.option("--lens", metavar="NAME", help="Whose scale the aperture is read from.")
@click.option("--mark", default="", metavar="MARK", help="The distance mark that was set.")
@click.option("--distance", metavar="LENGTH", help="To the subject.")
@click.option("--at", metavar="WHEN", help="Local day and clock there. Default: now.")
@click.option("--note", default="", metavar="TEXT")
@json_option
@pass_session
def expose(
    session: Session,
    side: str,
    subject: str,
    seconds: str,
    aperture: str | None,
    lens: str | None,
    mark: str,
    distance: str | None,
    at: str | None,
    note: str,
    as_json: bool,
) -> None:
    """Write down the exposure of a loaded side.

    \b
    Example:
      backbearing plate expose 1A "winding house" --time 40s --aperture 16 --mark "8 m"
    """
    from datetime import UTC, datetime

    from backbearing.places.lengths import read_duration_s, read_length
    from backbearing.plans.plates import expose_plate
    from backbearing.plans.platetimes import read_when
    from backbearing.writers.plain import plain
    from backbearing.writers.plates import plates_text

    exposure_s = read_duration_s(seconds, where="--time")
    distance_m = None if distance is None else read_length(distance, where="--distance")
    with session.open() as notebook:
        answer = expose_plate(
            notebook,
            side,
            subject,
            at=read_when(notebook, subject, at, now=datetime.now(UTC)),
            exposure_s=exposure_s,
            aperture=aperture,
            lens=lens,
            focus_mark=mark,
            distance_m=distance_m,
            note=note,
        )
    emit(as_json, lambda: plain(answer), lambda: plates_text(answer))


@command.command(name="develop")
@click.argument("side")
@click.option("--shadows", type=click.Choice(["empty", "thin", "full"]))
@click.option("--highlights", type=click.Choice(["open", "blocked"]))
@click.option("--development", type=click.Choice(["pulled", "normal", "forced"]))
@click.option("--note", default="", metavar="TEXT")
@json_option
@pass_session
def develop(
    session: Session,
    side: str,
    shadows: str | None,
    highlights: str | None,
    development: str | None,
    note: str,
    as_json: bool,
) -> None:
    """Write down how an exposed side came out; said again, it corrects what was said.

    \b
    Example:
      backbearing plate develop 1A --shadows thin --highlights open --development normal
    """
    from datetime import UTC, datetime
    from typing import cast

    from backbearing.plans.plates import develop_plate
    from backbearing.writers.plain import plain
    from backbearing.writers.plates import plates_text

    with session.open() as notebook:
        answer = develop_plate(
            notebook,
            side,
            at=datetime.now(UTC),
            shadows=cast("Shadows", shadows or ""),
            highlights=cast("Highlights", highlights or ""),
            development=cast("Development", development or ""),
            note=note,
        )
    emit(as_json, lambda: plain(answer), lambda: plates_text(answer))


@command.command(name="list")
@click.option("--state", type=click.Choice(["loaded", "exposed", "developed"]))
@click.option("--subject", metavar="NAME", help="Only plates of this subject.")
@click.option("--batch", metavar="NAME", help="Only plates of this batch.")
@json_option
@pass_session
def list_(
    session: Session, state: str | None, subject: str | None, batch: str | None, as_json: bool
) -> None:
    """List plates, and what is still loaded.

    \b
    Example:
      backbearing plate list --state loaded
    """
    from typing import cast

    from backbearing.plans.plates import plates_on_record
    from backbearing.writers.plain import plain
    from backbearing.writers.plates import plates_text

    with session.open(readonly=True) as notebook:
        answer = plates_on_record(
            notebook,
            state=None if state is None else cast("PlateState", state),
            subject=subject,
            batch=batch,
        )
    emit(as_json, lambda: plain(answer), lambda: plates_text(answer))


@command.command(name="forget")
@click.argument("number", type=int)
@pass_session
def forget(session: Session, number: int) -> None:
    """Move a plate to the bin by its number, where it was written down by mistake.

    \b
    Example:
      backbearing plate forget 3
    """
    from backbearing.plans.plates import forget_plate

    with session.open() as notebook:
        back = forget_plate(notebook, number)
    say(f"plate {number}: in the bin; '{back}' brings it back")
