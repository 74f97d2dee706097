"""Walking times between all places of a search, with doubtful passages shut and each one open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, quoted
from backbearing.models.gridframe import cells_at, places_at
from backbearing.models.leasttime import LeastTime, least_time, least_times, way
from backbearing.models.walkground import nearest_open
from backbearing.places.geodesy import inverse
from backbearing.plans.approach.gates import disc, let_through, shut_reach, spot_of
from backbearing.plans.approach.ground import (
    area_between,
    standing_cell,
    walker_ground,
    why_no_ground,
)
from backbearing.plans.approach.way import slower_cells, snow_limit_deg
from backbearing.records import Place
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date

    from backbearing.models.leasttime import Ground
    from backbearing.notebook import Notebook
    from backbearing.plans.approach.ground import Area
    from backbearing.plans.approach.way import Going
    from backbearing.plans.pace import Pace
    from backbearing.plans.search.stations import Stations
    from backbearing.records import Floats, Passage

    Cell = tuple[int, int]

MOST_CELLS = 220  # a side: one field of least times in a tenth of a second
MOST_TRIED = 2  # doubtful passages weighed
_ROOM_M = 500.0  # for ways round
_NEAR_CELLS = 3  # a place may be looked at from open ground so near
_BEFORE_IT = 2.0  # cells: so near to a shut passage one sees whether it is open
_LEAST_QUICKER_S = 120.0
_MOST_HALF_M = 60.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fields:
    """Least times from each node to each other one over one ground, and the ways."""

    area: Area
    cells: tuple[Cell, ...]
    fields: tuple[LeastTime, ...]
    slow_s: Floats  # (n, n), at the slow pace, from edge to edge of places

    def line(self, first: int, last: int) -> tuple[tuple[float, float], ...]:
        """The way from one node to another: latitudes and longitudes."""
        cells = way(self.fields[first], self.cells[last])
        if not len(cells):
            return ()
        latitude, longitude = places_at(
            self.area.grid, cells[:, 1].astype(float), cells[:, 0].astype(float)
        )
        return tuple(zip(latitude.round(7).tolist(), longitude.round(7).tolist(), strict=True))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gate:
    """A doubtful passage, the node before it, and the ways where it is open."""

    passage: Passage
    chance: float
    node: int
    opened: Fields


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ways:
    """Node 0 is the start, then the places in their order, then where one stands before gates."""

    shut: Fields
    gates: tuple[Gate, ...]
    kept: tuple[int, ...]  # which places have a node, by their number; node 1 is the first


def ways_between(
    notebook: Notebook,
    start: Place,
    start_name: str,
    places: Stations,
    *,
    on: date,
    pace: Pace,
    going: Going,
    limit_s: float,
    progress: Callable[[str], None],
) -> Ways:
    """How long is it from each place of a search to each other one, and from and to the start?

    limit_s: usual seconds that a way may take. Places where nobody can stand are left out.
    Passages counted on are open; of the others those are weighed by which most likelihood comes
    nearer. Raises BadInput where no ground is known at the start.
    """
    area = _area(notebook, start, places, on=on, going=going)
    slower = slower_cells(area, pace, going)

    def ground_of(which: Area) -> Ground:
        return walker_ground(
            which,
            slower,
            steepest_deg=going.steepest_deg,
            snow_steepest_deg=snow_limit_deg(going),
        )

    ground = ground_of(area)
    first = standing_cell(area, ground, start)
    if first is None:
        why, remedy = why_no_ground(area, start)
        raise BadInput(
            say(
                "no ground to walk on is known at {start_name}{why}",
                start_name=quoted(start_name),
                why=why,
            ),
            where="--start",
            remedy=remedy,
        )
    kept, cells = _standing(area, places, [ground.closed])
    progress("ways from the start")
    from_start = least_time(ground, first, pace.usual_s_per_m, limit_s=limit_s)
    doubted = _doubted(area, ground_of, from_start, first, kept, cells, places, pace, limit_s)
    nodes = [first, *cells, *(gate[3] for gate in doubted)]
    # a look begins at the near edge of a place and ends at that towards the next
    half_m = np.zeros(len(nodes))
    half_m[1 : 1 + len(cells)] = np.minimum(np.sqrt(places.size_m2[kept]) / 2.0, _MOST_HALF_M)
    across_s = half_m * float(pace.slow_s_per_m(0.0))
    edges_s = across_s[:, None] + across_s[None, :]

    def fields_over(which: Area, words: str) -> Fields:
        found: list[LeastTime] = []
        for field in least_times(ground_of(which), nodes, pace.usual_s_per_m, limit_s=limit_s):
            found.append(field)
            progress(f"{words}: {len(found)} of {len(nodes)}")
        seconds = np.array([[each.seconds[cell] for cell in nodes] for each in found])
        slow_s = np.maximum(seconds * pace.slow - edges_s, 0.0)
        return Fields(area=which, cells=tuple(nodes), fields=tuple(found), slow_s=slow_s)

    shut = fields_over(area, say("ways between places"))
    gates = tuple(
        Gate(
            passage=passage,
            chance=chance,
            node=1 + len(cells) + number,
            opened=fields_over(opened, say("ways by {passage}", passage=passage.name)),
        )
        for number, (passage, chance, opened, _cell) in enumerate(doubted)
    )
    return Ways(shut=shut, gates=gates, kept=tuple(kept))


def _area(notebook: Notebook, start: Place, places: Stations, *, on: date, going: Going) -> Area:
    """The ground that holds the start and all places, coarse enough for many fields."""
    # longitudes as far as they lie from the start, either way round: ±180° is one meridian
    turn = (places.longitude_deg - start.longitude_deg + 540.0) % 360.0 - 180.0
    longitude = start.longitude_deg + float(np.median(turn))
    middle = Place(
        latitude_deg=float(np.median(places.latitude_deg)),
        longitude_deg=(longitude + 540.0) % 360.0 - 180.0,
        error_m=0.0,
        error_basis="middle of the search",
    )
    _, apart_m = inverse(
        start.latitude_deg, start.longitude_deg, middle.latitude_deg, middle.longitude_deg
    )
    _, away_m = inverse(
        np.full(len(places.share), middle.latitude_deg),
        np.full(len(places.share), middle.longitude_deg),
        places.latitude_deg,
        places.longitude_deg,
    )
    # the area already holds half the distance and a kilometre around the middle between the two
    beyond_m = max(0.0, float(np.max(away_m)) + _ROOM_M - 1_000.0)
    return area_between(
        notebook,
        start,
        middle,
        on=on,
        wade=going.wade,
        beyond_m=min(beyond_m, apart_m + 8_000.0),
        most_cells=MOST_CELLS,
    )


def _standing(
    area: Area, places: Stations, closed: Sequence[np.ndarray]
) -> tuple[list[int], list[Cell]]:
    """Which places can be stood at, and in which cells."""
    column, row = cells_at(area.grid, places.latitude_deg, places.longitude_deg)
    kept, cells = [], []
    for number, spot in enumerate(zip(row.tolist(), column.tolist(), strict=True)):
        if not all(map(np.isfinite, spot)):
            continue
        at = (round(spot[0]), round(spot[1]))
        if not (0 <= at[0] < closed[0].shape[0] and 0 <= at[1] < closed[0].shape[1]):
            continue
        cell = nearest_open(closed[0], at, within=_NEAR_CELLS)
        if cell is not None:
            kept.append(number)
            cells.append(cell)
    return kept, cells


def _doubted(
    area: Area,
    ground_of: Callable[[Area], Ground],
    from_start: LeastTime,
    first: Cell,
    kept: Sequence[int],
    cells: Sequence[Cell],
    places: Stations,
    pace: Pace,
    limit_s: float,
) -> list[tuple[Passage, float, Area, Cell]]:
    """The doubtful passages by which most likelihood comes nearer, with where one sees them."""
    found = []
    ground = ground_of(area)
    before_s = np.array([from_start.seconds[cell] for cell in cells])
    share = places.share[list(kept)]
    for passage, chance in area.passages:
        if chance <= 0.0 or passage.id in area.opened:
            continue
        spot = spot_of(area.grid, passage)
        round_it = disc(area.shut.shape, spot, shut_reach(area.grid, passage) + _BEFORE_IT)
        seen_from = np.argwhere(round_it & ~ground.closed & np.isfinite(from_start.seconds))
        if not len(seen_from):
            continue
        nearest = seen_from[int(np.argmin(from_start.seconds[seen_from[:, 0], seen_from[:, 1]]))]
        opened = let_through(area, area.opened | {passage.id})
        field = least_time(ground_of(opened), first, pace.usual_s_per_m, limit_s=limit_s)
        after_s = np.array([field.seconds[cell] for cell in cells])
        nearer = np.isfinite(after_s) & (after_s + _LEAST_QUICKER_S <= before_s)
        gain = float(share[nearer].sum()) * chance
        if gain > 0.0:
            found.append((gain, passage, chance, opened, (int(nearest[0]), int(nearest[1]))))
    found.sort(key=lambda each: -each[0])
    return [each[1:] for each in found[:MOST_TRIED]]
