"""`frame`: whether a subject fits the plate."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say
from backbearing.errors import BadInput, quoted

if TYPE_CHECKING:
    from backbearing.plans.aiming import Side

_LESS = re.compile(r"([0-9]+(?:\.[0-9]+)?) ?%? (less|more)(?: (?:on|at))?(?: the)? (\w+)", re.I)


@click.command(name="frame")
@click.argument("subject")
@click.option("--camera", metavar="NAME", help="Default: the first on record.")
@click.option("--lens", metavar="NAME", help="Default: the first on record.")
@click.option("--from", "position", metavar="NAME", help="Camera position. Default: the first.")
@click.option("--distance", metavar="LENGTH", help="Instead of the distance on record.")
@click.option("--upright/--level", default=None, help="How the plate stands. Default: as it fits.")
@click.option("--margin", type=click.FloatRange(0, 45), default=0.0, metavar="PERCENT")
@click.option("--turn", metavar="WORDS", help='A change of the frame, as "10 % less on the right".')
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE.svg",
    help="Draw the plate with the subject in it.",
)
@click.option("--on-glass", is_flag=True, help="Draw it upside down, as on the ground glass.")
@click.option(
    "--card",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE.svg",
    help="A viewing card to print at true size and cut out.",
)
@click.option("--string", default="30 cm", metavar="LENGTH", help="Of the viewing card's string.")
@click.option("--overwrite", is_flag=True, help="Replace a file that already stands there.")
@json_option
@pass_session
def command(
    session: Session,
    subject: str,
    camera: str | None,
    lens: str | None,
    position: str | None,
    distance: str | None,
    upright: bool | None,
    margin: float,
    turn: str | None,
    out: Path | None,
    on_glass: bool,
    card: Path | None,
    string: str,
    overwrite: bool,
    as_json: bool,
) -> None:
    """Say whether SUBJECT fits the plate, with which movement, and what else would do.

    It goes by the angles and edges measured from the camera position; where they are missing, by
    height, width and distance. Cameras and lenses come from your kit (see 'kit').

    \b
    Example:
      backbearing frame "winding house" --out plate.svg
      backbearing frame "winding house" --turn "10 % less on the right" --json
    """
    from backbearing.places.lengths import read_length
    from backbearing.plans.framing import frame
    from backbearing.writers.files import write_atomically
    from backbearing.writers.frame import frame_text
    from backbearing.writers.framedrawing import frame_svg, viewing_card_svg
    from backbearing.writers.plain import plain

    away = None if distance is None else read_length(distance, where="--distance")
    string_mm = read_length(string, where="--string") * 1000.0
    if not 100.0 <= string_mm <= 1000.0:
        raise BadInput(f"{quoted(string)} is not 10 cm to 1 m", where="--string")
    if away == 0.0:
        raise BadInput("is 0", where="--distance", remedy="give a length above 0")
    with session.open(readonly=True) as notebook:
        answer = frame(
            notebook,
            subject,
            camera_name=camera,
            lens_name=lens,
            position_name=position,
            distance_m=away,
            upright=upright,
            margin=margin / 100.0,
            less=None if turn is None else _less(turn),
        )
    if out is not None:
        write_atomically(out, frame_svg(answer, upside_down=on_glass), overwrite=overwrite)
        say(f"drawn in {out}")
    if card is not None:
        write_atomically(card, viewing_card_svg(answer, string_mm=string_mm), overwrite=overwrite)
        say(f"print {card} at full size and check its bar of 100 mm")
    emit(as_json, lambda: plain(answer), lambda: frame_text(answer))


def _less(text: str) -> tuple[Side, float]:
    from backbearing.plans.aiming import SIDES

    found = _LESS.fullmatch(" ".join(text.split()))
    side = None if found is None else next((s for s in SIDES if s == found[3].lower()), None)
    if found is None or side is None:
        raise BadInput(
            f"{quoted(text)} is not understood",
            where="--turn",
            remedy="write '10 % less on the right', or left, top, bottom",
        )
    share = float(found[1]) / 100.0
    return side, share if found[2].lower() == "less" else -share
