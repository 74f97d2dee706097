"""Subjects shared out among processes: one works as before, more help it.

The process that was asked works too and is the only one that writes. Helpers open the notebook for
reading, get the ids of a few subjects at a time, and hand back the share with the skylines they
worked out. A helper that is lost (killed, out of memory) leaves its subjects to the others.
"""

from __future__ import annotations

import multiprocessing
import signal
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from traceback import format_exception
from typing import TYPE_CHECKING

from backbearing.errors import BackbearingError, NotebookError
from backbearing.plans.light.share import Question, Share, work_out
from backbearing.plans.processes import cores, deaf_to_interrupts
from backbearing.plans.skyline import bring_layers_up_to_date, keep_skylines
from backbearing.saying import say, speaking

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from multiprocessing.context import SpawnProcess
    from pathlib import Path

    from backbearing.notebook import Notebook
    from backbearing.plans.skyline import MadeSkyline
    from backbearing.records import Subject

    Told = Callable[[str], None]

# Measured on one core: 0.06 s for a subject's year, as much again for its skylines made afresh,
# 0.5 s for a helper to start. So much work for each process leaves starting it a third or less.
_WORTH_A_PROCESS_S = 1.5
_YEAR_S = 0.06
_SKYLINES_S = 0.06
_SKYLINES_EACH = 5
_MOST_PROCESSES = 8  # some 150 MB each
_OF_THE_REST = 4  # a share is a process's part of what is left, by this: the last are single ones
_AHEAD = 2  # shares a helper has at hand, so that it never waits for its next


def processes_worth(notebook: Notebook, subjects: Sequence[Subject], question: Question) -> int:
    """How many processes pay for a question: one for small ones, at most one for each core."""
    from backbearing.notebook.terrain import count_skylines, list_layers

    years = len(subjects) * ((question.end - question.start).days + 1) / 365.0
    fresh = 0.0
    if list_layers(notebook):
        fresh = max(0.0, len(subjects) - count_skylines(notebook) / _SKYLINES_EACH)
    work_s = years * _YEAR_S + fresh * _SKYLINES_S
    return max(1, min(int(work_s / _WORTH_A_PROCESS_S), cores(), _MOST_PROCESSES))


def shares(
    notebook: Notebook,
    subjects: Sequence[Subject],
    question: Question,
    *,
    processes: int | None = None,
    progress: Told | None = None,
) -> list[Share]:
    """What is found at the subjects, in shares in their order.

    processes: None for as many as pay. With two and more, further Python processes are started,
    which import the main module of a script again: it must guard what it runs, as
    `multiprocessing` asks for.
    Raises NotebookError.
    """
    if processes is None:
        processes = processes_worth(notebook, subjects, question)
    processes = min(processes, len(subjects))
    if processes <= 1:
        return [work_out(notebook, subjects, question, progress=progress)]
    bring_layers_up_to_date(notebook)
    parts = _parts(subjects, processes)
    todo = list(range(len(parts)))
    done: dict[int, Share] = {}
    made: list[MadeSkyline] = []
    tell = progress or (lambda line: None)
    with _helpers(notebook.path, question, processes - 1) as helpers:
        while len(done) < len(parts):
            for helper in helpers:
                while todo and len(helper.has) < _AHEAD:
                    helper.give(todo.pop(0), parts)
            busy = {helper.line: helper for helper in helpers if helper.has}
            for line in wait(busy, timeout=0 if todo else None):
                helper = busy[line]  # type: ignore[index]
                answer = helper.take()
                if answer is None:
                    helpers.remove(helper)
                    todo = sorted([*todo, *helper.has])
                    continue
                number, share, skylines = answer
                done[number] = share
                made += skylines
            if todo:
                number = todo.pop(0)
                done[number] = work_out(notebook, parts[number], question, made=made)
            tell(f"light: {sum(len(parts[n]) for n in done)} of {len(subjects)} subjects")
    keep_skylines(notebook, made)
    return [done[number] for number in range(len(parts))]


def _parts(subjects: Sequence[Subject], processes: int) -> list[Sequence[Subject]]:
    """Shares ever smaller: large ones cost less, small ones let all end together."""
    parts = []
    first = 0
    while first < len(subjects):
        size = max(1, (len(subjects) - first) // (_OF_THE_REST * processes))
        parts.append(subjects[first : first + size])
        first += size
    return parts


@dataclass(eq=False)
class _Helper:
    """A process that works out shares; `has` are the numbers of those it has not answered."""

    process: SpawnProcess
    line: Connection
    has: list[int] = field(default_factory=list)

    def give(self, number: int, parts: Sequence[Sequence[Subject]]) -> None:
        self.has.append(number)
        with suppress(OSError):  # it is gone, which taking its answer will tell
            self.line.send((number, [one.id for one in parts[number]]))

    def take(self) -> tuple[int, Share, list[MadeSkyline]] | None:
        """Its next answer, None where it is gone. Raises the error it met."""
        try:
            answer = self.line.recv()
        except (EOFError, OSError):
            return None
        if isinstance(answer, BackbearingError):
            raise answer
        if isinstance(answer, str):
            raise RuntimeError(say("in a helping process: {answer}", answer=answer))
        number, share, skylines = answer
        self.has.remove(number)
        return number, share, skylines


@contextmanager
def _helpers(path: Path, question: Question, count: int) -> Iterator[list[_Helper]]:
    """Processes that help; none is left behind, whatever happens in between."""
    context = multiprocessing.get_context("spawn")
    helpers: list[_Helper] = []
    started: list[_Helper] = []
    try:
        with deaf_to_interrupts():
            for _ in range(count):
                ours, theirs = context.Pipe()
                process = context.Process(
                    target=_help, args=(path, question, theirs), daemon=True, name="light"
                )
                process.start()
                theirs.close()
                helpers.append(_Helper(process=process, line=ours))
                started.append(helpers[-1])
        yield helpers
    finally:
        for helper in started:
            helper.process.terminate()
        for helper in started:
            helper.process.join()
            helper.line.close()


def _help(path: Path, question: Question, line: Connection) -> None:
    """What a helping process does: answer one share after another, until nobody asks."""
    from backbearing.notebook import open_notebook
    from backbearing.notebook.subjects import list_subjects

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # where it could not be kept away at the start
    try:
        with speaking(question.language), open_notebook(path, readonly=True) as notebook:
            known = {subject.id: subject for subject in list_subjects(notebook)}
            while True:
                number, ids = line.recv()
                if not known.keys() >= set(ids):
                    raise NotebookError(
                        say("another program took subjects out of it meanwhile"),
                        where=f"notebook {path.name}",
                        remedy=say("ask again"),
                    )
                made: list[MadeSkyline] = []
                share = work_out(notebook, [known[each] for each in ids], question, made=made)
                line.send((number, share, made))
    except (EOFError, BrokenPipeError, ConnectionResetError):
        pass  # the process that asked is gone
    except BackbearingError as error:
        line.send(error)
    except Exception as error:
        line.send("".join(format_exception(error)))
