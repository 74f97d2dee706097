"""The door: finds a command by name, loads only that one, and turns errors into sentences.

Exit codes: 0 done · 1 failure · 2 bad input or usage (also when one of many files was bad).
"""

from __future__ import annotations

import importlib
import os
import sys
from contextlib import suppress
from io import StringIO
from pathlib import Path
from typing import NoReturn

import click

from backbearing import __version__
from backbearing.cli.frame import Session, say
from backbearing.errors import BackbearingError, quoted
from backbearing.plans.processes import collect_seldom

# name → (module in cli/, one line of help): the help page needs no command loaded
COMMANDS: dict[str, tuple[str, str]] = {
    "demo": ("demo", "Run the whole job on an invented island and name the page to open."),
    "import": ("import_", "Read tracks and notes into the notebook."),
    "card": ("card", "Print field cards: one subject on record in 60 seconds."),
    "mark": ("mark", "Put a subject on record, with what is known of it."),
    "subjects": ("subjects", "List the subjects on record."),
    "show": ("show", "Show all that is known of a subject."),
    "want": ("want", "Say which light is wanted at a subject."),
    "edit": ("edit", "Change what is on record of a subject."),
    "note": ("note", "Add a remark to a subject."),
    "delete": ("delete", "Move something to the bin."),
    "restore": ("restore", "Bring something back from the bin, or list the bin."),
    "tracks": ("tracks", "List past walks."),
    "track": ("track", "Show one past walk: length, climb, stops, gaps, subjects passed."),
    "kit": ("kit", "Keep emulsions, cameras, lenses, shutters and holders on record."),
    "plate": ("plate", "Keep book of plates: loaded, exposed, developed, how they came out."),
    "passage": ("passage", "Keep bridges, fords and gaps, and what was found there."),
    "clue": ("clue", "Keep what is remembered of where a subject is."),
    "searched": ("searched", "Keep where a subject was looked for, or found."),
    "likely": ("likely", "Say where a subject most likely is, by clues and looks."),
    "search": ("search", "Lay out the next walk that looks for a subject."),
    "way": ("way", "Find the way to a subject and back, leg by leg, with its times."),
    "outing": ("outing", "Plan a day from door to door, with turn-back times and what is near."),
    "pace": ("pace", "Show the walking pace by slope, from your own walks or a rule."),
    "terrain": ("terrain", "Put elevation rasters on record; list what they cover."),
    "sun": ("sun", "Where the sun stands at a place, and its day."),
    "skyline": ("skyline", "What stands around a place, and when the sun comes over it."),
    "reading": ("reading", "Put edges measured by hand on record; they go into the skyline."),
    "trees": ("trees", "Say which trees stand around a subject."),
    "light": ("light", "Rank the times when the wanted light is met."),
    "frame": ("framing", "Say whether a subject fits the plate, and draw it."),
    "focus": ("focus", "Say which mark to set for a distance, and what is sharp."),
    "expose": ("expose", "Say how many seconds to expose, and print tables for the tripod."),
    "map": ("map", "Make the page for the return visit; it needs no network."),
    "sheet": ("sheet", "Lay an outing out for paper: six times, route card, map, tables."),
    "export": ("export", "Write subjects or a planned outing to a file: GPX, GeoJSON, calendar."),
    "setting": ("setting", "Show or change the notebook's settings."),
    "check": ("check", "Verify the notebook."),
    "backup": ("backup", "Copy the notebook safely to a new file."),
}


class LazyGroup(click.Group):
    """A group whose commands are imported when they are called, not before."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"backbearing.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError:
            from difflib import get_close_matches

            close = get_close_matches(args[0], COMMANDS, n=1)
            hint = f" Did you mean '{close[0]}'?" if close else ""
            raise click.UsageError(f"No such command {quoted(args[0])}.{hint}", ctx) from None


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--notebook",
    "notebook_path",
    type=click.Path(path_type=Path, dir_okay=False),
    envvar="BACKBEARING_NOTEBOOK",
    help="The GeoPackage file to use. Default: $BACKBEARING_NOTEBOOK, else ./notebook.gpkg "
    "where it exists, else one in your data folder.",
)
@click.version_option(__version__, prog_name="backbearing")
@click.pass_context
def main(ctx: click.Context, notebook_path: Path | None) -> None:
    """Put far-off subjects on record, find them again, and know when their light is right.

    Times are estimates. Weather, snow, ice, rivers and tides are outside this tool; local
    rules and trained judgement come first.
    """
    ctx.obj = Session(notebook_path)


def start() -> NoReturn:
    """The process `backbearing`: `run`, and an end without tearing numpy and GDAL down.

    That would cost a cold answer 30 ms, a tenth of most; all files are closed by then.
    """
    collect_seldom()
    # numpy starts threads for large matrices as it loads; there are none here, and a third is saved
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    code: object = 0
    try:
        run()
    except SystemExit as end:
        code = end.code
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):  # a reader that went away was told of in `run`
            stream.flush()
    os._exit(code if isinstance(code, int) else int(code is not None))


def run() -> None:
    """Entry point of the `backbearing` command: never a traceback, always an exit code."""
    try:
        code = main.main(prog_name="backbearing", standalone_mode=False)
        sys.stdout.flush()
    except click.exceptions.Abort:
        say("backbearing: stopped; nothing half-written is kept")
        sys.exit(1)
    except click.ClickException as error:
        told = StringIO()
        error.show(file=told)
        for line in told.getvalue().splitlines():
            say(line)  # it may repeat what was typed or pasted
        sys.exit(2)
    except BackbearingError as error:
        say(f"backbearing: {error}")
        sys.exit(error.exit_code)
    except KeyboardInterrupt:
        say("backbearing: stopped; nothing half-written is kept")
        sys.exit(1)
    except BrokenPipeError:
        # the reader of our stdout went away (`| head`): not our failure
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except Exception as error:
        if os.environ.get("BACKBEARING_DEBUG"):
            raise
        if isinstance(error, OSError) and error.filename is None:
            # what is left here is stdout itself: files and notebooks map their own errors
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            say(f"backbearing: the answer could not be written out ({error.strerror})")
            sys.exit(1)
        say(
            f"backbearing: a fault of the program itself ({type(error).__name__}: {error}); "
            "set BACKBEARING_DEBUG=1 and run it again to see where"
        )
        sys.exit(1)
    sys.exit(code if isinstance(code, int) else 0)
