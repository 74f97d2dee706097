"""`show`: all that is known of one subject."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session


@click.command(name="show")
@click.argument("name")
@json_option
@pass_session
def command(session: Session, name: str, as_json: bool) -> None:
    """Show all that is on record of the subject NAME.

    What stopped me and what to change next time come first; then state, place with its error and
    where that comes from, size, wanted light, camera positions and notes.

    \b
    Example:
      backbearing show "winding house"
    """
    from backbearing.plans.subjects import describe_subject
    from backbearing.writers.plain import plain
    from backbearing.writers.subjects import subject_text

    with session.open(readonly=True) as notebook:
        answer = describe_subject(notebook, name)
    emit(as_json, lambda: plain(answer), lambda: subject_text(answer))
