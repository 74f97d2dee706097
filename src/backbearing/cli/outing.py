"""`outing`: a day planned from door to door for a subject's light."""

from __future__ import annotations

from typing import Any

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, tell_after_a_second
from backbearing.cli.outingoptions import outing_options


@click.command(name="outing")
@click.argument("subject")
@outing_options
@json_option
@pass_session
def command(session: Session, /, subject: str, as_json: bool, **asked: Any) -> None:
    """Plan a day for SUBJECT from door to door: when to leave, set up, turn back, be back.

    Deadlines hold at the slow pace, with a margin. Rough, trackless and water legs are walked in
    usable light only, judged under the sky and the trees of each; paths may be walked by torch.
    Where the day cannot work, it says what is short, by how much, and the next day that works.

    \b
    Example:
      backbearing outing "winding house" --start "landing stage" --drive 40min
      backbearing outing "winding house" --start "landing stage" --date 2026-11-28 --back-by 15:00
    """
    from datetime import UTC, datetime

    from backbearing.plans.outing import ask_outing
    from backbearing.writers.outing import outing_text
    from backbearing.writers.plain import plain

    with session.open() as notebook:
        answer = ask_outing(
            notebook, subject, now=datetime.now(UTC), progress=tell_after_a_second(), **asked
        )
    emit(as_json, lambda: plain(answer), lambda: outing_text(answer))
