"""The least-time way between two places over known ground, cut into legs, out and back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, quoted
from backbearing.models.leasttime import LeastTime, least_time, way
from backbearing.models.stepseconds import step_seconds
from backbearing.models.walkground import mark_line
from backbearing.models.walking import OFF_PATH_FACTOR, Snow, load_factor, snow_factor
from backbearing.places.words import metres_text
from backbearing.plans.approach.doubt import doubtful, likeliest, offers, uses
from backbearing.plans.approach.gates import let_through, may_be_open
from backbearing.plans.approach.ground import (
    TRACKLESS,
    Area,
    area_between,
    nearer_side,
    standing_cell,
    walker_ground,
    why_no_ground,
)
from backbearing.plans.approach.legs import legs_of
from backbearing.records import Approach
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from datetime import date

    from numpy.typing import NDArray

    from backbearing.models.leasttime import Ground
    from backbearing.notebook import Notebook
    from backbearing.plans.pace import Pace
    from backbearing.records import Floats, Leg, PassageOffer, Place

    Cells = NDArray[np.int32]

STEEPEST_DEG = 40.0  # hands are needed beyond; common practice, no source
SNOW_STEEPEST_DEG = 30.0  # avalanches start on 30 to 45°; common practice, no source
USUAL_LOAD_KG = 10.0  # that past walks were walked with; common practice, no source
CAUTIONS = (
    phrase(
        "Times are estimates; weather, ice, avalanches, water levels, "
        "tides and closures are not in them. Local rules and trained "
        "judgement come first."
    ),
    phrase(
        "Cells hide steps: where none is shown, none was found in the "
        "data, which is not the same as none being there."
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Going:
    """How one goes: what slows a walker down and what is closed to one."""

    snow: Snow = "none"
    load_kg: float = 0.0
    steepest_deg: float = STEEPEST_DEG
    steep_snow: bool = False  # off-track snow slopes of 30° and more are allowed
    wade: bool = False  # water is crossed anywhere


def approach(
    notebook: Notebook,
    start: Place,
    end: Place,
    *,
    on: date,
    pace: Pace,
    going: Going | None = None,
    start_name: str = "start",
    end_name: str = "camera position",
    progress: Callable[[str], None] | None = None,
) -> Approach:
    """Which way leads from a start to a place and back, leg by leg, and how long does it take?

    on: the local day, for the chances of passages. pace: of `plans.pace.pace_of`.
    Past tracks and paths are faster than open ground, too-steep ground is closed but where one has
    walked, water is crossed only at a passage likely to be open or where a past track crossed it.
    Where all that lead there are in doubt, the way goes by the one that promises most, and says so;
    only a wall stays closed. Without terrain the way follows past tracks and paths alone.

    Raises BadInput where there is no way (and says what bars it), where a place lies where no
    ground is known, or beyond reach.
    """
    going = going or Going()
    tell = progress or (lambda line: None)
    tell("the ground between")
    area = area_between(notebook, start, end, on=on, wade=going.wade)
    slower = slower_cells(area, pace, going)
    ground = _ground(area, slower, going)
    cells = {}
    for name, place in ((start_name, start), (end_name, end)):
        cell = standing_cell(area, ground, place)
        if cell is None:
            why, remedy = why_no_ground(area, place)
            raise BadInput(
                say(
                    "no ground to walk on is known at {name}{why}",
                    name=quoted(name),
                    why=why,
                ),
                where="way",
                remedy=remedy,
            )
        cells[name] = cell
    first, last = cells[start_name], cells[end_name]
    tell("the way out")
    out = least_time(ground, first, pace.usual_s_per_m)
    last = nearer_side(area, ground, end, last, out.seconds)
    unsure = doubtful(area, ground, out, last, pace)
    offered: tuple[PassageOffer, ...] = ()
    if np.isfinite(out.seconds[last]):
        offered = offers(unsure, float(out.seconds[last]))
    else:
        unsure = likeliest(unsure)
        # one alone that makes a way, else all of them in a row
        hung_on = {unsure[0].passage.id} if unsure else may_be_open(area)
        area = let_through(area, area.opened | hung_on)
        ground = _ground(area, slower, going)
        out = least_time(ground, first, pace.usual_s_per_m)
        if not np.isfinite(out.seconds[last]):
            raise _no_way(area, slower, first, last, pace, going, start_name, end_name)
    out_cells = way(out, last)
    tell("the way back")
    back_ground = replace(ground, slower=_back_slower_cells(area, slower, out_cells, going))
    back = least_time(back_ground, first, pace.usual_s_per_m, towards=True)
    back_cells = way(back, last, towards=True)
    legs_out = legs_of(
        notebook,
        area,
        out_cells,
        _seconds_at(out, out_cells),
        slow=pace.slow,
        names=(start_name, end_name),
        retraced=step_seconds(back_ground, out_cells, pace.usual_s_per_m, back=True),
    )
    legs_back = legs_of(
        notebook,
        area,
        back_cells,
        _seconds_at(back, back_cells)[0] - _seconds_at(back, back_cells),
        slow=pace.slow,
        names=(end_name, start_name),
        like=legs_out,
    )
    usual_s, back_s = float(out.seconds[last]), float(back.seconds[last])
    length_m = sum(leg.length_m for leg in legs_out)
    known_m = sum(leg.length_m for leg in legs_out if not leg.trackless)
    ascents = [leg.ascent_m for leg in legs_out]
    return Approach(
        start_name=start_name,
        end_name=end_name,
        out=tuple(legs_out),
        back=tuple(legs_back),
        length_m=length_m,
        ascent_m=None if None in ascents else sum(a for a in ascents if a is not None),
        usual_s=usual_s,
        slow_s=usual_s * pace.slow,
        back_usual_s=back_s,
        back_slow_s=back_s * pace.slow,
        walked_share=known_m / length_m if length_m > 0.0 else 1.0,
        cell_m=area.grid.cell_m,
        rests_on=tuple(_rests_on(area, pace, going)),
        cautions=(*map(say, CAUTIONS), *_snow_cautions(legs_out, legs_back, going)),
        passages=uses(area, [*legs_out, *legs_back], unsure),
        offers=offered,
    )


def _ground(area: Area, slower: Floats, going: Going) -> Ground:
    return walker_ground(
        area,
        slower,
        steepest_deg=going.steepest_deg,
        snow_steepest_deg=snow_limit_deg(going),
    )


def snow_limit_deg(going: Going) -> float | None:
    """From how steep on off-track ground is closed under snow; None where it is not."""
    return SNOW_STEEPEST_DEG if going.snow != "none" and not going.steep_snow else None


def slower_cells(area: Area, pace: Pace, going: Going) -> Floats:
    """Time against the pace in each cell: off tracks and paths more, with snow and load more."""
    slower = np.where(area.footing == TRACKLESS, OFF_PATH_FACTOR, 1.0)
    slower *= snow_factor(going.snow)
    return slower * carrying_factor(pace, going)


def carrying_factor(pace: Pace, going: Going) -> float:
    """By how much a load lengthens a walk; an own pace was walked with the usual load already.

    A lighter load than that does not quicken an own pace.
    """
    if going.load_kg <= 0.0:
        return 1.0
    factor = load_factor(going.load_kg)
    return factor if pace.own is None else max(1.0, factor / load_factor(USUAL_LOAD_KG))


def _snow_cautions(out: Sequence[Leg], back: Sequence[Leg], going: Going) -> Iterator[str]:
    """Each leg that snow makes avalanche ground, named, past tracks or not."""
    if going.snow == "none":
        return
    for words, legs in ((say("out"), out), (say("back"), back)):
        for number, leg in enumerate(legs, start=1):
            steepest_deg = leg.steepest_deg
            if steepest_deg is None or steepest_deg < SNOW_STEEPEST_DEG:
                continue
            track = say("off the tracks") if leg.trackless else say("on a track that snow covers")
            yield (
                say(
                    "Leg {number} {words}, to {end_name}: {steepest_deg:.0f}° {track}, "
                    "avalanche ground.",
                    number=number,
                    words=words,
                    end_name=leg.end_name,
                    steepest_deg=steepest_deg,
                    track=track,
                )
            )


def _back_slower_cells(area: Area, slower: Floats, out_cells: Cells, going: Going) -> Floats:
    """The same for the way back, in one's own trail where snow was broken on the way out."""
    if going.snow == "none":
        return slower
    trail = np.zeros(slower.shape, dtype=bool)
    mark_line(trail, out_cells[:, 0].astype(float), out_cells[:, 1].astype(float), reach=1.0)
    eased = slower * snow_factor(going.snow, own_tracks=True) / snow_factor(going.snow)
    return np.where(trail, eased, slower)


