"""`setting`: show or change the notebook's settings."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, SignedPlace, emit, json_option, pass_session, say


@click.command(name="setting", cls=SignedPlace)
@click.argument("key", required=False)
@click.argument("value", required=False)
@click.option("--unset", is_flag=True, help="Take the setting KEY back.")
@json_option
@pass_session
def command(
    session: Session, key: str | None, value: str | None, unset: bool, as_json: bool
) -> None:
    """Show all settings of the notebook, or the one called KEY; with VALUE, set it.

    zone is the IANA name of the clock to go by at sea, where a position has no zone of its own
    but a whole-hour one; on land the position's own clock rules, whatever is set. start is the
    place where walks begin and drive how long it takes to get there from home: outings are
    planned with them where nothing else is said. language is what the page and the sheet speak,
    where there is a catalogue of it. call is whom to call when you are overdue, with
    the number, for the message left at home. With VALUE the notebook is made where there is none.

    \b
    Example:
      backbearing setting
      backbearing setting zone Atlantic/Azores
      backbearing setting start "landing stage"
      backbearing setting drive 40min
      backbearing setting call "coast guard, 112"
    """
    from backbearing.plans.settings import (
        change_setting,
        records_by_another_clock,
        show_settings,
        zone_setting,
    )
    from backbearing.writers.plain import plain
    from backbearing.writers.subjects import reread_lines, settings_text

    if unset and (key is None or value is not None):
        raise click.UsageError("--unset takes one KEY and no VALUE")
    changing = unset or value is not None
    with session.open(create=value is not None, readonly=not changing) as notebook:
        if key is not None and changing:
            before = zone_setting(notebook)
            settings = change_setting(notebook, key, value)
            if key == "zone":
                for line in reread_lines(records_by_another_clock(notebook, before)):
                    say(line)
        else:
            settings = show_settings(notebook, key)
    emit(as_json, lambda: {"settings": plain(settings)}, lambda: settings_text(settings))
