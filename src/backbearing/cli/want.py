"""`want`: which light is wanted at a subject."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session
from backbearing.cli.wish_options import wish_options


@click.command(name="want")
@click.argument("subject")
@click.option(
    "--from", "position", metavar="POSITION", help="The light wanted from this camera position."
)
@wish_options
@click.option("--clear", is_flag=True, help="Let go of all that was wanted before.")
@json_option
@pass_session
def command(
    session: Session,
    /,
    subject: str,
    position: str | None,
    clear: bool,
    as_json: bool,
    **wish: str | bool | None,
) -> None:
    """Say which light is wanted at SUBJECT; without options, show it.

    A camera position may have a wish of its own: the whole from one, a detail from another.
    Where it has none it goes by the subject's, and its own begins as that.

    Options change only what they name; the value 'any' lets go of one thing. Where nothing is
    wanted, `light` goes by a generic default and says so.

    \b
    Example:
      backbearing want "winding house" --sun --lit-from left --sun-height 5-25 --months Oct-Mar
      backbearing want "winding house" --other-sky 10:30-15:00 --sun-height any
      backbearing want "winding house" --from main --months Mar-Oct
      backbearing want "winding house"
    """
    from backbearing.plans.wishes import show_wish, store_wish
    from backbearing.writers.light import wish_text
    from backbearing.writers.plain import plain

    changing = clear or any(value is not None for value in wish.values())
    with session.open(readonly=not changing) as notebook:
        if changing:
            answer = store_wish(notebook, subject, wish, position_name=position, clear=clear)
        else:
            answer = show_wish(notebook, subject, position_name=position)
    emit(as_json, lambda: plain(answer), lambda: wish_text(answer))
