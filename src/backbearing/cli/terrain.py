"""`terrain`: put elevation rasters on record, list what they cover, and forget them."""

from __future__ import annotations

import click

from backbearing.cli.frame import (
    Session,
    emit,
    json_option,
    pass_session,
    say,
    tell_after_a_second,
)

_GROUND = {"bare": "bare ground", "surface": "surface"}


@click.group(name="terrain")
def command() -> None:
    """Say which elevation data to use for skylines, and see what they cover.

    The rasters stay where they are and nothing is written beside them. The finest rules where
    it reaches, coarser ones beyond.

    \b
    Example, in the checkout:
      backbearing terrain add maps/ground_10m.tif maps/ground_30m.tif --ground bare
      backbearing terrain list
    """


@command.command(name="add")
@click.argument("paths", nargs=-1, required=True)
@click.option(
    "--ground",
    type=click.Choice(list(_GROUND)),
    help="Bare ground, or a surface model with tree-tops and roofs in it.",
)
@click.option(
    "--vertical-error",
    metavar="LENGTH",
    help="What 95 in 100 heights are good to, as '5m'; assumed from the cell size if not given.",
)
@click.option(
    "--units",
    type=click.Choice(["m", "ft", "us-ft"]),
    help="Unit of the heights, where the file does not say or says it wrongly.",
)
@json_option
@pass_session
@click.pass_context
def add(
    ctx: click.Context,
    session: Session,
    /,
    paths: tuple[str, ...],
    ground: str | None,
    vertical_error: str | None,
    units: str | None,
    as_json: bool,
) -> None:
    """Put elevation rasters on record: GeoTIFF, HGT, ASCII grid, a VRT or a folder of these.

    The notebook is made where there is none. One bad raster stops no other, and the exit
    status is then 2.

    \b
    Example, with your own file names:
      backbearing terrain add tiles/ --ground surface --vertical-error 8m
      backbearing terrain add survey.asc --units ft
    """
    from backbearing.places.lengths import read_length
    from backbearing.plans.terrain import add_terrain
    from backbearing.writers.terrain import report_text, terrain_json

    error_m = None
    if vertical_error is not None:
        error_m = read_length(vertical_error, where="--vertical-error", most_m=1000.0)
    with session.open(create=True) as notebook:
        report = add_terrain(
            notebook,
            paths,
            ground=None if ground is None else _GROUND[ground],  # type: ignore[arg-type]
            vertical_error_m=error_m,
            unit=units,
            progress=tell_after_a_second(),
        )
    emit(as_json, lambda: terrain_json(report=report), lambda: report_text(report))
    if report.refused:
        for refused in report.refused:
            say(f"backbearing: {refused.why}")
        ctx.exit(2)


@command.command(name="list")
@json_option
@pass_session
def list_(session: Session, /, as_json: bool) -> None:
    """List the rasters on record, whether they are there, and which subjects they cover.

    \b
    Example:
      backbearing terrain list
    """
    from backbearing.plans.terrain import list_terrain
    from backbearing.writers.terrain import list_text, terrain_json

    with session.open(readonly=True) as notebook:
        found = list_terrain(notebook)
    emit(as_json, lambda: terrain_json(found=found), lambda: list_text(found))


@command.command(name="forget")
@click.argument("names", nargs=-1, required=True)
@pass_session
def forget(session: Session, /, names: tuple[str, ...]) -> None:
    """Take rasters off the record, by number, file name, path or folder; their files stay.

    \b
    Example:
      backbearing terrain forget ground_30m.tif
    """
    from backbearing.plans.terrain import forget_terrain
    from backbearing.writers.terrain import forgotten_text

    with session.open() as notebook:
        forgotten = forget_terrain(notebook, names)
    print(forgotten_text(forgotten))
