"""`export`: write what is on record in a form other programs read; one kind a subcommand."""

from __future__ import annotations

from pathlib import Path

import click

from backbearing.cli.frame import Session, pass_session, say


@click.group(name="export")
def command() -> None:
    """Write subjects and camera positions to a file.

    The file says exactly where your subjects are: it leaves this machine only with you.

    \b
    Example:
      backbearing export gpx "winding house" --out winding-house.gpx
    """


@command.command(name="gpx", short_help="GPX 1.1 waypoints.")
@click.argument("subjects", nargs=-1, metavar="[SUBJECT]...")
@click.option("--out", type=click.Path(path_type=Path), help="The file. Default: stdout.")
@click.option("--overwrite", is_flag=True, help="Replace a file that already stands there.")
@pass_session
def gpx(session: Session, subjects: tuple[str, ...], out: Path | None, overwrite: bool) -> None:
    """Write subjects and camera positions as GPX 1.1 waypoints: those named, or all.

    \b
    Examples:
      backbearing export gpx --out subjects.gpx
      backbearing export gpx arch "pump wheel" > two.gpx
    """
    from backbearing.plans.exporting import gather_export
    from backbearing.writers.files import write_atomically
    from backbearing.writers.gpx import gpx_text
    from backbearing.writers.text import clean, counted

    with session.open(readonly=True) as notebook:
        export = gather_export(notebook, subjects)
    text = gpx_text(export)
    if out is None:
        click.echo(text, nl=False)
        return
    write_atomically(out, text, overwrite=overwrite)
    subjects_told = counted(len(export.subjects), "subject")
    cameras_told = counted(export.camera_positions, "camera position")
    say(clean(f"{subjects_told} and {cameras_told} written to {out}"))
