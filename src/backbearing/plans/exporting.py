"""What leaves the notebook in an export: subjects with the places to stand for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import NotFound

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.records import CameraPosition, Subject


@dataclass(frozen=True, slots=True, kw_only=True)
class ExportedSubject:
    """A subject and its camera positions."""

    subject: Subject
    camera_positions: tuple[CameraPosition, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Export:
    """All that is to be written, in the order asked for, else by name."""

    subjects: tuple[ExportedSubject, ...]

    @property
    def camera_positions(self) -> int:
        return sum(len(one.camera_positions) for one in self.subjects)


def gather_export(notebook: Notebook, names: Sequence[str]) -> Export:
    """The subjects of these names, or all, with their camera positions.

    Raises NotFound for a name that is not on record, and where there is no subject at all.
    """
    from backbearing.notebook.subjects import (
        find_subject,
        list_camera_positions,
        list_subjects,
    )

    found = [find_subject(notebook, name) for name in names] or list_subjects(notebook)
    if not found:
        raise NotFound("no subject is on record", remedy="'backbearing mark' puts one there")
    once = {subject.id: subject for subject in found}
    return Export(
        subjects=tuple(
            ExportedSubject(
                subject=subject,
                camera_positions=tuple(list_camera_positions(notebook, subject.id)),
            )
            for subject in once.values()
        )
    )
