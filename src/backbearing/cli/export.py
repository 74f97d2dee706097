"""`export`: write what is on record in a form other programs read; one kind a subcommand."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from backbearing.cli.frame import Session, pass_session, say, tell_after_a_second
from backbearing.cli.outingoptions import outing_options

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

    from backbearing.plans.exporting import Export


@click.group(name="export")
def command() -> None:
    """Write subjects, or a planned outing, to a file.

    The file says exactly where your subjects are: it leaves this machine only with you.

    \b
    Example:
      backbearing export gpx "winding house" --out winding-house.gpx
    """


def _kind(name: str, about: str) -> Callable[[Callable[..., str]], None]:
    """Add `export NAME`: the same question and options, the writer given."""

    def add(render: Callable[..., str]) -> None:
        @command.command(name=name, help=render.__doc__, short_help=about)
        @click.argument("subjects", nargs=-1, metavar="[SUBJECT]...")
        @click.option(
            "--out",
            type=click.Path(path_type=Path, dir_okay=False),
            help="The file. Default: stdout.",
        )
        @click.option("--overwrite", is_flag=True, help="Replace a file that already stands there.")
        @pass_session
        def _export(
            session: Session, subjects: tuple[str, ...], out: Path | None, overwrite: bool
        ) -> None:
            from backbearing.plans.exporting import gather_export
            from backbearing.writers.files import write_atomically
            from backbearing.writers.text import counted

            with session.open(readonly=True) as notebook:
                export = gather_export(notebook, subjects)
            text = render(export)
            if out is None:
                click.echo(text, nl=False)
                return
            write_atomically(out, text, overwrite=overwrite)
            subjects_told = counted(len(export.subjects), "subject")
            cameras_told = counted(export.camera_positions, "camera position")
            say(f"{subjects_told} and {cameras_told} written to {out}")

    return add


@_kind("gpx", "GPX 1.1 waypoints.")
def _gpx(export: Export) -> str:
    """Write subjects and camera positions as GPX 1.1 waypoints: those named, or all.

    \b
    Examples:
      backbearing export gpx --out subjects.gpx
      backbearing export gpx arch "pump wheel" > two.gpx
    """
    from backbearing.writers.gpx import gpx_text

    return gpx_text(export)


@_kind("geojson", "GeoJSON points (RFC 7946).")
def _geojson(export: Export) -> str:
    """Write subjects and camera positions as GeoJSON points: those named, or all.

    \b
    Example:
      backbearing export geojson --out subjects.geojson
    """
    from backbearing.writers.geojson import geojson_text

    return geojson_text(export)


def _of_an_outing(
    name: str, about: str, example: str, *, own: Sequence[click.Option] = ()
) -> Callable[[Callable[..., str]], None]:
    """Add `export NAME SUBJECT`: an outing planned with the options of 'outing', as a file.

    own: options of this kind alone, handed to the writer by name.
    """

    def add(render: Callable[..., str]) -> None:
        @command.command(
            name=name,
            help=f"{render.__doc__}\n\n\b\nExample:\n  {example}\n",
            short_help=about,
        )
        @click.argument("subject")
        @click.option(
            "--out",
            type=click.Path(path_type=Path, dir_okay=False),
            help="The file. Default: stdout.",
        )
        @click.option("--overwrite", is_flag=True, help="Replace a file that already stands there.")
        @outing_options
        @pass_session
        def _export(
            session: Session,
            /,
            subject: str,
            out: Path | None,
            overwrite: bool,
            **asked: Any,
        ) -> None:
            from datetime import UTC, datetime

            from backbearing.plans.outing import ask_outing
            from backbearing.writers.files import write_atomically

            now = datetime.now(UTC)
            told = {option.name: asked.pop(option.name or "") for option in own}
            with session.open() as notebook:
                outing = ask_outing(
                    notebook, subject, now=now, progress=tell_after_a_second(), **asked
                )
                text = render(notebook, outing, now, **told)
            if not outing.works:
                say("the day does not work as planned; 'backbearing outing' says what is short")
            if out is None:
                click.echo(text, nl=False)
                return
            write_atomically(out, text, overwrite=overwrite)
            say(f"the outing of {outing.day} to {outing.subject} written to {out}")

        _export.params.extend(own)

    return add


@_of_an_outing(
    "calendar",
    "An outing as a calendar entry with reminders (iCalendar).",
    'backbearing export calendar "winding house" --start "landing stage" --out light.ics',
)
def _calendar(notebook: Any, outing: Any, now: datetime) -> str:
    """Write an outing's light as a calendar entry, with reminders to leave, set up and turn back.

    iCalendar (RFC 5545). Exported again for the same light it brings the same entry up to date. A
    day that does not work has no reminders.
    """
    from backbearing.plans.taking import calendar_entry
    from backbearing.writers.calendar import calendar_text, outing_description

    entry = calendar_entry(notebook, outing, description=outing_description(outing))
    return calendar_text([entry], written_at=now)


@_of_an_outing(
    "walk",
    "An outing's ways as GPX, with times in the waypoints' names.",
    'backbearing export walk "winding house" --start "landing stage" --out walk.gpx',
)
def _walk(notebook: Any, outing: Any, now: datetime) -> str:
    """Write an outing's ways as GPX 1.1: route and track, waypoints with times in their names."""
    from backbearing.plans.taking import route_card
    from backbearing.writers.walkgpx import walk_gpx

    return walk_gpx(outing, route_card(notebook, outing))


@_of_an_outing(
    "plan",
    "An outing's legs as GeoJSON.",
    'backbearing export plan "winding house" --start "landing stage" --out plan.geojson',
)
def _plan(notebook: Any, outing: Any, now: datetime) -> str:
    """Write an outing's legs as GeoJSON (RFC 7946), with their times and deadlines."""
    from backbearing.plans.taking import route_card
    from backbearing.writers.plangeojson import plan_geojson

    return plan_geojson(outing, route_card(notebook, outing))


@_of_an_outing(
    "message",
    "The message to leave at home: where, when back, whom to call.",
    'backbearing export message "winding house" --start "landing stage" --call "coast guard, 112"',
    own=[
        click.Option(
            ["--call"],
            metavar="WORDS",
            help="Whom to call when you are overdue, and the number. Default: setting call.",
        )
    ],
)
def _message(notebook: Any, outing: Any, now: datetime, *, call: str | None) -> str:
    """Write the message for whoever stays at home, with blanks for car and companion."""
    from backbearing.plans.taking import route_card, whom_to_call
    from backbearing.writers.sheet import overdue_text

    return overdue_text(outing, route_card(notebook, outing), call=whom_to_call(notebook, call))
