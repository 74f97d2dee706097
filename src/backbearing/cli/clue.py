"""`clue`: what is remembered of where a subject is."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say


@click.command(name="clue")
@click.argument("subject")
@click.option("--near", metavar="WHAT", help="A line (its name, or water, path, wall) or a place.")
@click.option("--within", metavar="LENGTH", help="How near, with --near, --up and --down.")
@click.option(
    "--side",
    type=click.Choice(["left", "right"]),
    help="Of the line --of; of water, looking downstream.",
)
@click.option("--up", metavar="PLACE", help="Upstream of a place, on the line --of.")
@click.option("--down", metavar="PLACE", help="Downstream of a place, on the line --of.")
@click.option("--of", metavar="LINE", help="The line meant: its name, or water, path, wall.")
@click.option("--walk", metavar="SPAN", help="Minutes on foot from the place --from.")
@click.option("--from", "start", metavar="PLACE", help="Where --walk or --bearing begins.")
@click.option("--between", nargs=2, metavar="PLACE PLACE", help="Two places on the line --of.")
@click.option("--inside", metavar="PLACES", help="Three corners or more: 'A; B; C'.")
@click.option("--bearing", metavar="BEARING", help="From the place --from, as 215M or 215T.")
@click.option("--seen-from", metavar="PLACE", help="In sight of a place, over the terrain.")
@click.option("--hidden-from", metavar="LINE", help="Out of sight of a path or another line.")
@click.option("--slope", metavar="RANGE", help="Degrees, as 10-30.")
@click.option("--facing", metavar="POINT", help="The way its slope faces, as SE, NNE or 150.")
@click.option("--height", metavar="RANGE", help="Above the sea, as 200-300.")
@click.option("--lit", metavar="TIME", help="In sun at a day and clock, as '2025-05-17 12:20'.")
@click.option("--shade", metavar="TIME", help="In shade then.")
@click.option(
    "--sure", default="80%", show_default=True, metavar="CHANCE", help="That the memory is right."
)
@click.option("--on", metavar="DAY", help="When it was told. Default: today.")
@click.option("--note", default="", metavar="TEXT")
@click.option("--drop", type=int, metavar="NUMBER", help="Take a clue off the record.")
@click.option("--months", metavar="MONTHS", help="Of the pauses on own tracks, as May-Jun.")
@json_option
@pass_session
def command(
    session: Session,
    /,
    subject: str,
    sure: str,
    on: str | None,
    note: str,
    drop: int | None,
    months: str | None,
    as_json: bool,
    **typed: str | tuple[str, str] | None,
) -> None:
    """Put a remembered fact about where SUBJECT is on record; without one, list them.

    One fact a time, each only so sure: a memory that is wrong must not empty the map. 'likely'
    puts them together. With the first one and in the list come pauses of three minutes or more
    that your own tracks made on that ground: one may have been there. Left, right, up and down
    of water are told looking downstream, by the terrain. Kinds that need terrain: --seen-from,
    --hidden-from, --slope, --facing, --height, --lit, --shade.

    \b
    Example:
      backbearing clue "powder hut" --near water --within 150m --sure 90%
      backbearing clue "powder hut" --side left --of "quarry brook"
      backbearing clue "powder hut" --walk 10min-25min --from "winding house" --sure 70%
    """
    from datetime import UTC, datetime

    from click.core import ParameterSource

    from backbearing.errors import BadInput
    from backbearing.plans.search.asked import add_clue, clues_and_offers, drop_clue
    from backbearing.plans.search.typedclue import TypedClue
    from backbearing.writers.plain import plain
    from backbearing.writers.search import clues_text

    given = {name: value for name, value in typed.items() if value is not None}
    if drop is not None and given:
        raise BadInput("drop a clue, or put one on record", where="--drop", remedy="one a time")
    if not given:
        alone = [name for name, value in (("note", note), ("on", on)) if value]
        source = click.get_current_context().get_parameter_source("sure")
        if source is not ParameterSource.DEFAULT:
            alone.append("sure")
        if alone:
            raise BadInput(
                "it goes with a fact that is remembered",
                where="--" + alone[0],
                remedy="give the fact too, as --near water --within 150m",
            )
    with session.open() as notebook:
        if drop is not None:
            answer = drop_clue(notebook, subject, drop)
        elif given:
            answer = add_clue(
                notebook,
                subject,
                TypedClue(**given),  # type: ignore[arg-type]  # click gives each its own type
                sure=sure,
                on=on,
                note=note,
                months=months,
                now=datetime.now(UTC),
            )
        else:
            answer = clues_and_offers(notebook, subject, months=months)
    if not answer.clues and not as_json:
        say("no clue on record; 'clue --help' has the kinds")
    emit(as_json, lambda: plain(answer), lambda: clues_text(answer))
