"""`restore`: list the bin, or bring something back from it."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say


@click.command(name="restore")
@click.argument("number", type=int, required=False)
@json_option
@pass_session
def command(session: Session, number: int | None, as_json: bool) -> None:
    """List what is in the bin; with NUMBER, bring that back with all that went along.

    \b
    Example:
      backbearing restore
      backbearing restore 1
    """
    from backbearing.plans.discarding import bring_back, look_in_bin
    from backbearing.writers.plain import plain
    from backbearing.writers.subjects import bin_text

    with session.open(readonly=number is None) as notebook:
        answer = look_in_bin(notebook) if number is None else bring_back(notebook, number)
    if not answer.bin and answer.restored is None and not as_json:
        say("the bin is empty")
    emit(as_json, lambda: plain(answer), lambda: bin_text(answer))
