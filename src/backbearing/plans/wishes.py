"""The light wanted at a subject: kept on record, and shown."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from backbearing.plans.wanted import generic_wish, read_wanted, wanted_clauses

if TYPE_CHECKING:
    from collections.abc import Mapping

    from backbearing.notebook import Notebook
    from backbearing.records import Subject, WantedLight


@dataclass(frozen=True, slots=True, kw_only=True)
class WishAnswer:
    """The light wanted at a subject, and in words."""

    subject: str
    basis: Literal["on record", "generic default"]
    wanted: WantedLight  # the one `light` would go by
    words: tuple[str, ...]  # a clause for each thing wanted
    missing: str  # what keeps it from being judged; '' where nothing does


def show_wish(notebook: Notebook, name: str) -> WishAnswer:
    """Which light is wanted at this subject? Raises NotFound for an unknown name."""
    from backbearing.notebook.subjects import find_subject

    return _answer(notebook, find_subject(notebook, name))


def store_wish(
    notebook: Notebook, name: str, options: Mapping[str, Any], *, clear: bool = False
) -> WishAnswer:
    """Change the wish on record by these options (see `plans.wanted.read_wanted`); show it.

    clear: let go of the wish on record first. Raises NotFound, BadInput.
    """
    from backbearing.notebook.subjects import find_subject, update_subject

    with notebook.writing():
        subject = find_subject(notebook, name)
        base = None if clear else subject.wanted
        subject = replace(subject, wanted=read_wanted(options, base) or base)
        update_subject(notebook, subject)
    return _answer(notebook, subject)


def _answer(notebook: Notebook, subject: Subject) -> WishAnswer:
    from backbearing.notebook.subjects import list_camera_positions

    cameras = list_camera_positions(notebook, subject.id)
    known = subject.facing_deg is not None or any(c.bearing is not None for c in cameras)
    wanted = subject.wanted or generic_wish(bearing_known=known)
    needs = wanted.delta_deg is not None or wanted.side is not None
    return WishAnswer(
        subject=subject.name,
        basis="generic default" if subject.wanted is None else "on record",
        wanted=wanted,
        words=tuple(wanted_clauses(wanted, facing_deg=subject.facing_deg).values()),
        missing="no bearing from camera to subject is on record, so where it is lit from cannot "
        "be judged"
        if needs and not known
        else "",
    )
