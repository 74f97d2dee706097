"""`light`: when the light is right, at one subject or among all of them."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, tell_after_a_second
from backbearing.cli.wish_options import wish_options

_SHOWN = 10


@click.command(name="light")
@click.argument("subjects", nargs=-1, metavar="[SUBJECT]…")
@click.option("--from", "first", metavar="DAY", help="First day. Default: today.")
@click.option(
    "--to", "last", metavar="DAY", help="Last day. Default: a year on, or a fortnight for several."
)
@click.option("--on", metavar="DAY", help="One day only, as 2026-11-28, saturday or tomorrow.")
@click.option("--after", metavar="CLOCK", help="Not before this clock time on the first day.")
@click.option(
    "--limit",
    type=click.IntRange(min=1),
    help=f"Answer with so many windows. Default: {_SHOWN}, of which those much the same as one "
    "above are counted, not listed (--json lists them).",
)
@click.option("--batch", metavar="NAME", help="Say the seconds on this emulsion batch.")
@click.option("--aperture", metavar="N", help="For the seconds. Default: 16.")
@click.option("--lens", metavar="NAME", help="For the seconds: its own marks, its bellows.")
@click.option(
    "--longest", metavar="SPAN", help="Keep windows whose exposures stay under it, as 2min."
)
@click.option(
    "--behind",
    is_flag=True,
    help="Say what stands behind each subject at the best minute, lit or in shade. Reads terrain.",
)
@click.option("--start", metavar="PLACE", help="Keep what can be walked to and left in time.")
@click.option(
    "--depart",
    metavar="CLOCK",
    help="Not from home (or, without setting drive, the start) before. Default start: setting.",
)
@click.option("--back-by", metavar="CLOCK", help="Back at the start by then.")
@click.option(
    "--processes",
    type=click.IntRange(1, 64),
    metavar="N",
    help="Share the work among N processes. Default: as many as pay, at most one a core.",
)
@wish_options
@json_option
@pass_session
def command(
    session: Session,
    /,
    subjects: tuple[str, ...],
    first: str | None,
    last: str | None,
    on: str | None,
    after: str | None,
    limit: int | None,
    batch: str | None,
    aperture: str | None,
    lens: str | None,
    longest: str | None,
    behind: bool,
    start: str | None,
    depart: str | None,
    back_by: str | None,
    processes: int | None,
    as_json: bool,
    **wish: str | bool | None,
) -> None:
    """Rank the times when the light is right at SUBJECT, or at all subjects together.

    Every subject's best date comes before another's second, and truly different occasions
    before dates on which a window is much the same as one above (its edges within 20 minutes,
    the sun within 5° as high).

    It goes by the light wanted at each subject (see `want`). Options that say which light is
    wanted try another wish without keeping it; they start from the one on record where a
    single subject is named, and from nothing otherwise. A day is 2026-11-28, today, tomorrow
    or a weekday; clock times are those of the subject.

    \b
    Example:
      backbearing light "winding house"
      backbearing light --on saturday --after 13:00
      backbearing light "winding house" --behind
      backbearing light --start "47.01414 N 20.97348 W" --depart 07:00 --back-by 18:00
      backbearing light "winding house" --from 2026-11-01 --to 2027-02-28 --lit-from back
    """
    from datetime import UTC, datetime

    from backbearing.plans.light.question import ask_light
    from backbearing.writers.light import light_text
    from backbearing.writers.plain import plain

    seconds = bool(batch or aperture or longest or lens)
    walking = bool(start or depart or back_by)
    timed = reached = None
    with session.open() as notebook:
        answer = ask_light(
            notebook,
            subjects,
            first=first,
            last=last,
            on=on,
            after=after,
            wish=wish,
            limit=None if seconds or walking else limit or _SHOWN,
            now=datetime.now(UTC),
            processes=processes,
            progress=tell_after_a_second(),
        )
        if walking:
            from backbearing.plans.outing.reach import within_reach

            reached = within_reach(
                notebook,
                answer,
                start=start,
                depart=depart,
                back_by=back_by,
                limit=None if seconds else limit or _SHOWN,
                now=datetime.now(UTC),
                progress=tell_after_a_second(),
            )
            answer = reached.answer
        if seconds:
            from backbearing.plans.light.seconds import with_seconds

            timed = with_seconds(
                notebook,
                answer,
                batch_name=batch,
                aperture=aperture,
                lens_name=lens,
                longest=longest,
                limit=limit or _SHOWN,
            )
            answer = timed.answer
        if reached is not None:
            reached = reached.cut_to(answer)
        if behind:
            from backbearing.plans.light.against import stands_behind

            against = stands_behind(notebook, answer)

    def words() -> str:
        text = light_text(answer, neighbours=limit is not None)
        if behind:
            from backbearing.writers.against import against_text

            text += f"\n\n{against_text(against)}"
        if reached is not None:
            from backbearing.writers.reach import reach_text

            text += f"\n\n{reach_text(reached)}"
        if timed is None:
            return text
        from backbearing.writers.expose import timed_text

        return f"{text}\n\n{timed_text(timed)}"

    def values() -> dict[str, object]:
        found: dict[str, object] = plain(answer)
        if timed is not None:
            found["exposures"] = {k: v for k, v in plain(timed).items() if k != "answer"}
        if behind:
            found["behind"] = plain(against)
        if reached is not None:
            found["reach"] = {k: v for k, v in plain(reached).items() if k != "answer"}
        return found

    emit(as_json, values, words)
