"""Where a subject most likely is: its clues and the looks for it, over pieces of ground.

clues ──► how each piece fits ──┐
                                ├─► shares of pieces, elsewhere, gone ──► stretches worth a look
looks ──► chance to have seen ──┘
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, NotFound, quoted
from backbearing.models.cluefits import near
from backbearing.models.detection import SWEEP_TO_RANGE
from backbearing.models.likelihood import (
    Clue,
    Shares,
    after_looking,
    clue_weights,
    contradictions,
    fits_somewhere,
    prior_shares,
    smallest_ground,
    with_clues,
)
from backbearing.places.words import metres_text
from backbearing.plans.search.crossing import crossed
from backbearing.plans.search.downstream import followed, way_said
from backbearing.plans.search.fits import Fitting
from backbearing.plans.search.ground import (
    LEAST_REACH_M,
    MOST_REACH_M,
    WIDTH_M,
    along_line,
    lines_called,
    round_place,
)
from backbearing.plans.search.looked import seen_chances, sweep_of
from backbearing.plans.search.naming import RECORD
from backbearing.plans.search.onland import on_land
from backbearing.plans.search.sight import classes_said, ranges_m, sight_of, sight_said
from backbearing.plans.search.stretches import Stretch, worth_a_look
from backbearing.records import Look
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.plans.search.crossing import CrossedBearings
    from backbearing.plans.search.ground import SearchGround
    from backbearing.plans.search.lookuntil import LookUntil
    from backbearing.plans.search.offered import OfferedStop
    from backbearing.records import Floats, MemoryClue, SightRange, Subject

PLACE_SURE = 0.8  # that the place on record is right within its error; common practice, no source
LOOKING_M_A_S = 0.5  # while looking, over rough ground; common practice, no source
STOP_AT = 0.5  # from this chance of elsewhere or gone on, looking on is to be thought over
_MOST_AT_ODDS = 3
_RAYLEIGH_95 = 2.995732  # −ln 0.05: of a circle that holds 95 % of a normal law


@dataclass(frozen=True, slots=True, kw_only=True)
class ClueSays:
    """A clue and how much it matters, in bits by which the shares change without it."""

    number: int | None  # on record; None for the place on record itself
    words: str
    sure: float
    bits: float
    fits: Floats  # of each piece of the ground, 0 … 1
    told: MemoryClue | None = None  # as it is on record


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Likely:
    """Where a subject most likely is.

    share, seen_chance: of each piece of `ground`. sweeps_m: how wide a strip the next
    look sweeps there; sweep_m on open ground.
    """

    subject: Subject
    ground: SearchGround
    share: Floats
    seen_chance: Floats
    elsewhere: float
    gone: float
    stretches: tuple[Stretch, ...]  # the best few not yet well looked at
    half: NDArray[np.bool_]  # the smallest ground that holds half of what is on the pieces
    nine_tenths: NDArray[np.bool_]
    clues: tuple[ClueSays, ...]
    at_odds: tuple[tuple[str, str], ...]
    looks: tuple[Look, ...]
    sight: SightRange
    sweep_m: float
    sweeps_m: Floats
    minutes: float  # to sweep all of it once
    remarks: tuple[str, ...]
    rests_on: tuple[str, ...]
    until: LookUntil | None = None  # until when to look through the first stretch, where asked
    until_why: str = ""  # why that cannot be said
    missing: str  # terrain on record that is not there, said before all else; '' for none
    sides: str  # which way left, right, above and below are told; '' on a grid
    crossing: CrossedBearings | None = None  # of the bearings told, where they cross
    offers: tuple[OfferedStop, ...] = ()  # before any memory is asked

    @property
    def shares(self) -> Shares:
        """The chances as the model has them."""
        return Shares(pieces=self.share, elsewhere=self.elsewhere, gone=self.gone)

    @property
    def found(self) -> Look | None:
        """The look that found it, if one did."""
        return next((look for look in self.looks if look.found), None)

    @property
    def answer(self) -> str:
        """The one sentence: what to look through next."""
        if self.found is not None:
            day = say(" on {on}", on=self.found.on.isoformat()) if self.found.on else ""
            return say(
                "found{day}: {subject} stands at its place on record.",
                day=day,
                subject=self.subject.name,
            )
        if not self.stretches:
            return say(
                "{subject}: no ground is left that was not looked through.",
                subject=self.subject.name,
            )
        best = self.stretches[0]
        often = {0: say("not yet looked at"), 1: say("looked at once"), 2: say("looked at twice")}
        looked = often.get(best.looks, say("looked at {looks} times", looks=best.looks))
        looked += say(", still likeliest") if best.looks else ""
        what = f"{looked}: {best.words} ({best.share:.0%}), {best.minutes:.0f} min"
        until = "" if self.until is None else f"; {self.until.words}"
        return f"{what.replace('%', ' %')}{until}."

    @property
    def give_it_up(self) -> bool:
        """Whether it is by now likelier gone or elsewhere than here."""
        return self.elsewhere + self.gone > STOP_AT


def where_likely(
    notebook: Notebook,
    subject_name: str,
    *,
    along_name: str | None = None,
    width_m: float | None = None,
    within_m: float | None = None,
    range_text: str | None = None,
) -> Likely:
    """Where is a subject most likely, by its clues and the looks for it?

    along_name: a line on record or a kind of lines, whose ground is cut into pieces; None takes
    the line on record that a clue names first, else a grid round the place on record. width_m: of
    the ground on each side. within_m: how far the grid reaches. range_text: from how far it
    is just seen, as typed, kept with the subject; None takes the one kept.

    Raises NotFound for unknown names, BadInput for widths and ranges not above 0, for a clue that
    needs terrain where there is none, and where the clues leave no ground (the pair is named).
    """
    from backbearing.notebook.search import keep_sight, list_clues, list_looks
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, subject_name)
    sight = sight_of(notebook, subject, range_text)
    told = list_clues(notebook, subject.id)
    looks = list_looks(notebook, subject.id)
    ground, come_from = ground_of(notebook, subject, told, along_name, width_m, within_m)
    ground, by_water = on_land(notebook, ground, subject.place, told)
    fitting = Fitting(notebook, ground, subject.place, subject.id)
    prior = prior_shares(ground.size_m2)
    clues = [_of_record(ground, subject)]
    left_out = []
    for clue in told:
        try:
            clues.append(Clue(name=clue.words, fits=fitting.fits(clue), sure=clue.sure))
        except (BadInput, NotFound) as error:  # it needs terrain, or its line is gone
            left_out.append((clue, say("left out: {what}", what=error.what)))
    told = [clue for clue in told if clue not in [each for each, _ in left_out]]
    shares = with_clues(prior, clues)
    by_looks = seen_chances(notebook, ground, looks, fitting.grids if looks else None)
    seen = by_looks.chance
    left = after_looking(shares, seen)
    found = any(look.found for look in looks)
    if found:
        left = _at(ground, subject)
    grids = () if sight.same_everywhere else fitting.grids[0]
    sweeps_m = sweep_of(Look(), ranges_m(notebook, ground, sight, grids))
    sweep_m = float(sweep_of(Look(), np.array(sight.open_m)))
    minutes = ground.size_m2 / (sweeps_m * LOOKING_M_A_S) / 60.0
    weights = clue_weights(prior, clues)
    whole = float(minutes[ground.size_m2 > 1e-3].sum())
    crossing, no_crossing = crossed(told, ground)
    sides = "" if ground.line is None or ground.way is None else way_said(ground.line, ground.way)
    if range_text is not None:
        with notebook.writing():
            keep_sight(notebook, subject.id, sight)
    return Likely(
        subject=subject,
        ground=ground,
        share=left.pieces,
        seen_chance=seen,
        elsewhere=left.elsewhere,
        gone=left.gone,
        stretches=()
        if found
        else tuple(worth_a_look(notebook, subject, ground, left, by_looks, minutes)),
        half=smallest_ground(left, ground.size_m2, 0.5),
        nine_tenths=smallest_ground(left, ground.size_m2, 0.9),
        clues=tuple(
            ClueSays(
                number=None if each is None else each.id,
                words=clue.name,
                sure=clue.sure,
                bits=round(bits, 2),
                fits=clue.fits,
                told=each,
            )
            for each, clue, bits in zip([None, *told], clues, weights, strict=True)
        ),
        at_odds=tuple(
            (one, other) for one, other, _ in contradictions(prior, clues)[:_MOST_AT_ODDS]
        ),
        looks=tuple(looks),
        sight=sight,
        sweep_m=sweep_m,
        sweeps_m=sweeps_m,
        minutes=whole,
        missing=fitting.missing,
        sides=sides,
        crossing=crossing,
        remarks=(
            *(words for _, words in left_out),
            *([no_crossing] if no_crossing else []),
            *(_nowhere(clue) for clue in clues if not fits_somewhere(clue)),
            *by_looks.said,
            *_range_kept(subject, sight, range_text),
        ),
        rests_on=(
            *come_from,
            *by_water,
            *(each for each in fitting.rests_on if each != sides),
            say(
                "a thing just seen at {sight} sweeps {fairly:g} times that "
                "(Koester et al. 2014), looked for at {looking_m_a_s:g} m/s "
                "(common practice, no source)",
                sight=sight_said(sight),
                fairly=SWEEP_TO_RANGE["fairly"],
                looking_m_a_s=LOOKING_M_A_S,
            ),
            say("before any clue: elsewhere 10 %, gone 5 % (common practice, no source)"),
            *_looks_rest_on(looks, sight),
        ),
    )


def _at(ground: SearchGround, subject: Subject) -> Shares:
    """Found, it is nowhere but at its place."""
    place = subject.place
    x, y = ground.plane.at(np.array([place.latitude_deg]), np.array([place.longitude_deg]))
    pieces = np.zeros(len(ground.x_m))
    pieces[int(np.argmin(np.hypot(ground.x_m - x[0], ground.y_m - y[0])))] = 1.0
    return Shares(pieces=pieces, elsewhere=0.0, gone=0.0)


def _range_kept(subject: Subject, sight: SightRange, typed: str | None) -> Iterator[str]:
    if typed is not None:
        yield say(
            "the range of {sight} is kept with {subject}: looks and walks go by it from now on",
            sight=sight_said(sight),
            subject=subject.name,
        )


def _looks_rest_on(looks: Sequence[Look], sight: SightRange) -> Iterator[str]:
    """What stands behind the chances to have seen it."""
    laws = {"random": say("random-search detection (Koopman 1946)"), "inverse cube": "inverse cube"}
    missed = [look for look in looks if not look.found]
    used = [laws[law] for law in laws if any(look.law == law for look in missed)]
    yield (
        say(" and ").join(used or [laws["random"]])
        + say(
            ", a look again the same way counted by half, the other way by "
            "three quarters (common practice, no source)"
        )
    )
    if any(look.ahead for look in missed):
        yield say("looked only ahead: it shows that way or the other, each as likely")
    if not all(each.same_everywhere for each in [sight, *(look.sight for look in missed)]):
        yield classes_said()


def ground_of(
    notebook: Notebook,
    subject: Subject,
    told: Sequence[MemoryClue],
    along_name: str | None = None,
    width_m: float | None = None,
    within_m: float | None = None,
) -> tuple[SearchGround, tuple[str, ...]]:
    """The ground a search is about, and how it came to be; raises as `where_likely` does."""
    name = along_name or _named_line(notebook, told)
    if name is not None and within_m is None:
        try:
            lines, come_from = lines_called(notebook, name, subject.place)
        except NotFound:
            if along_name is not None:
                raise
        else:
            width = WIDTH_M if width_m is None else width_m
            line, way = followed(notebook, lines[0], besides=subject.id)
            said = say(
                "{width} on both sides of {line}",
                width=metres_text(width),
                line=line.name or line.kind,
            )
            if len(lines) > 1:
                said = say(
                    "{said}, the nearest of {count} called {name}",
                    said=said,
                    count=len(lines),
                    name=quoted(name),
                )
            return along_line(line, width_m=width, way=way), (
                say("{said}, from {come_from}", said=said, come_from=come_from),
            )
    if width_m is not None:
        raise BadInput(
            say("a width goes with a line"), where="--width", remedy=say("name it with --along")
        )
    reach_m = within_m
    if reach_m is None:
        reach_m = min(max(1.5 * subject.place.error_m, LEAST_REACH_M), MOST_REACH_M)
    ground = round_place(subject.place, reach_m)
    said = say(
        "cells of {cell_m:.0f} m within {reach} of {record}",
        cell_m=ground.cell_m,
        reach=metres_text(reach_m),
        record=say(RECORD),
    )
    return ground, (said,)


def _named_line(notebook: Notebook, told: Sequence[MemoryClue]) -> str | None:
    """The line of the first clue that names one; 'water' and the like name many."""
    from backbearing.notebook.lines import list_lines
    from backbearing.notebook.names import name_key

    names = {name_key(line.name) for line in list_lines(notebook) if line.name}
    for clue in told:
        if clue.line and clue.kind != "hidden from a line" and name_key(clue.line) in names:
            return clue.line
    return None


def _of_record(ground: SearchGround, subject: Subject) -> Clue:
    """The place on record is a clue itself, as good as its error."""
    place = subject.place
    x, y = ground.plane.at(np.array([place.latitude_deg]), np.array([place.longitude_deg]))
    away = np.hypot(ground.x_m - x[0], ground.y_m - y[0])
    error = max(place.error_m, ground.cell_m)
    return Clue(
        name=f"{say(RECORD)} ± {metres_text(place.error_m)}",
        fits=near(away, 0.0, error),
        sure=PLACE_SURE,
        inside=_inside(ground, error),
    )


def _inside(ground: SearchGround, error_m: float) -> float:
    """How likely the place lies on a grid, where its record is right; 1 along a line."""
    if ground.kind == "line":
        return 1.0
    reach_m = float(min(np.abs(ground.x_m).max(), np.abs(ground.y_m).max()))
    return float(-np.expm1(-((reach_m / error_m) ** 2) * _RAYLEIGH_95))


def _nowhere(clue: Clue) -> str:
    return say(
        "nowhere on this ground fits '{clue}': it may be elsewhere, or look on wider ground",
        clue=clue.name,
    )
