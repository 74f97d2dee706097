"""Moving things to the bin and bringing them back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.records import Deleted


@dataclass(frozen=True, slots=True, kw_only=True)
class Discarded:
    """What went to the bin, and what went along with it, as a clause ('' where nothing did)."""

    deleted: Deleted
    along: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BinAnswer:
    """What was brought back, if anything, and what the bin now holds, last deleted first."""

    restored: Deleted | None
    bin: tuple[Deleted, ...]


def discard_subject(
    notebook: Notebook, name: str, *, camera_position: str | None = None
) -> Discarded:
    """Move a subject with its camera positions and notes to the bin, or one camera position.

    Raises NotFound for an unknown subject, BadInput for an unknown camera position.
    """
    from backbearing.notebook.bin import discard
    from backbearing.notebook.subjects import find_subject, list_camera_positions, list_notes
    from backbearing.plans.editing import camera_of_name

    with notebook.writing():
        subject = find_subject(notebook, name)
        cameras = list_camera_positions(notebook, subject.id)
        if camera_position is not None:
            camera = camera_of_name(cameras, subject, camera_position)
            deleted = discard(notebook, "camera position", camera.id or 0)
            return Discarded(deleted=deleted, along=f"a camera position of {subject.name}")
        notes = list_notes(notebook, subject.id)
        deleted = discard(notebook, "subject", subject.id or 0)
    counted = [
        f"{count} {word}{'' if count == 1 else 's'}"
        for count, word in ((len(cameras), "camera position"), (len(notes), "note"))
        if count
    ]
    return Discarded(deleted=deleted, along=f"with {' and '.join(counted)}" if counted else "")


def discard_number(
    notebook: Notebook, kind: Literal["track", "waypoint", "route"], number: int
) -> Discarded:
    """Move a track, waypoint or route to the bin by its number.

    Raises NotFound where there is none of that number.
    """
    from backbearing.notebook.bin import discard

    with notebook.writing():
        return Discarded(deleted=discard(notebook, kind, number), along="")


def look_in_bin(notebook: Notebook) -> BinAnswer:
    """What the bin holds, last deleted first."""
    from backbearing.notebook.bin import list_bin

    return BinAnswer(restored=None, bin=tuple(list_bin(notebook)))


def bring_back(notebook: Notebook, number: int) -> BinAnswer:
    """Bring something back from the bin with all that went along.

    Raises NotFound where the bin holds no such number, BadInput where its name is taken.
    """
    from backbearing.notebook.bin import list_bin, restore

    with notebook.writing():
        restored = restore(notebook, number)
        return BinAnswer(restored=restored, bin=tuple(list_bin(notebook)))
