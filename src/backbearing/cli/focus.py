"""`focus`: which mark to set for a distance, and what is sharp then."""

from __future__ import annotations

from pathlib import Path

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say


@click.command(name="focus")
@click.argument("distances", nargs=-1, metavar="[DISTANCE]...")
@click.option("--camera", metavar="NAME", help="Default: the first on record.")
@click.option("--lens", metavar="NAME", help="Default: the first on record.")
@click.option("--aperture", "apertures", multiple=True, metavar="MARK", help="May be repeated.")
@click.option("--near", metavar="LENGTH", help="Nearest thing to be sharp.")
@click.option("--far", metavar="LENGTH|inf", help="Farthest thing to be sharp. Default: infinity.")
@click.option("--from-plate", is_flag=True, help="DISTANCE was measured from the plate.")
@click.option("--enlarged", type=float, metavar="TIMES", help="Circle of confusion by the print.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE.html",
    help="A sheet to print.",
)
@click.option("--paper", type=click.Choice(("a4", "letter"), case_sensitive=False), default="a4")
@click.option("--overwrite", is_flag=True, help="Replace a file that already stands there.")
@json_option
@pass_session
def command(
    session: Session,
    distances: tuple[str, ...],
    camera: str | None,
    lens: str | None,
    apertures: tuple[str, ...],
    near: str | None,
    far: str | None,
    from_plate: bool,
    enlarged: float | None,
    out: Path | None,
    paper: str,
    overwrite: bool,
    as_json: bool,
) -> None:
    """Say which mark of a lens to set for each DISTANCE, what it covers and what is sharp.

    Cameras and lenses come from your kit (see 'kit'). Without a DISTANCE: the usual ones.

    \b
    Example:
      backbearing focus "4 m"
      backbearing focus --near "3 m" --far "12 m" --out focus.html
    """
    from backbearing.plans.focus import ask_focus
    from backbearing.writers.frame import focus_text
    from backbearing.writers.plain import plain

    with session.open(readonly=True) as notebook:
        answer = ask_focus(
            notebook,
            distances,
            camera=camera,
            lens=lens,
            apertures=apertures,
            near=near,
            far=far,
            from_plate=from_plate,
            enlarged=enlarged,
        )
    if out is not None:
        from backbearing.writers.files import write_atomically
        from backbearing.writers.focussheet import focus_html

        write_atomically(out, focus_html(answer, paper), overwrite=overwrite)
        say(f"print {out}")
    emit(as_json, lambda: plain(answer), lambda: focus_text(answer))
