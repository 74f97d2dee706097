"""`likely`: where a subject most likely is."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session


@click.command(name="likely")
@click.argument("subject")
@click.option("--along", metavar="LINE", help="Look along a line: its name, or water, path, wall.")
@click.option("--width", metavar="LENGTH", help="Of the ground on each side. Default: 60 m.")
@click.option("--within", metavar="LENGTH", help="Look in cells round the place on record.")
@click.option(
    "--range",
    "range_text",
    metavar="LENGTHS",
    help="From how far it is just seen: 30m, or by ground, open=40m,trees=12m (water, rough). Kept "
    "with it; 15 m where none was ever given.",
)
@click.option("--start", metavar="PLACE", help="Where you set out. Default: setting start.")
@click.option("--date", "day", metavar="DAY", help="Default: the next with the light wished.")
@click.option("--back-by", metavar="CLOCK", help="Back at the start by this time.")
@json_option
@pass_session
def command(
    session: Session,
    subject: str,
    along: str | None,
    width: str | None,
    within: str | None,
    range_text: str | None,
    start: str | None,
    day: str | None,
    back_by: str | None,
    as_json: bool,
) -> None:
    """Say where SUBJECT most likely is, by its clues and the looks for it.

    With until when to look there and where to go then; `search` lays out the whole walk.

    For photographic subjects: for a missing person call the emergency services at once.

    \b
    Example:
      backbearing likely "powder hut"
      backbearing likely "powder hut" --along water --width 100m
      backbearing likely "powder hut" --within 500m --start "landing stage"
    """
    from datetime import UTC, datetime

    from backbearing.places.lengths import read_length
    from backbearing.plans.search import where_likely
    from backbearing.plans.search.lookuntil import with_until
    from backbearing.plans.search.offered import with_offers
    from backbearing.writers.search import likely_json, likely_text

    with session.open(readonly=range_text is None) as notebook:
        answer = where_likely(
            notebook,
            subject,
            along_name=along,
            width_m=read_length(width, where="--width") if width else None,
            within_m=read_length(within, where="--within") if within else None,
            range_text=range_text,
        )
        now = datetime.now(UTC)
        answer = with_until(notebook, answer, now=now, start=start, day=day, back_by=back_by)
        answer = with_offers(notebook, answer)
    emit(as_json, lambda: likely_json(answer), lambda: likely_text(answer))
