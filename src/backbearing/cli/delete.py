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
@pass_session
def command(
    session: Session,
    name: str | None,
    camera_position: str | None,
    track: int | None,
    waypoint: int | None,
    route: int | None,
) -> None:
    """Move the subject NAME to the bin with its camera positions and notes, or something else.

    Nothing is lost: 'backbearing restore' lists the bin and brings things back.

    \b
    backbearing delete "winding house"
    backbearing delete --track 3
    """
    from backbearing.plans.discarding import discard_number, discard_subject
    from backbearing.writers.subjects import discarded_text

    numbered: list[tuple[Literal["track", "waypoint", "route"], int]] = []
    if track is not None:
        numbered.append(("track", track))
    if waypoint is not None:
        numbered.append(("waypoint", waypoint))
    if route is not None:
        numbered.append(("route", route))
    if camera_position is not None and name is None:
        raise click.UsageError("--camera-position needs the NAME of its subject")
    if len(numbered) + (name is not None) != 1:
        raise click.UsageError("give one thing to delete: NAME, --track, --waypoint or --route")
    with session.open() as notebook:
        if name is not None:
            answer = discard_subject(notebook, name, camera_position=camera_position)
        else:
            answer = discard_number(notebook, *numbered[0])
    print(discarded_text(answer))
