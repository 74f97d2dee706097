"""`delete`: move something to the bin."""

from __future__ import annotations

from typing import Literal

import click

from backbearing.cli.frame import Session, pass_session


@click.command(name="delete")
@click.argument("name", required=False)
@click.option("--camera-position", metavar="CAMERA", help="Only this camera position of NAME.")
@click.option("--track", type=int, metavar="ID", help="A track, by its number in 'tracks'.")
@click.option("--waypoint", type=int, metavar="ID", help="A waypoint, by its number.")
@click.option("--route", type=int, metavar="ID", help="A route, by its number.")
@click.option("--photo", type=int, metavar="ID", help="A photo, by its number in 'show'.")
@click.option(
    "--file",
    "notes_file",
    metavar="FILE",
    help="A file of field notes or lines, as if it had not been imported.",
)
@click.option("--passage", metavar="NAME", help="A passage, with all that was found there.")
@pass_session
def command(
    session: Session,
    name: str | None,
    camera_position: str | None,
    track: int | None,
    waypoint: int | None,
    route: int | None,
    photo: int | None,
    notes_file: str | None,
    passage: str | None,
) -> None:
    """Move the subject NAME to the bin with its camera positions and notes, or something else.

    --file takes back the import of a file of notes: its notes, the subjects and camera positions
    they put on record; what they changed at other subjects stays as it is. Of a file of lines it
    takes the lines. The file can then be imported again. Nothing
    is lost: 'backbearing restore' lists the bin and brings things back.

    \b
    Example:
      backbearing delete "winding house"
      backbearing delete --track 3
      backbearing delete --file notes.txt
    """
    from backbearing.plans.discarding import (
        discard_file,
        discard_number,
        discard_passage,
        discard_subject,
    )
    from backbearing.writers.subjects import discarded_text

    numbered: list[tuple[Literal["track", "waypoint", "route", "photo"], int]] = []
    if track is not None:
        numbered.append(("track", track))
    if waypoint is not None:
        numbered.append(("waypoint", waypoint))
    if route is not None:
        numbered.append(("route", route))
    if photo is not None:
        numbered.append(("photo", photo))
    if camera_position is not None and name is None:
        raise click.UsageError("--camera-position needs the NAME of its subject")
    named = [given for given in (name, notes_file, passage) if given is not None]
    if len(numbered) + len(named) != 1:
        raise click.UsageError(
            "give one thing to delete: NAME, --track, --waypoint, --route, --photo, --passage or "
            "--file"
        )
    with session.open() as notebook:
        if name is not None:
            answer = discard_subject(notebook, name, camera_position=camera_position)
        elif notes_file is not None:
            answer = discard_file(notebook, notes_file)
        elif passage is not None:
            answer = discard_passage(notebook, passage)
        else:
            answer = discard_number(notebook, *numbered[0])
    print(discarded_text(answer))
