"""One tree of errors; each says what is wrong, where, and what to do.

    BackbearingError
    ├── BadInput (ValueError)       something the user gave cannot be used      exit 2
    │   └── BadFile                 … and it is in a file (path, and line)      exit 2
    ├── NotFound (LookupError)      a name or place that is not on record       exit 2
    ├── WriteError (OSError)        an answer cannot be written out             exit 1
    └── NotebookError (OSError)     the notebook cannot be read or written      exit 1
        ├── NotebookTooNew          written by a newer Backbearing: untouched
        ├── NotebookBusy            another program holds it
        └── NotebookReadOnly        opened for reading, or not ours to change

They are raised at the edge where the bad input came in. The command line prints
`str(error)` on stderr; it is one sentence, so a file's own text never enters it raw
(see `quoted`).
"""

from __future__ import annotations

from typing import Any

# join or part letters of Persian, of Indian scripts and of emoji; they neither move nor turn text
JOINERS = "\u200c\u200d"


def quoted(text: object, limit: int = 60) -> str:
    """Text from outside, made safe and short enough to stand inside one sentence."""
    shown = "".join(ch if ch.isprintable() or ch in JOINERS else "�" for ch in str(text))
    return "'" + (shown if len(shown) <= limit else shown[: limit - 1] + "…") + "'"


class BackbearingError(Exception):
    """Root of all errors raised on purpose.

    what: what is wrong, as a clause without a full stop.
    where: the file, line, option or field it is in, '' where there is none.
    remedy: what to do about it, as a clause, '' where nothing can be advised.
    """

    exit_code = 1

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        self.what = what
        self.where = where
        self.remedy = remedy
        super().__init__(what, where, remedy)

    def __reduce__(self) -> tuple[Any, ...]:
        """As it crosses from one process to another, which calls no `__init__`."""
        return _again, (type(self), self.args), dict(self.__dict__)

    def __str__(self) -> str:
        sentence = f"{self.where}: {self.what}" if self.where else self.what
        return f"{sentence}; {self.remedy}" if self.remedy else sentence


def _again(kind: type[BackbearingError], args: tuple[object, ...]) -> BackbearingError:
    error = kind.__new__(kind)
    error.args = args
    return error


class BadInput(BackbearingError, ValueError):
    """Something the user gave cannot be used as it is."""

    exit_code = 2


class BadFile(BadInput):
    """A file cannot be used: `where` is its path and, where known, the line."""

    def __init__(
        self, what: str, *, path: object = "", line: int | None = None, remedy: str = ""
    ) -> None:
        self.path = path
        self.line = line
        shown = quoted(path, 200).strip("'") if path else ""
        where = f"{shown}, line {line}" if line is not None else shown
        super().__init__(what, where=where, remedy=remedy)


class NotFound(BackbearingError, LookupError):
    """A name or place is not on record."""

    exit_code = 2


class WriteError(BackbearingError, OSError):
    """An answer cannot be written out: the disk is full, or what takes it failed."""


class NotebookError(BackbearingError, OSError):
    """The notebook cannot be read or written."""

    exit_code = 1


class NotebookTooNew(NotebookError):
    """The notebook was written by a newer Backbearing and is left untouched."""


class NotebookBusy(NotebookError):
    """Another program holds the notebook; nothing was written."""


class NotebookReadOnly(NotebookError):
    """The notebook was opened for reading only, or is not ours to change."""
