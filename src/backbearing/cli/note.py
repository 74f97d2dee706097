"""`note`: add a remark to a subject."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session


@click.command(name="note")
@click.argument("name")
@click.argument("text")
@json_option
@pass_session
def command(session: Session, name: str, text: str, as_json: bool) -> None:
    """Add TEXT to the remarks on the subject NAME. Remarks are added, never changed.

    \b
    Example:
      backbearing note "winding house" "drum still turns; bring the long lens"
    """
    from backbearing.plans.notes import add_remark
    from backbearing.writers.marking import note_text
    from backbearing.writers.plain import plain

    with session.open() as notebook:
        subject, note, zone = add_remark(notebook, name, text)
    emit(
        as_json,
        lambda: plain({"subject": subject.name, "note": note}),
        lambda: note_text(subject, note, zone),
    )