def _seconds_at(found: LeastTime, cells: Cells) -> Floats:
    return np.asarray(found.seconds[cells[:, 0], cells[:, 1]])


def _no_way(
    area: Area,
    slower: Floats,
    first: tuple[int, int],
    last: tuple[int, int],
    pace: Pace,
    going: Going,
    start_name: str,
    end_name: str,
) -> BadInput:
    """Why there is no way: water, steep ground, or nothing known between."""
    between = say(
        "no way from {start_name} to {end_name}",
        start_name=quoted(start_name),
        end_name=quoted(end_name),
    )

    def reached(ground: Ground) -> bool:
        if ground.closed[first] or ground.closed[last]:
            return False
        seconds = least_time(ground, first, pace.usual_s_per_m).seconds[last]
        return bool(np.isfinite(seconds))

    dry = replace(
        area,
        barred=np.zeros_like(area.barred),
        shut=np.zeros_like(area.shut),
        wet=np.zeros_like(area.wet),
    )
    if (area.barred.any() or area.shut.any() or area.wet.any()) and reached(
        _ground(dry, slower, going)
    ):
        lines = [*area.walls, *(() if going.wade else area.water)]
        names = sorted({line.name for line in lines if line.name})
        walled = [one.name for one, chance in area.passages if chance == 0.0]
        names += [say("{name} (a wall)", name=name) for name in walled]
        named = f" ({', '.join(quoted(name) for name in names[:4])}…)" if names else ""
        return BadInput(
            (
                say(
                    "{between}: a wall lies across{named} and no passage that may be "
                    "open is on record",
                    between=between,
                    named=named,
                )
                if going.wade and not area.wet.any()
                else say(
                    "{between}: water or a wall lies across{named} and no passage that "
                    "may be open is on record",
                    between=between,
                    named=named,
                )
            ),
            where="way",
            remedy=say(
                "put one on record with 'backbearing passage add', or allow wading with --wade"
            ),
        )
    level = replace(
        area,
        height_m=np.where(np.isfinite(area.height_m), 0.0, np.nan),
        steep_deg=np.zeros_like(area.steep_deg),
    )
    if reached(walker_ground(level, slower, steepest_deg=90.0, snow_steepest_deg=None)):
        limit = min(going.steepest_deg, snow_limit_deg(going) or 90.0)
        what = say("off-track snow slopes") if limit < going.steepest_deg else say("ground")
        return BadInput(
            say(
                "{between}: {what} of {limit:.0f}° and more lies across, by cells "
                "of {cell_m:.0f} m",
                between=between,
                what=what,
                limit=limit,
                cell_m=area.grid.cell_m,
            ),
            where="way",
            remedy=say("allow steeper ground with --steepest")
            + (say(", or snow slopes with --steep-snow") if limit < going.steepest_deg else ""),
        )
    return BadInput(
        say(
            "{between}: the known ground does not connect them{why}",
            between=between,
            why=_why(area),
        ),
        where="way",
        remedy=say("import a track between them, or add terrain that covers all of it"),
    )


