"""What stands behind the subject of each window of an answer, where that was asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from backbearing.plans.shade import Backdrops

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.plans.light.best import LightAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """A window's best minute, and what stands behind its subject then."""

    subject: str
    camera_position: str
    best: datetime
    zone: str
    sentence: str  # '' where no terrain, no camera's line or no sun tells


def stands_behind(notebook: Notebook, answer: LightAnswer) -> tuple[Against, ...]:
    """What stands behind the subject in each window of an answer, in the windows' order?

    Lit or in shade at the best minute, by the terrain on record (see `plans.shade.behind`).
    Raises NotebookError, and BadInput where a projection is not known.
    """
    from backbearing.notebook.subjects import find_subject, list_camera_positions

    backdrops, cameras = Backdrops(notebook), list_camera_positions(notebook)
    said: dict[int, str] = {}
    for name in dict.fromkeys(window.subject for window in answer.windows):
        subject = find_subject(notebook, name)
        windows = [window for window in answer.windows if window.subject == name]
        own = [camera for camera in cameras if camera.subject_id == subject.id]
        sentences = backdrops.sentences(subject, own, windows)
        said |= {id(window): text for window, text in zip(windows, sentences, strict=True)}
    return tuple(
        Against(
            subject=window.subject,
            camera_position=window.camera_position,
            best=window.best,
            zone=window.zone,
            sentence=said[id(window)],
        )
        for window in answer.windows
    )
