"""Kit: a file of it put on record, what is on record, and a file to start from."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import NotFound, quoted
from backbearing.notebook.names import name_key

if TYPE_CHECKING:
    from pathlib import Path

    from backbearing.notebook import Notebook
    from backbearing.notebook.kit import Entry
    from backbearing.records import Kit


@dataclass(frozen=True, slots=True, kw_only=True)
class KitTaken:
    """What a kit file brought: names by kind ('batch winter box'), and what was there already."""

    new: tuple[str, ...]
    changed: tuple[str, ...]
    same: tuple[str, ...]
    not_in_file: tuple[str, ...]  # on record from before, and left there


def take_kit(notebook: Notebook, path: Path) -> KitTaken:
    """Put the kit of a TOML file on record, all of it or none; a name on record is replaced.

    Raises BadFile as `readers.kit.read_kit` does, NotebookError.
    """
    from backbearing.notebook.kit import load_kit, put_entry
    from backbearing.readers.kit import read_kit

    given = read_kit(path)
    before = dict(_by_key(load_kit(notebook)).items())
    new: list[str] = []
    changed: list[str] = []
    same: list[str] = []
    with notebook.writing():
        for key, entry in _by_key(given).items():
            known = before.pop(key, None)
            if known is not None and dataclasses.replace(known, id=None) == entry:
                same.append(_called(entry))
                continue
            put_entry(notebook, entry)
            (new if known is None else changed).append(_called(entry))
    return KitTaken(
        new=tuple(new),
        changed=tuple(changed),
        same=tuple(same),
        not_in_file=tuple(_called(entry) for entry in before.values()),
    )


def kit_on_record(notebook: Notebook) -> Kit:
    """All kit on record."""
    from backbearing.notebook.kit import load_kit

    return load_kit(notebook)


def forget_kit(notebook: Notebook, name: str) -> str:
    """Take a piece of kit off the record by its name, or 'lens NAME' where two kinds share one.

    Returns what it was. Raises NotFound.
    """
    from backbearing.notebook.kit import forget_entry, load_kit

    entries = _by_key(load_kit(notebook))
    wanted = name_key(name)
    found = [
        entry
        for (kind, key), entry in entries.items()
        if wanted in (key, name_key(f"{kind} {entry.name}"))
    ]
    if len(found) != 1:
        what = "no piece of kit is" if not found else f"{len(found)} pieces of kit are"
        raise NotFound(
            f"{what} called {quoted(name)}",
            remedy="'backbearing kit' lists them; put the kind first, as 'lens NAME'",
        )
    with notebook.writing():
        forget_entry(notebook, found[0])
    return _called(found[0])


def _by_key(kit: Kit) -> dict[tuple[str, str | None], Entry]:
    every: list[Entry] = [*kit.batches, *kit.cameras, *kit.lenses, *kit.shutters, *kit.holders]
    return {(_kind(entry), name_key(entry.name)): entry for entry in every}


def _kind(entry: Entry) -> str:
    return type(entry).__name__.lower()


def _called(entry: Entry) -> str:
    return f"{_kind(entry)} {entry.name}"
