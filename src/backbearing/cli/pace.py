"""`pace`: how fast the user walks, by slope."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, tell_after_a_second


@click.command(name="pace")
@click.option(
    "--rule",
    metavar="NAME",
    help="'own', or a published rule: 'DIN 33466', 'Tobler', 'Swiss'.  "
    "[default: own where enough was walked, else DIN 33466]",
)
@json_option
@pass_session
def command(session: Session, rule: str | None, as_json: bool) -> None:
    """Show the walking pace by slope: from your own walks, or by a published rule.

    Stops are left out, and so are rides. Deadlines use the slow time, which 85 stretches of 100
    kept.

    \b
    Example:
      backbearing pace
      backbearing pace --rule Tobler
    """
    from backbearing.plans.pace import describe_pace
    from backbearing.writers.pace import pace_text
    from backbearing.writers.plain import plain

    with session.open(readonly=True) as notebook:
        answer = describe_pace(notebook, rule, progress=tell_after_a_second())
    emit(as_json, lambda: plain(answer), lambda: pace_text(answer))
