"""`skyline`: what stands around a place, and when the sun comes over it."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import click

from backbearing.cli.frame import Session, SignedPlace, emit, json_option, pass_session, say


@click.command(name="skyline", cls=SignedPlace)
@click.argument("place")
@click.option(
    "--date",
    "days",
    multiple=True,
    metavar="DAY",
    help="A day whose sun is drawn; may be given several times. Default: today and the solstices.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE.svg|FILE.png",
    help="Draw the skyline strip there, as SVG or PNG by the file's name.",
)
@click.option(
    "--measure", is_flag=True, help="List the directions worth measuring by hand, with blanks."
)
@click.option("--overwrite", is_flag=True, help="Replace a file that already stands there.")
@json_option
@pass_session
def command(
    session: Session,
    place: str,
    days: tuple[str, ...],
    out: Path | None,
    measure: bool,
    overwrite: bool,
    as_json: bool,
) -> None:
    """Say what stands around PLACE, what blocks the sun, and when it comes over.

    PLACE is a subject's name, a coordinate, a waypoint or a time on a track. The skyline is that
    of the terrain on record (see `terrain add`), with what was measured by hand (`reading add`)
    and trees (`trees`); without any the horizon is taken as flat.

    \b
    Example:
      backbearing skyline "47.0032 N 21.0005 W" --date 2026-06-21
      backbearing skyline "47.0032 N 21.0005 W" --out skyline.svg
      backbearing skyline "winding house" --measure
    """
    from datetime import UTC, datetime

    from backbearing.errors import BadInput, quoted
    from backbearing.plans.horizon import ask_skyline
    from backbearing.writers.plain import plain
    from backbearing.writers.readings import sheet_text
    from backbearing.writers.skyline import skyline_text

    ending = out.suffix.lower() if out is not None else ""
    if out is not None and ending not in (".svg", ".png"):
        raise BadInput(
            f"{quoted(out.name)} ends neither in .svg nor in .png",
            where="--out",
            remedy="name the file so",
        )
    with ExitStack() as stack:
        known = session.path.exists()  # a coordinate needs no notebook
        notebook = stack.enter_context(session.open()) if known else None
        answer = ask_skyline(notebook, place, days=days, now=datetime.now(UTC), measure=measure)
    if out is not None:
        from backbearing.writers.files import write_atomically
        from backbearing.writers.skylinestrip import skyline_png, skyline_svg

        drawn = skyline_png if ending == ".png" else skyline_svg
        write_atomically(out, drawn(answer), overwrite=overwrite)
        say(f"drawn in {out}")
    emit(
        as_json,
        lambda: plain(answer),
        lambda: skyline_text(answer) if answer.sheet is None else sheet_text(answer.sheet),
    )
