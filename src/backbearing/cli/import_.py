"""`import`: read tracks, notes, lines and photos into the notebook."""

from __future__ import annotations

import time
from contextlib import ExitStack
from pathlib import Path

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say


@click.command(name="import")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--dry-run", is_flag=True, help="Say how everything would be read; write nothing.")
@click.option(
    "--as-notes",
    "any_text",
    is_flag=True,
    help="Take as field notes also a text in which hardly a line reads as one.",
)
@click.option(
    "--clock-offset",
    metavar="SPAN",
    help="Add to the camera's clock: '+207s', '-1h'. Photograph a GPS clock to know it.",
)
@click.option("--of", "subject", metavar="SUBJECT", help="The photos are of this subject.")
@click.option(
    "--thumbnails/--no-thumbnails",
    default=True,
    help="Keep a small picture of each photo (320 px); the photo itself never is.",
)
@json_option
@pass_session
@click.pass_context
def command(
    ctx: click.Context,
    session: Session,
    files: tuple[Path, ...],
    dry_run: bool,
    any_text: bool,
    clock_offset: str | None,
    subject: str | None,
    thumbnails: bool,
    as_json: bool,
) -> None:
    """Read FILES into the notebook: GPX, notes, GeoJSON lines, JPEG photos, or folders.

    Lines are streams, shores, paths and ridges: water that bars a way, paths that ease it.

    A photo is put where its own GPS says, else where a track was at its time: what is kept of it
    is that, its time and direction and a small picture.

    The notebook is made where there is none. The same file twice is taken once; of a file of
    notes with corrections, the lines that differ. Records that earlier notes could not place
    are tried again when a track comes. Points that cannot be used are dropped and counted with
    their line; one bad file stops no other, and the exit status is then 2.

    \b
    Example, with your own file names:
      backbearing import walks/ notes.txt
    """
    from backbearing.errors import BadInput, quoted
    from backbearing.plans.intake import import_files
    from backbearing.plans.photos import PhotoChoices, read_clock_offset
    from backbearing.writers.intake import intake_json, intake_text

    if not any(file.exists() for file in files):  # a slip of the pen makes no notebook
        raise BadInput("there is no such file", where=quoted(files[0], 200))
    photos = PhotoChoices(
        clock_offset_s=None if clock_offset is None else read_clock_offset(clock_offset),
        subject=subject,
        thumbnails=thumbnails,
    )
    begun = time.monotonic()

    def tell(step: str) -> None:
        if time.monotonic() - begun > 1.0 or step.endswith("MB)"):
            say(step)

    with ExitStack() as stack:
        notebook = None
        if not dry_run:
            notebook = stack.enter_context(session.open(create=True))
        elif session.path.exists():
            notebook = stack.enter_context(session.open(readonly=True))
        report = import_files(
            notebook, files, dry_run=dry_run, any_text=any_text, photos=photos, progress=tell
        )
    emit(as_json, lambda: intake_json(report), lambda: intake_text(report))
    if report.stopped:
        total = len(report.files)
        say(
            f"backbearing: stopped; {total - report.count('not reached')} of {total} files were "
            "gone through and are whole; run it again for the rest"
        )
        ctx.exit(1)
    if not report.all_good:
        for file in report.files:
            if file.why:
                say(f"backbearing: {file.why}")
        ctx.exit(1 if report.count("not reached") else 2)
