"""How fast the user walks, by slope: from the walks on record, or else by a published rule."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, NotebookError, quoted
from backbearing.models.pace import (
    CLASS_SLOPES,
    LEAST_KM,
    RULE_SLOW,
    OwnPace,
    Pieces,
    fit_pace,
    walked_pieces,
)
from backbearing.models.walking import RULES, WalkingRule
from backbearing.saying import say, say_n

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike

    from backbearing.notebook import Notebook
    from backbearing.records import Floats

BENT_RULE: WalkingRule = "Tobler"  # its shape is bent to one's own walks
CAREFUL_RULE: WalkingRule = "DIN 33466"  # where there are none
OWN = "own"
PACES = (OWN, *RULES)
_NOT_ON_FOOT = re.compile(
    r"cycl|bik|mtb|driv|car\b|motor|run|ski|row|sail|kayak|fly", re.IGNORECASE
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A track that tells nothing of the pace, and why."""

    track: int
    name: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SlopePace:
    """What a slope costs: usual, slow, and by the published rules."""

    slope: float  # rise over run
    usual_s_per_km: float
    slow_s_per_km: float
    walked_km: float | None  # that this slope's figure rests on; None by a rule
    by_rule_s_per_km: dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """Seconds for a metre at any slope: the usual time, and the 85 % time that deadlines use."""

    name: str  # "own", or a rule's
    own: OwnPace | None
    slow: float  # the slow time over the usual one
    basis: str  # "own pace, from 34 km of 6 walks", …
    walks: int
    left_out: tuple[LeftOut, ...] = ()

    def usual_s_per_m(self, slope: ArrayLike) -> Floats:
        """Seconds a metre usually takes at a slope (rise over run, any shape)."""
        if self.own is not None:
            return self.own.usual_s_per_m(slope)
        return RULES[self.name](slope)  # type: ignore[index]

    def slow_s_per_m(self, slope: ArrayLike) -> Floats:
        """Seconds a metre takes at the slow end: 85 of 100 times no longer."""
        return np.asarray(self.usual_s_per_m(slope) * self.slow)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaceAnswer:
    """A pace by slope, beside the published rules."""

    name: str
    basis: str
    slow: float
    walks: int
    slopes: tuple[SlopePace, ...]
    left_out: tuple[LeftOut, ...]


def pace_of(
    notebook: Notebook,
    name: str | None = None,
    *,
    progress: Callable[[str], None] | None = None,
) -> Pace:
    """How fast does the user walk, by the walks on record?

    name: one of PACES; None takes the own pace where enough was walked, else DIN 33466, the
    careful one. Walks without times or heights, rides, and tracks whose kind names another way
    of moving are left out and named. Each walk is read, cut and let go: memory stays small.

    Raises BadInput for a name that is not known, and for 'own' where too little was walked.
    """
    if name is not None and name not in PACES:
        raise BadInput(
            f"no pace is called {quoted(name)}",
            where="pace",
            remedy=f"choose one of {', '.join(PACES)}",
        )
    if name is not None and name != OWN:
        return _by_rule(name, say("as chosen"), 0, ())
    walks, left_out = _walks(notebook, progress)
    own = fit_pace([walk for _, walk in walks], BENT_RULE)
    if own is not None:
        basis = say_n(
            "own pace, from {km:.0f} km of {number} walk",
            "own pace, from {km:.0f} km of {number} walks",
            len(walks),
            km=own.km,
        )
        return Pace(
            name=OWN, own=own, slow=own.slow, basis=basis, walks=len(walks), left_out=left_out
        )
    km = sum(float(walk.length_m[~walk.too_fast].sum()) for _, walk in walks) / 1000.0
    why = say(
        "only {km:.0f} km walked on record, {least_km:.0f} km make an own pace",
        km=km,
        least_km=LEAST_KM,
    )
    if name == OWN:
        raise BadInput(why, where="pace", remedy=f"import more walks, or take {', '.join(RULES)}")
    return _by_rule(CAREFUL_RULE, why, len(walks), left_out)


def describe_pace(
    notebook: Notebook,
    name: str | None = None,
    *,
    progress: Callable[[str], None] | None = None,
) -> PaceAnswer:
    """The pace as a table over slopes, beside what the published rules say; see `pace_of`."""
    pace = pace_of(notebook, name, progress=progress)
    slopes = []
    for index, slope in enumerate(CLASS_SLOPES):
        usual = float(pace.usual_s_per_m(slope)) * 1000.0
        slopes.append(
            SlopePace(
                slope=slope,
                usual_s_per_km=usual,
                slow_s_per_km=usual * pace.slow,
                walked_km=None if pace.own is None else pace.own.class_km[index],
                by_rule_s_per_km={rule: float(RULES[rule](slope)) * 1000.0 for rule in RULES},
            )
        )
    return PaceAnswer(
        name=pace.name,
        basis=pace.basis,
        slow=pace.slow,
        walks=pace.walks,
        slopes=tuple(slopes),
        left_out=pace.left_out,
    )


def _by_rule(name: str, why: str, walks: int, left_out: tuple[LeftOut, ...]) -> Pace:
    return Pace(
        name=name, own=None, slow=RULE_SLOW, basis=f"{name}, {why}", walks=walks, left_out=left_out
    )


def _walks(
    notebook: Notebook, progress: Callable[[str], None] | None
) -> tuple[list[tuple[int, Pieces]], tuple[LeftOut, ...]]:
    from backbearing.notebook.tracks import list_tracks, load_track

    walks: list[tuple[int, Pieces]] = []
    left_out = []
    stored = list_tracks(notebook)
    for number, track in enumerate(stored, start=1):
        if progress is not None:
            progress(f"pace: walk {number} of {len(stored)}")
        why = ""
        if _NOT_ON_FOOT.search(track.kind):
            why = say("its kind is {kind}", kind=quoted(track.kind))
        else:
            try:
                pieces = walked_pieces(load_track(notebook, track.id))
            except NotebookError:
                why = say("it cannot be read; 'backbearing check' says more")
            else:
                if not len(pieces.slope):
                    why = say("it has no times, no heights, or less than 100 m of walking")
                elif pieces.too_fast.all():
                    why = say("too fast for feet: a ride, a drive or a run")
                else:
                    walks.append((track.id, pieces))
        if why:
            left_out.append(LeftOut(track=track.id, name=track.name or track.file_name, why=why))
    return walks, tuple(left_out)
