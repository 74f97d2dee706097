"""`export`: write what is on record in a form other programs read; one kind a subcommand."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from backbearing.cli.frame import Session, pass_session, say

if TYPE_CHECKING:
    from collections.abc import Callable

    from backbearing.plans.exporting import Export


@click.group(name="export")
def command() -> None:
    """Write subjects and camera positions to a file.

    The file says exactly where your subjects are: it leaves this machine only with you.

    \b
    Example:
      backbearing export gpx "winding house" --out winding-house.gpx
    """


def _kind(name: str, about: str) -> Callable[[Callable[..., str]], None]:
    """Add `export NAME`: the same question and options, the writer given."""

    def add(render: Callable[..., str]) -> None:
        @command.command(name=name, help=render.__doc__, short_help=about)
        @click.argument("subjects", nargs=-1, metavar="[SUBJECT]...")
        @click.option(
            "--out",
            type=click.Path(path_type=Path, dir_okay=False),
            help="The file. Default: stdout.",
        )
        @click.option("--overwrite", is_flag=True, help="Replace a file that already stands there.")
        @pass_session
        def _export(
            session: Session, subjects: tuple[str, ...], out: Path | None, overwrite: bool
        ) -> None:
            from backbearing.plans.exporting import gather_export
            from backbearing.writers.files import write_atomically
            from backbearing.writers.text import counted

            with session.open(readonly=True) as notebook:
                export = gather_export(notebook, subjects)
            text = render(export)
            if out is None:
                click.echo(text, nl=False)
                return
            write_atomically(out, text, overwrite=overwrite)
            subjects_told = counted(len(export.subjects), "subject")
            cameras_told = counted(export.camera_positions, "camera position")
            say(f"{subjects_told} and {cameras_told} written to {out}")

    return add


@_kind("gpx", "GPX 1.1 waypoints.")
def _gpx(export: Export) -> str:
    """Write subjects and camera positions as GPX 1.1 waypoints: those named, or all.

    \b
    Examples:
      backbearing export gpx --out subjects.gpx
      backbearing export gpx arch "pump wheel" > two.gpx
    """
    from backbearing.writers.gpx import gpx_text

    return gpx_text(export)


@_kind("geojson", "GeoJSON points (RFC 7946).")
def _geojson(export: Export) -> str:
    """Write subjects and camera positions as GeoJSON points: those named, or all.

    \b
    Example:
      backbearing export geojson --out subjects.geojson
    """
    from backbearing.writers.geojson import geojson_text

    return geojson_text(export)
