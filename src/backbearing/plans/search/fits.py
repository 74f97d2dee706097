"""How well each piece of ground fits a clue: 0 … 1, soft by the clue's own error."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from scipy.spatial import KDTree

from backbearing.errors import BadInput, quoted
from backbearing.models.castshadow import in_sun
from backbearing.models.cluefits import below, between, faces, on_bearing
from backbearing.models.gridframe import cells_at
from backbearing.models.guides import along as spread
from backbearing.models.sightfield import seen_round
from backbearing.models.sun import sun_position
from backbearing.plans.search.downstream import followed, way_said
from backbearing.plans.search.ground import along, heights_at, lines_called, on_plane
from backbearing.plans.terraingrids import grids_round, missing_round
from backbearing.records import TERRAIN_CLUES, Place
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.plans.search.ground import SearchGround
    from backbearing.records import Floats, Grid, GroundLine, MemoryClue

# as the crow flies to walked, and the pace over open ground: common practice, no source
ROUNDABOUT, PACE_M_A_MIN, WALK_ERROR = 1.3, 60.0, 0.3
_SOFT = 0.3  # of a distance that was only guessed
_LEAST_ERROR_M = 20.0
_ON_LINE_M = 8.0  # nearer than this a side means nothing
_EYES = 12  # places along a path from which a thing was out of sight
_EYES_WITHIN_M = 400.0
_LIMB_DEG = 0.27
FACING_ERROR_DEG = 45.0  # of the way a slope faces, as remembered: common practice, no source
FARTHEST_M = 20_000.0  # of the ground, that terrain is read


class Fitting:
    """The clues' fits over one ground; lines and terrain are read once."""

    def __init__(
        self, notebook: Notebook, ground: SearchGround, near: Place, besides: int | None = None
    ) -> None:
        self.notebook, self.ground, self.near = notebook, ground, near
        self.besides = besides  # a subject whose own place names nothing
        self.rests_on: dict[str, None] = {}
        self._grids: tuple[tuple[Grid, ...], str] | None = None
        self._kept: dict[str, Any] = {}

    def fits(self, clue: MemoryClue) -> Floats:
        """How well each piece fits. Raises BadInput where it needs terrain and there is none, and
        NotFound where its line is gone."""
        if clue.kind in TERRAIN_CLUES and not self.grids[0]:
            raise BadInput(
                say(
                    "the clue {clue} needs terrain, and {grids}",
                    clue=quoted(clue.words),
                    grids=self.grids[1],
                ),
                where="clue",
                remedy=say("put terrain on record with 'terrain add', or drop the clue"),
            )
        by_kind: dict[str, Callable[[MemoryClue], Floats]] = {
            "near a line": self._near_line,
            "side of a line": self._side,
            "along a line": self._up_or_down,
            "near a place": self._near_place,
            "walk from a place": self._walk,
            "between places": self._between,
            "inside an area": self._inside,
            "on a bearing": self._bearing,
            "seen from a place": self._seen,
            "hidden from a line": self._hidden,
            "slope": self._slope,
            "facing": self._facing,
            "height": self._height,
            "lit": self._lit,
            "in shade": lambda clue: 1.0 - self._lit(clue),
        }
        return np.clip(by_kind[clue.kind](clue), 0.0, 1.0)

    @property
    def grids(self) -> tuple[tuple[Grid, ...], str]:
        """The terrain round the ground, and why there is none."""
        if self._grids is None:
            plane = self.ground.plane
            self._grids = grids_round(
                self.notebook, plane.latitude_deg, plane.longitude_deg, self._reach_m
            )
        return self._grids

    @property
    def missing(self) -> str:
        """Which of the terrain round the ground is not there, as a sentence; '' for none."""
        plane = self.ground.plane
        return missing_round(self.notebook, plane.latitude_deg, plane.longitude_deg, self._reach_m)

    @property
    def _reach_m(self) -> float:
        reach_m = float(np.hypot(self.ground.x_m, self.ground.y_m).max()) + 500.0
        return min(reach_m, FARTHEST_M)

    # ------------------------------------------------------------ lines

    def _lines(self, clue: MemoryClue) -> list[GroundLine]:
        own = self.ground.line
        if own is not None and clue.line and clue.line in (own.name, own.kind):
            return [own]
        lines, come_from = lines_called(self.notebook, clue.line or "water", self.near)
        self.rests_on[come_from] = None
        return lines

    def _lines_m(self, clue: MemoryClue) -> list[Floats]:
        return [on_plane(self.ground.plane, line) for line in self._lines(clue)]

    def _near_line(self, clue: MemoryClue) -> Floats:
        limit_m, error = clue.high or 0.0, self._error(clue)
        away = self._away_from(self._lines_m(clue), limit_m + 3.0 * error)
        return below(away, limit_m, error)

    def _once(self, name: str, made: Callable[[], Any]) -> Any:
        """What several clues ask for, worked out once."""
        if name not in self._kept:
            self._kept[name] = made()
        return self._kept[name]

    def _away_from(self, lines: list[Floats], within_m: float) -> Floats:
        """How far the nearest of lines is, by points on them half a cell apart; inf beyond."""
        step = min(5.0, self.ground.cell_m / 2.0)
        points = np.concatenate([spread(line, step) for line in lines])
        away, _ = KDTree(points).query(
            np.stack([self.ground.x_m, self.ground.y_m], axis=1),
            workers=-1,
            distance_upper_bound=within_m,
        )
        return np.asarray(away)

    def _by_line(self, clue: MemoryClue) -> tuple[Floats, Floats, Floats, Floats]:
        towards = None if clue.kind == "between places" else clue.other

        def by() -> tuple[Floats, Floats, Floats, Floats]:
            line, way = followed(
                self.notebook, self._lines(clue)[0], besides=self.besides, towards=towards
            )
            if clue.kind != "between places":
                self.rests_on[way_said(line, way)] = None
            line_m = on_plane(self.ground.plane, line)
            return (line_m, *along(line_m, self.ground.x_m, self.ground.y_m))

        name = say(
            "by {line}, {kind}, {towards}",
            line=clue.line,
            kind=clue.kind == "between places",
            towards=towards,
        )
        found: tuple[Floats, Floats, Floats, Floats] = self._once(name, by)
        return found

    def _side(self, clue: MemoryClue) -> Floats:
        _line, _chainage, away, side = self._by_line(clue)
        wanted = -1.0 if clue.side == "left" else 1.0
        return np.where(away < _ON_LINE_M, 0.5, np.where(side == wanted, 1.0, 0.0))

    def _chainage_of(self, line: Floats, place: Place) -> float:
        x, y = self.ground.plane.at(np.array([place.latitude_deg]), np.array([place.longitude_deg]))
        return float(along(line, x, y)[0][0])

    def _up_or_down(self, clue: MemoryClue) -> Floats:
        assert clue.place is not None  # noqa: S101 - a clue of this kind has one
        line, chainage, _away, _side = self._by_line(clue)
        at = self._chainage_of(line, clue.place)
        past = chainage - at if clue.side == "down" else at - chainage
        error = max(clue.place.error_m, _LEAST_ERROR_M)
        fits = 1.0 - below(past, clue.low or 0.0, error)
        if clue.high is not None:
            fits = fits * below(past, clue.high, max(error, _SOFT * clue.high))
        return fits

    def _between(self, clue: MemoryClue) -> Floats:
        assert clue.place is not None  # noqa: S101
        assert clue.other is not None  # noqa: S101
        line, chainage, _away, _side = self._by_line(clue)
        ends = sorted(self._chainage_of(line, each) for each in (clue.place, clue.other))
        error = max(clue.place.error_m, clue.other.error_m, _LEAST_ERROR_M)
        return between(chainage, ends[0], ends[1], error)

    # ------------------------------------------------------------ places

    def _at(self, place: Place | None) -> tuple[float, float]:
        assert place is not None  # noqa: S101
        x, y = self.ground.plane.at(np.array([place.latitude_deg]), np.array([place.longitude_deg]))
        return float(x[0]), float(y[0])

    def _away(self, place: Place | None) -> Floats:
        x, y = self._at(place)
        return np.hypot(self.ground.x_m - x, self.ground.y_m - y)

    def _error(self, clue: MemoryClue) -> float:
        guessed = max(_LEAST_ERROR_M, _SOFT * (clue.high or 0.0))
        return clue.error if clue.error is not None else guessed

    def _near_place(self, clue: MemoryClue) -> Floats:
        assert clue.place is not None  # noqa: S101
        error = float(np.hypot(self._error(clue), clue.place.error_m))
        fits = below(self._away(clue.place), clue.high or 0.0, error)
        if clue.low:
            fits = fits * (1.0 - below(self._away(clue.place), clue.low, error))
        return fits

    def _inside(self, clue: MemoryClue) -> Floats:
        import shapely

        area = shapely.make_valid(shapely.Polygon([self._at(corner) for corner in clue.corners]))
        pieces = shapely.points(self.ground.x_m, self.ground.y_m)
        away = shapely.distance(shapely.boundary(area), pieces)
        outside = np.where(shapely.contains(area, pieces), -away, away)
        error = max([_LEAST_ERROR_M, *(corner.error_m for corner in clue.corners)])
        return below(outside, 0.0, error)

    def _walk(self, clue: MemoryClue) -> Floats:
        minutes = self._away(clue.place) * ROUNDABOUT / PACE_M_A_MIN
        self.rests_on[
            say(
                "minutes walked: {roundabout:g} times the straight way at "
                "{pace_m_a_min:g} m a minute, ± 30 % (common practice, no source)",
                roundabout=ROUNDABOUT,
                pace_m_a_min=PACE_M_A_MIN,
            )
        ] = None
        high = clue.high or 0.0
        if clue.low is not None:
            return between(minutes, clue.low, high, max(5.0, WALK_ERROR * high))
        return below(minutes, high, max(5.0, WALK_ERROR * high))

    def _bearing(self, clue: MemoryClue) -> Floats:
        x, y = self._at(clue.place)
        assert clue.place is not None  # noqa: S101
        return on_bearing(
            self.ground.x_m,
            self.ground.y_m,
            x,
            y,
            clue.low or 0.0,
            clue.error or 5.0,
            place_error_m=clue.place.error_m,
        )

    # ------------------------------------------------------------ terrain

    def _cells(self, grid: Grid) -> tuple[Floats, Floats]:
        """The rows and columns of the pieces in a grid."""

        def cells() -> tuple[Floats, Floats]:
            column, row = cells_at(grid, self.ground.latitude_deg, self.ground.longitude_deg)
            return row, column

        found: tuple[Floats, Floats] = self._once(f"cells {id(grid)}", cells)
        return found

    def _sight(self, grids: Sequence[Grid], place: Place, near: NDArray[np.bool_]) -> Floats:
        """1 where a place sees a piece, 0 elsewhere; near: the pieces asked about.

        By the finest grid that knows the ground the place stands on. Raises BadInput for none.
        """
        for number, grid in enumerate(grids):
            row, column = self._cells(grid)
            at = cells_at(grid, np.array([place.latitude_deg]), np.array([place.longitude_deg]))
            eye = (float(at[1][0]), float(at[0][0]))
            found = np.zeros(near.shape)
            try:
                seen = seen_round(
                    grid.height_m, grid.cell_m, eye, row[near], column[near], target_height_m=1.5
                )
            except BadInput:
                if number + 1 < len(grids):
                    continue
                raise
            found[near] = seen
            return found
        raise BadInput(say("no height is known there"), where="place")

    def _seen(self, clue: MemoryClue) -> Floats:
        assert clue.place is not None  # noqa: S101
        grids = self.grids[0]
        x, y = self._at(clue.place)
        away_m = float(np.hypot(x, y)) + 500.0
        if away_m > self._reach_m:
            plane = self.ground.plane
            grids = grids_round(
                self.notebook, plane.latitude_deg, plane.longitude_deg, min(away_m, FARTHEST_M)
            )[0]
        try:
            seen = self._sight(grids, clue.place, np.ones(self.ground.x_m.shape, dtype=bool))
        except BadInput:
            raise BadInput(
                say(
                    "the clue {clue} needs the height of the ground one looks from, "
                    "and no terrain on record knows it",
                    clue=quoted(clue.words),
                ),
                where="clue",
                remedy=say("put terrain on record with 'terrain add', or drop the clue"),
            ) from None
        # cells hide and open what a walker sees: never quite sure
        return 0.05 + 0.9 * seen

    def _hidden(self, clue: MemoryClue) -> Floats:
        points = []
        for line in self._lines_m(clue):
            whole = shapely.LineString(line)
            steps = np.linspace(0.0, whole.length, max(2, int(whole.length // 50.0)))
            points += shapely.get_coordinates(shapely.line_interpolate_point(whole, steps)).tolist()
        eyes = np.array(points)
        middle = np.array([self.ground.x_m.mean(), self.ground.y_m.mean()])
        eyes = eyes[np.argsort(np.hypot(*(eyes - middle).T))]
        eyes = eyes[:: max(1, len(eyes) // _EYES)][:_EYES]
        seen = np.zeros(self.ground.x_m.shape)
        for x, y in eyes.tolist():
            near = np.hypot(self.ground.x_m - x, self.ground.y_m - y) <= _EYES_WITHIN_M
            if near.any():
                latitude, longitude = self.ground.plane.places(np.array(x), np.array(y))
                eye = Place(
                    latitude_deg=float(latitude),
                    longitude_deg=float(longitude),
                    error_m=0.0,
                    error_basis="on a line",
                )
                try:
                    seen = np.maximum(seen, self._sight(self.grids[0], eye, near))
                except BadInput:  # the eye stands in a void: it says nothing
                    continue
        return 0.95 - 0.9 * seen

    def _rise(self) -> tuple[Floats, Floats]:
        """How the ground rises to the east and to the north, metres a metre."""
        found: tuple[Floats, Floats] = self._once("rise", self._risen)
        return found

    def _risen(self) -> tuple[Floats, Floats]:
        ground = self.ground
        if ground.kind == "grid" and min(ground.rows, ground.columns) > 1:
            heights = self._heights().reshape(ground.rows, ground.columns)
            down, across = np.gradient(heights, ground.cell_m)
            return across.ravel(), -down.ravel()
        plane, step = ground.plane, max(self.grids[0][0].cell_m, 5.0)
        found = []
        for dx, dy in ((step, 0.0), (0.0, step)):
            ahead, behind = (
                heights_at(
                    self.grids[0],
                    *plane.places(ground.x_m + sign * dx, ground.y_m + sign * dy),
                )
                for sign in (1.0, -1.0)
            )
            found.append((ahead - behind) / (2.0 * step))
        return found[0], found[1]

    def _heights(self) -> Floats:
        """Of the ground in the pieces' middles."""
        ground = self.ground
        found: Floats = self._once(
            say("heights"),
            lambda: heights_at(self.grids[0], ground.latitude_deg, ground.longitude_deg),
        )
        return found

    def _slope(self, clue: MemoryClue) -> Floats:
        east, north = self._rise()
        slope = np.degrees(np.arctan(np.hypot(east, north)))
        return between(
            slope, clue.low or 0.0, 90.0 if clue.high is None else clue.high, clue.error or 8.0
        )

    def _facing(self, clue: MemoryClue) -> Floats:
        east, north = self._rise()
        aspect = np.degrees(np.arctan2(-east, -north)) % 360.0
        return faces(aspect, clue.low or 0.0, clue.error or FACING_ERROR_DEG)

    def _height(self, clue: MemoryClue) -> Floats:
        height = self._heights()
        error = clue.error or max(15.0, self.grids[0][0].vertical_error_m)
        low = -1000.0 if clue.low is None else clue.low
        return between(height, low, 9000.0 if clue.high is None else clue.high, error)

    def _lit(self, clue: MemoryClue) -> Floats:
        assert clue.at is not None  # noqa: S101
        plane = self.ground.plane
        when = np.array([np.datetime64(int(clue.at.timestamp()), "s")]).astype("datetime64[ms]")
        sun = sun_position(when, plane.latitude_deg, plane.longitude_deg)
        azimuth, altitude = float(sun.azimuth_deg[0]), float(sun.altitude_deg[0])
        if altitude + _LIMB_DEG <= 0.0:
            return np.full(self.ground.x_m.shape, 0.05)
        first, *around = self.grids[0]
        lit = in_sun(first, azimuth, altitude + _LIMB_DEG, around=around)
        row, column = self._cells(first)
        rows, columns = lit.shape
        inside = (row >= 0) & (row <= rows - 1) & (column >= 0) & (column <= columns - 1)
        r = np.clip(np.nan_to_num(np.rint(row)), 0, rows - 1).astype(int)
        c = np.clip(np.nan_to_num(np.rint(column)), 0, columns - 1).astype(int)
        return np.where(inside, 0.1 + 0.8 * lit[r, c], 0.5)
