"""The light wanted at a subject, or from one of its camera positions: kept on record, and shown."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from backbearing.plans.wanted import generic_wish, read_wanted, wanted_clauses
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Mapping

    from backbearing.notebook import Notebook
    from backbearing.records import CameraPosition, Subject, WantedLight


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnWish:
    """The light wanted from one camera position, in place of the subject's."""

    camera_position: str
    wanted: WantedLight
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WishAnswer:
    """The light wanted at a subject or from one camera position, and in words."""

    subject: str
    camera_position: str  # '' for the subject as a whole
    basis: Literal["on record", "the subject's", "generic default"]
    wanted: WantedLight  # the one `light` would go by
    words: tuple[str, ...]  # a clause for each thing wanted
    own: tuple[OwnWish, ...]  # of camera positions, where the subject as a whole was asked about
    missing: str  # what keeps it from being judged; '' where nothing does


def show_wish(notebook: Notebook, name: str, *, position_name: str | None = None) -> WishAnswer:
    """Which light is wanted at this subject, or from this camera position of it?

    Raises NotFound for an unknown subject, BadInput for an unknown camera position.
    """
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    return _answer(notebook, subject, _position(notebook, subject, position_name))


def store_wish(
    notebook: Notebook,
    name: str,
    options: Mapping[str, Any],
    *,
    position_name: str | None = None,
    clear: bool = False,
) -> WishAnswer:
    """Change the wish on record by these options (see `plans.wanted.read_wanted`); show it.

    position_name: the camera position whose own wish it is; it starts from the subject's where
    it has none of its own yet. clear: let go of the wish on record first.
    Raises NotFound, BadInput.
    """
    from backbearing.notebook.subjects import (
        find_subject,
        update_camera_position,
        update_subject,
    )

    with notebook.writing():
        subject = find_subject(notebook, name)
        position = _position(notebook, subject, position_name)
        own = None if position is None else position.wanted
        base = None if clear else own or subject.wanted
        wanted = read_wanted(options, base) or base
        if position is not None:
            position = replace(position, wanted=wanted)
            update_camera_position(notebook, position)
        else:
            subject = replace(subject, wanted=wanted)
            update_subject(notebook, subject)
    return _answer(notebook, subject, position)


def _position(notebook: Notebook, subject: Subject, name: str | None) -> CameraPosition | None:
    from backbearing.notebook.subjects import list_camera_positions
    from backbearing.plans.editing import camera_of_name

    if name is None:
        return None
    known = list_camera_positions(notebook, subject.id)
    return camera_of_name(known, subject, name, where="--from")


def _answer(notebook: Notebook, subject: Subject, position: CameraPosition | None) -> WishAnswer:
    from backbearing.notebook.subjects import list_camera_positions

    cameras = list_camera_positions(notebook, subject.id)
    looked_from = cameras if position is None else [position]
    known = subject.facing_deg is not None or any(c.bearing is not None for c in looked_from)
    own = None if position is None else position.wanted
    wanted = own or subject.wanted or generic_wish(bearing_known=known)
    needs = wanted.delta_deg is not None or wanted.side is not None
    stored: Literal["on record", "the subject's"] = (
        "on record" if position is None or own is not None else "the subject's"
    )
    return WishAnswer(
        subject=subject.name,
        camera_position="" if position is None else position.name,
        basis="generic default" if own is None and subject.wanted is None else stored,
        wanted=wanted,
        words=tuple(wanted_clauses(wanted, facing_deg=subject.facing_deg).values()),
        own=tuple(
            OwnWish(
                camera_position=each.name,
                wanted=each.wanted,
                words=tuple(wanted_clauses(each.wanted, facing_deg=subject.facing_deg).values()),
            )
            for each in cameras
            if position is None and each.wanted is not None
        ),
        missing=say(
            "no bearing from camera to subject is on record, so where it is "
            "lit from cannot be judged"
        )
        if needs and not known
        else "",
    )
