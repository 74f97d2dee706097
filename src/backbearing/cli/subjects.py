"""`subjects`: the list of subjects on record."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say
from backbearing.records import SUBJECT_STATES, SubjectState


@click.command(name="subjects")
@click.option("--state", type=click.Choice(SUBJECT_STATES), help="Only subjects of this state.")
@click.option("--blocked", is_flag=True, help="Only subjects where something stopped me.")
@json_option
@pass_session
def command(session: Session, state: SubjectState | None, blocked: bool, as_json: bool) -> None:
    """List the subjects on record, by name, with state, place and its error.

    After them come the notes that belong to no subject, each with the place it was written at.

    \b
    Example:
      backbearing subjects
      backbearing subjects --state scouted --json
    """
    from backbearing.plans.subjects import list_subjects
    from backbearing.writers.plain import plain
    from backbearing.writers.subjects import subjects_text

    with session.open(readonly=True) as notebook:
        answer = list_subjects(notebook, state=state, blocked=blocked)
    if not answer.subjects and not as_json:
        left = f" like that; {answer.left_out} others are" if answer.left_out else ""
        say(f"no subject{left} on record; 'backbearing mark' puts one there")
    emit(as_json, lambda: plain(answer), lambda: subjects_text(answer))
