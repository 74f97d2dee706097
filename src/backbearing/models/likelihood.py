"""Where a remembered place most likely is: clues over pieces of ground, each only so sure.

    share of a piece  ∝  what was thought before  ×  Π clues ( sure · fits / usual + 1 − sure )

A clue that is right tells where; one that is not tells nothing. So no single false memory empties
a piece, and a clue that fits nearly everywhere hardly counts. Beside the pieces stand two more
answers: it is elsewhere, or it is gone (flood, windfall, a slide), which every good look that finds
nothing makes likelier.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, quoted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from backbearing.records import Floats

ELSEWHERE = 0.1  # before any look; common practice, no source
GONE = 0.05
_FITS_AT_ALL = 0.01  # a clue that fits no piece better than this fits none
_AT_ODDS = 0.2  # two clues that fit together this much less often than by chance contradict


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clue:
    """What one remembered fact says of each piece."""

    name: str
    fits: Floats  # (n,) 0 … 1: how well each piece fits
    sure: float  # chance that the memory is right
    inside: float = 1.0  # that a place which fits it lies on the pieces, and not beyond them


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shares:
    """Chances that sum to 1: of each piece, of elsewhere, of gone."""

    pieces: Floats
    elsewhere: float
    gone: float

    @property
    def here(self) -> float:
        """That it stands somewhere on the pieces."""
        return float(self.pieces.sum())


def prior_shares(size: ArrayLike, *, elsewhere: float = ELSEWHERE, gone: float = GONE) -> Shares:
    """Before any clue: each piece by its size (metres or square metres, above 0).

    Raises BadInput for no pieces, sizes that are not above 0, or chances out of bounds.
    """
    sizes = np.asarray(size, dtype=float)
    if not sizes.size or not np.all(sizes > 0.0) or not np.isfinite(sizes).all():
        raise BadInput("there is no ground to look at", where="area", remedy="give a line or area")
    if not (elsewhere >= 0.0 and gone >= 0.0 and elsewhere + gone < 1.0):
        raise BadInput("chances must be 0 or more, and less than 1 together", where="elsewhere")
    rest = 1.0 - elsewhere - gone
    return Shares(pieces=sizes / sizes.sum() * rest, elsewhere=elsewhere, gone=gone)


def with_clues(prior: Shares, clues: Sequence[Clue]) -> Shares:
    """What do clues make of the shares (independent of one another, given where it is)?

    A gone thing stood where the clues say, so it keeps what all pieces together make of them;
    elsewhere a clue fits as large a share of the ground as here, and one that fits no piece
    speaks for it. Raises BadInput for
    fits or sureness outside 0 … 1, for a clue of another length, and where clues that are wholly
    sure leave no piece: it names the pair that contradicts most, or the one that fits nowhere.
    """
    _check(prior, clues)
    weight = np.ones(prior.pieces.shape)
    outside = 1.0
    for clue in clues:
        if not fits_somewhere(clue):
            if clue.sure < 1.0:  # it speaks for elsewhere
                weight *= 1.0 - clue.sure
                continue
            raise BadInput(
                f"no piece of the ground fits the clue {quoted(clue.name)}",
                where="clues",
                remedy="see whether it is right, or widen the ground",
            )
        right = clue.sure * clue.inside
        weight *= right * clue.fits / _usual(prior, clue) + (1.0 - clue.sure)
        beyond = 0.0
        if prior.elsewhere > 0.0:
            beyond = (clue.sure - right) * prior.here / prior.elsewhere
        # what fits most of this ground fits as much of any other: it tells nothing of elsewhere
        outside *= right * _usual(prior, clue) + beyond + (1.0 - clue.sure)
    pieces = prior.pieces * weight
    before = float(prior.pieces.sum())
    stood = float(pieces.sum()) / before
    whole = float(pieces.sum()) + prior.elsewhere * outside + prior.gone * stood
    if not whole > 0.0:
        pair = contradictions(prior, clues)
        one, other = (quoted(pair[0][i]) for i in (0, 1)) if pair else ("", "")
        named = f": {one} and {other} contradict each other" if pair else ""
        raise BadInput(
            f"the clues leave no ground{named}",
            where="clues",
            remedy="make one of them less sure",
        )
    return Shares(
        pieces=pieces / whole,
        elsewhere=prior.elsewhere * outside / whole,
        gone=prior.gone * stood / whole,
    )


def fits_somewhere(clue: Clue) -> bool:
    """Whether any piece fits a clue but by the last of its error."""
    return bool(clue.fits.max(initial=0.0) >= _FITS_AT_ALL)


def after_looking(shares: Shares, seen: ArrayLike) -> Shares:
    """What is left after looking and not finding it (Bayes)?

    seen: (n,) chance that it would have been seen in each piece, were it there.
    Raises BadInput for chances outside 0 … 1, or where nothing is left.
    """
    looked = np.asarray(seen, dtype=float)
    if np.any((looked < 0.0) | (looked > 1.0)):
        raise BadInput("a chance lies outside 0 to 1", where="seen", remedy="give 0 to 1")
    pieces = shares.pieces * (1.0 - looked)
    whole = float(pieces.sum()) + shares.elsewhere + shares.gone
    if not whole > 0.0:
        raise BadInput(
            "it was looked for wherever it can be, and would have been seen",
            where="shares",
            remedy="give a chance that it is elsewhere",
        )
    return Shares(
        pieces=pieces / whole, elsewhere=shares.elsewhere / whole, gone=shares.gone / whole
    )


def smallest_ground(shares: Shares, size: ArrayLike, part: float) -> NDArray[np.bool_]:
    """Which pieces make up the smallest ground that holds a part of what is on them?

    size: (n,) of the pieces. part: 0 … 1 of `shares.here`. Returns (n,) True where it belongs:
    the densest pieces first.
    """
    sizes = np.asarray(size, dtype=float)
    order = np.argsort(-shares.pieces / sizes, kind="stable")
    reached = np.cumsum(shares.pieces[order])
    count = int(np.searchsorted(reached, part * shares.here * (1.0 - 1e-12))) + 1
    inside = np.zeros(len(sizes), dtype=bool)
    inside[order[:count]] = True
    return inside


def clue_weights(prior: Shares, clues: Sequence[Clue]) -> list[float]:
    """How much does each clue matter: by how many bits do the shares change without it?

    Relative entropy of the pieces' shares with all clues against those without that one.
    """
    everything = with_clues(prior, clues)
    found = []
    for number in range(len(clues)):
        without = with_clues(prior, [*clues[:number], *clues[number + 1 :]])
        full = np.append(everything.pieces, (everything.elsewhere, everything.gone))
        less = np.append(without.pieces, (without.elsewhere, without.gone))
        held = full > 0.0
        found.append(float(np.sum(full[held] * np.log2(full[held] / less[held]))))
    return found


def contradictions(prior: Shares, clues: Sequence[Clue]) -> list[tuple[str, str, float]]:
    """Which clues contradict each other: pairs, worst first, and how often they fit together.

    As a share of how often they would by chance; pairs at a fifth or less are named. A clue that
    fits nowhere is at odds with none: it alone is amiss.
    """
    found = []
    share = prior.pieces / prior.pieces.sum()
    fitting = [clue for clue in clues if fits_somewhere(clue)]
    for number, one in enumerate(fitting):
        for other in fitting[number + 1 :]:
            apart = float((share * one.fits).sum() * (share * other.fits).sum())
            both = float((share * one.fits * other.fits).sum())
            together = both / apart if apart > 0.0 else 0.0
            if together <= _AT_ODDS:
                found.append((one.name, other.name, together))
    return sorted(found, key=lambda pair: pair[2])


def _usual(prior: Shares, clue: Clue) -> float:
    """How well the pieces fit a clue on average, before it."""
    return float((prior.pieces * clue.fits).sum() / prior.pieces.sum())


def _check(prior: Shares, clues: Sequence[Clue]) -> None:
    for clue in clues:
        if clue.fits.shape != prior.pieces.shape:
            raise BadInput("a clue speaks of other ground", where=quoted(clue.name))
        if np.any((clue.fits < 0.0) | (clue.fits > 1.0)) or not 0.0 <= clue.sure <= 1.0:
            raise BadInput("a fit or a sureness lies outside 0 to 1", where=quoted(clue.name))
