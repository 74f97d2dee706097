"""`expose`: how many seconds, at a subject and along its day; tables for the tripod."""

from __future__ import annotations

from pathlib import Path

import click

from backbearing.cli.frame import (
    Session,
    emit,
    json_option,
    pass_session,
    say,
    tell_after_a_second,
)


@click.command(name="expose")
@click.argument("subject", required=False)
@click.option("--at", metavar="WHEN", help="A clock time there, as 14:32, alone or after a day.")
@click.option("--date", "day", metavar="DAY", help="The best light of a day, as 2026-11-28.")
@click.option(
    "--batch", metavar="NAME", help="Emulsion batch. Default: the only one, else that loaded."
)
@click.option("--aperture", metavar="N", help="As engraved on the lens, or f/N. Default: 16.")
@click.option("--lens", metavar="NAME", help="A lens on record: its own marks, its bellows.")
@click.option("--tilt", metavar="ANGLE", help="Of the face: 0 lies flat, 90 upright (default).")
@click.option("--moon", is_flag=True, help="The moon's light too; by night it is told unasked.")
@click.option("--filter", "filter_name", metavar="NAME", help="A filter of the batch.")
@click.option("--distance", metavar="LENGTH", help="Camera to subject, for the bellows.")
@click.option(
    "--meter",
    metavar="READING",
    help="As 'EV 9 incident', '1/30 s reflected' (at ISO 100, f/16), 'EV 13 reflected snow': "
    "off snow 2 stops more are given.",
)
@click.option("--longest", metavar="SPAN", help="Say until when it is no longer than this.")
@click.option("--from", "position", metavar="NAME", help="The camera position. Default: the first.")
@click.option(
    "--tone",
    "tones",
    metavar="NAME",
    multiple=True,
    help="A tone that must be drawn, as 'grey rock'; may be given again. For the contrast.",
)
@click.option("--sky", type=click.Choice(["clear", "hazy", "overcast"]), default="clear")
@click.option("--ground", default="grass", help="What lies before it, as grass or fresh snow.")
@click.option(
    "--light",
    "table_light",
    metavar="LIGHT",
    help="For --tables: 'sun 8' for a sun 8° up, shade, hazy or overcast. Default: that at "
    "SUBJECT, or of the batch's trial.",
)
@click.option("--tables", is_flag=True, help="Meter to seconds for the batch instead.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="With --tables: write a sheet to print (HTML); with SUBJECT, the day's seconds too.",
)
@click.option("--paper", type=click.Choice(["A4", "Letter"], case_sensitive=False), default="A4")
@click.option("--overwrite", is_flag=True, help="Replace the file where it already stands.")
@json_option
@pass_session
def command(
    session: Session,
    /,
    subject: str | None,
    tables: bool,
    out: Path | None,
    paper: str,
    overwrite: bool,
    as_json: bool,
    batch: str | None,
    lens: str | None,
    filter_name: str | None,
    table_light: str | None,
    tones: tuple[str, ...],
    day: str | None,
    sky: str,
    ground: str,
    moon: bool,
    **asked: str | None,
) -> None:
    """Say how many seconds to expose at SUBJECT, with the range, then and along its day.

    The batch's tested speed counts from the light it was found in; reciprocity comes last.
    Without a batch the EV at ISO 100 is answered. With --meter the seconds are those of the
    reading, and --longest counts from it on as the light is predicted to change.

    \b
    Example:
      backbearing expose "winding house" --date 2026-11-28
      backbearing expose "winding house" --at "2026-11-28 14:30" --aperture 16
      backbearing expose --tables --batch "slate coating 4" --light "sun 8"
    """
    from datetime import UTC, datetime

    from backbearing.plans.expose import ask_expose, ask_tables
    from backbearing.writers.expose import expose_text, tables_text
    from backbearing.writers.plain import plain

    if subject is None and not tables:
        raise click.UsageError("Name a SUBJECT, or ask for --tables.")
    if out is not None and not tables:
        raise click.UsageError("--out goes with --tables.")
    if table_light is not None and not tables:
        raise click.UsageError("--light goes with --tables.")
    with session.open(readonly=True) as notebook:
        taken = answer = None
        if subject is not None:
            answer = ask_expose(
                notebook,
                subject,
                batch_name=batch,
                lens_name=lens,
                filter_name=filter_name,
                tones=tones,
                day=day,
                sky=sky,
                ground=ground,
                moon=moon,
                now=datetime.now(UTC),
                progress=tell_after_a_second(),
                **asked,
            )
        if tables:
            taken = ask_tables(
                notebook,
                batch_name=batch,
                lens_name=lens,
                filter_name=filter_name,
                distance=asked["distance"],
                light=table_light,
                answer=answer,
            )
    if out is not None and taken is not None:
        from backbearing.writers.exposesheet import sheet_html
        from backbearing.writers.files import write_atomically

        write_atomically(out, sheet_html(taken, answer, paper), overwrite=overwrite)
        say(f"print {out} on {paper}")
        return

    def words() -> str:
        parts = [tables_text(taken)] if taken else []
        return "\n\n".join([*parts, *([expose_text(answer)] if answer else [])])

    emit(as_json, lambda: {"exposure": plain(answer), "tables": plain(taken)}, words)
