"""What every command shares: the notebook it works on, `--json`, and where text goes.

Results go to stdout and narration to stderr, so that a pipe gets only the answer.
"""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable

    from backbearing.notebook import Notebook

json_option = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")


class Session:
    """The notebook a command line was pointed at; opened only when a command asks for it."""

    def __init__(self, notebook_path: Path | None) -> None:
        self._given = notebook_path

    @property
    def path(self) -> Path:
        if self._given is not None:
            return self._given
        here = Path("notebook.gpkg")
        if here.exists():
            return here
        from platformdirs import user_data_path

        return user_data_path("backbearing", appauthor=False) / "notebook.gpkg"

    def open(self, *, create: bool = False, readonly: bool = False) -> Notebook:
        """Open the notebook as a context manager (see `notebook.open_notebook`).

        create: make it where there is none, as soon as something is written.
        """
        from backbearing.notebook import open_notebook

        if create and self._given is None and not self.path.exists():
            path = self.path  # in the data folder, where nobody would look for it
            click.get_current_context().call_on_close(
                lambda: say(f"a new notebook was made: {path}") if path.exists() else None
            )
        return open_notebook(
            self.path, create="once written" if create else False, readonly=readonly
        )


class SignedPlace(click.Command):
    """A command whose PLACE may begin with a minus sign, which click takes for an option's."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        # with a space before it, it is an argument wherever it stands; locating drops the space
        signed = (f" {arg}" if re.match(r"-\.?[0-9]", arg) else arg for arg in args)
        return super().parse_args(ctx, list(signed))


pass_session = click.make_pass_decorator(Session)


def emit(as_json: bool, answer: Callable[[], Any], words: Callable[[], str]) -> None:
    """Print the answer once: as JSON (from `answer`) or as words (from `words`)."""
    if as_json:
        from backbearing.writers.plain import json_text

        print(json_text(answer()))
    else:
        text = words()
        if text:
            print(text)


def say(line: str) -> None:
    """Narrate on stderr, in one line."""
    from backbearing.writers.text import clean

    print(clean(line), file=sys.stderr)


def tell_after_a_second(pause_s: float = 1.0) -> Callable[[str], None]:
    """A narrator that keeps silent for a second, then speaks at most once a second."""
    last_told = monotonic()

    def tell(line: str) -> None:
        nonlocal last_told
        if monotonic() - last_told >= pause_s:
            last_told = monotonic()
            say(line)

    return tell


def colour_wanted() -> bool:
    """Whether stdout is a terminal that takes colour (NO_COLOR is honoured)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR")
