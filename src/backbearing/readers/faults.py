"""The faults of one file: each counted, the first of each kind listed by its line."""

from __future__ import annotations

from typing import Literal

from backbearing.errors import quoted
from backbearing.records import Fault

FAULTS_LISTED = 50  # of one kind; a broken file has a hundred thousand

Action = Literal["dropped", "repaired", "kept"]


class Faults:
    """Faults as they are met. A kind is a field, what is wrong with it, and what was done."""

    def __init__(self) -> None:
        self._listed: list[Fault] = []
        self._seen: dict[tuple[str, str, Action], int] = {}
        self._first_unlisted: dict[tuple[str, str, Action], int] = {}
        self._first_counted: dict[tuple[str, str, Action], int] = {}

    def add(self, line: int, field: str, what: str, action: Action, *, value: str = "") -> None:
        """Count one fault; list it, with the value it was found in, if it is among the first."""
        kind = (field, what, action)
        seen = self._seen[kind] = self._seen.get(kind, 0) + 1
        if seen <= FAULTS_LISTED:
            shown = f"{quoted(value, 40)} {what}" if value else what
            self._listed.append(Fault(line=line, field=field, what=shown, action=action))
        elif seen == FAULTS_LISTED + 1:
            self._first_unlisted[kind] = line

    def count(self, line: int, field: str, what: str, action: Action) -> None:
        """Count a fault that a whole file has: one line speaks for all of them."""
        kind = (field, what, action)
        self._seen[kind] = self._seen.get(kind, 0) + 1
        self._first_counted.setdefault(kind, line)

    def in_order(self) -> tuple[Fault, ...]:
        """All faults by line; the counts of the records add up to the faults met."""
        counted = [(kind, line, self._seen[kind]) for kind, line in self._first_counted.items()]
        counted += [
            (kind, line, self._seen[kind] - FAULTS_LISTED)
            for kind, line in self._first_unlisted.items()
        ]
        summed = [
            Fault(line=line, field=field, what=what, action=action, count=count)
            for (field, what, action), line, count in counted
        ]
        return tuple(sorted(self._listed + summed, key=lambda fault: fault.line))
