"""`tracks`: the list of past walks."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say


@click.command(name="tracks")
@click.option("--since", metavar="DAY", help="Only walks on or after this local day.")
@click.option("--until", metavar="DAY", help="Only walks on or before this local day.")
@click.option("--near", metavar="PLACE", help="Only walks that came near a place.")
@click.option(
    "--within", metavar="LENGTH", default="500m", show_default=True, help="How near to PLACE."
)
@json_option
@pass_session
def command(
    session: Session,
    since: str | None,
    until: str | None,
    near: str | None,
    within: str,
    as_json: bool,
) -> None:
    """List past walks, oldest first, by local day and clock.

    PLACE is a subject's name, a coordinate, a waypoint or a time on a track.

    \b
    Example:
      backbearing tracks --since 2025-01-01 --near "winding house" --within 200m
    """
    from datetime import UTC, datetime

    from backbearing.places.clocks import read_day
    from backbearing.places.lengths import read_length
    from backbearing.plans.walks import list_walks
    from backbearing.writers.plain import plain
    from backbearing.writers.walks import walks_text

    today = datetime.now(UTC).date()
    first = read_day(since, latest=today, where="--since") if since else None
    last = read_day(until, latest=today, where="--until") if until else None
    within_m = read_length(within, where="--within")
    with session.open(readonly=True) as notebook:
        place = None
        if near is not None:
            from backbearing.plans.locate import locate

            place = locate(notebook, near).place
        answer = list_walks(notebook, since=first, until=last, near=place, within_m=within_m)
    for number in answer.unreadable:
        say(f"track {number} cannot be read, so it is not judged; 'backbearing check' says more")
    if not answer.walks and not as_json:
        left = f" like that; {answer.left_out} others are" if answer.left_out else ""
        say(f"no walk{left} on record; 'backbearing import' reads GPX")
    emit(as_json, lambda: plain(answer), lambda: walks_text(answer))