def _why(area: Area) -> str:
    return f" ({area.why_no_terrain})" if area.why_no_terrain else ""


def _rests_on(area: Area, pace: Pace, going: Going) -> list[str]:
    found = [
        say("pace: {basis}; slow time {slow:.2f} of the usual", basis=pace.basis, slow=pace.slow)
    ]
    if area.heights_from == "terrain":
        found.append(
            say(
                "terrain in cells of {cell}, heights ± {vertical_error_m:.0f} m",
                cell=metres_text(area.grid.cell_m),
                vertical_error_m=area.grid.vertical_error_m,
            )
        )
    else:
        heights = say("their heights") if area.heights_from == "tracks" else say("level ground")
        found.append(
            say(
                "past tracks and paths alone, with {heights}: {why_no_terrain}",
                heights=heights,
                why_no_terrain=area.why_no_terrain,
            )
        )
    found.append(
        say(
            "open ground at {off_path_factor:.2f} of the time on a path "
            "(Tobler); ground from {steepest_deg:.0f}° closed where nobody has "
            "walked",
            off_path_factor=OFF_PATH_FACTOR,
            steepest_deg=going.steepest_deg,
        )
    )
    if going.load_kg > 0.0:
        than = (
            ""
            if pace.own is None
            else say(
                ", own walks taken as walked with {usual_load_kg:.0f} kg",
                usual_load_kg=USUAL_LOAD_KG,
            )
        )
        found.append(
            say(
                "load {load_kg:g} kg: × {carrying_factor:.2f} (Pandolf, on a body of 75 kg{than})",
                load_kg=going.load_kg,
                carrying_factor=carrying_factor(pace, going),
                than=than,
            )
        )
    if going.snow != "none":
        found.append(
            say(
                "snow ({snow}): × {snow_factor:.1f} out, × {snow_factor_2:.2f} "
                "back in one's own tracks; common practice, no source",
                snow=say(going.snow),
                snow_factor=snow_factor(going.snow),
                snow_factor_2=snow_factor(going.snow, own_tracks=True),
            )
        )
    found += area.wet_said
    if area.water and not going.wade:
        found.append(
            say("water is crossed only where a past track did, and at passages likely to be open")
        )
    elif not area.water:
        found.append(say("no water lines on record: streams and shores are not seen"))
    return found
