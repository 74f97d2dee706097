"""The invented island: rivers first, then the ice's corrie, then what the quarrymen left.

Metres east (x) and north (y) of an origin at 47° N 21° W, where there is only sea.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from ground import Drainage, Floats, Frame, calm, drain, erode, fractal, means, noise, ridged, step
from lines import (
    Line,
    along,
    along_softly,
    carve,
    contour_down,
    easiest_way,
    lay,
    length_m,
    outline,
    points_along,
    rounded,
    watercourses,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

COARSE = Frame(west=-10_800, north=8_400, cell=90, rows=228, columns=304)
FAR = Frame(west=-10_800, north=8_400, cell=30, rows=684, columns=912)
NEAR = Frame(west=-3_000, north=3_600, cell=10, rows=600, columns=660)

# the ice's way: head of the corrie, its tarn, its lip, the step, the lower dale, the bay
ICE: Line = [
    (-190, -190),
    (120, 90),
    (430, 390),
    (800, 620),
    (1200, 820),
    (1540, 1180),
    (1830, 1620),
    (2250, 2300),
]
FLOOR_AT = [0, 250, 450, 700, 888, 1060, 1290, 1850, 2400, 2950, 3750]
FLOOR_M = [350, 341, 335, 332, 330, 284, 204, 110, 48, 3, -18]
HALF_AT = [0, 450, 700, 888, 1290, 1850, 2950, 3750]
HALF_M = [235, 255, 230, 170, 130, 140, 200, 420]

TARN = (135.0, 60.0)

# the quarry's own axes: u along the corrie's north-western wall, v out of the corrie into it
QUARRY = (120.0, 90.0)
U, V = (0.742, 0.670), (-0.670, 0.742)
TERRACE_M = [372.0, 388.0, 404.0, 420.0, 436.0]
TERRACE_FROM, TERRACE_WIDE = 238.0, 42.0


def quarry_point(u: float, v: float) -> tuple[float, float]:
    """A spot given in the quarry's own axes [m]."""
    return QUARRY[0] + u * U[0] + v * V[0], QUARRY[1] + u * U[1] + v * V[1]


WINDING_HOUSE = quarry_point(168, 428)
INCLINE: Line = [quarry_point(176, 418), quarry_point(240, 172)]
INCLINE_M = (436.0, 352.0)
PUMP_WHEEL = quarry_point(150, 226)
LEAT_GRADE = 1 / 200
GAP: Line = [quarry_point(585, 400), quarry_point(570, 560), quarry_point(590, 740)]
GAP_M = 474.0
# along the crest of the corrie's northern arm, down to the leat
SHEEP_WALL: Line = [
    quarry_point(u, v)
    for u, v in (
        *((400, 590), (440, 585), (500, 565), (570, 560), (640, 560), (700, 560)),
        *((760, 550), (820, 520), (900, 505), (980, 505), (1040, 515)),
    )
]
BRIDGE_NEAR, FORD_NEAR = (860.0, 640.0), (1760.0, 1560.0)
LANDING_NEAR, SLIP_NEAR = (2010.0, 1730.0), (-470.0, 2380.0)


def first_land() -> Floats:
    """Both islands as the rivers left them, on 90 m cells."""
    x, y = COARSE.centres()
    wx = x + 900 * noise(x, y, 3_800, 11) + 350 * noise(x, y, 1_400, 12)
    wy = y + 900 * noise(x, y, 3_800, 13) + 350 * noise(x, y, 1_400, 14)

    def oval(cx: float, cy: float, long: float, short: float, azimuth: float) -> Floats:
        a = np.radians(azimuth)
        u = (wx - cx) * np.sin(a) + (wy - cy) * np.cos(a)
        v = (wx - cx) * np.cos(a) - (wy - cy) * np.sin(a)
        return 1 - np.hypot(u / long, v / short)

    home = oval(-1_500, -1_700, 7_000, 4_300, 305)
    other = oval(11_400, -3_600, 5_200, 2_300, 12)
    shape = np.maximum(home, other * 0.8)
    spine: Line = [(-6_500, 1_500), (-3_200, 900), (-700, -700), (900, -2_600), (3_600, -4_200)]
    crest: Line = [(10_300, -8_000), (11_300, -5_200), (11_100, -2_400), (12_500, 700)]
    bent = 500 * noise(x, y, 2_400, 24) + 200 * noise(x, y, 900, 25)
    home_rise = 26 * (0.35 + 0.65 * step(along(spine, x, y)[1] + 0.5 * bent, 2_600, 200))
    other_rise = 30 * (0.2 + 0.8 * step(along(crest, x, y)[1] + bent, 2_000, 100))
    rise = np.where(other > home, other_rise, home_rise)
    rise *= 0.75 + 0.5 * ridged(x, y, 2_600, 3, 21)
    land = np.where(shape > 0, 20 + 60 * shape + 8 * fractal(x, y, 900, 3, 23), -20 + 30 * shape)
    land = np.where(shape > 0, np.maximum(land, 1), land)
    return erode(land, np.where(shape > 0, rise, 0), COARSE.cell, rounds=26, strength=0.06)


def upland() -> tuple[Floats, Floats]:
    """The ground of both grids before water and people: NEAR at 10 m, FAR at 30 m."""
    coarse = first_land()
    return _shaped(coarse, NEAR), _shaped(coarse, FAR)


def _shaped(coarse: Floats, frame: Frame) -> Floats:
    x, y = frame.centres()
    # a little warp, so that no valley runs along the coarse grid
    wx, wy = x + 40 * noise(x, y, 260, 31), y + 40 * noise(x, y, 260, 32)
    land = COARSE.sample_smooth(coarse, wx, wy)
    # the horseshoe of high ground that the ice will bite into
    bx, by = x + 38 * noise(x, y, 300, 38), y + 38 * noise(x, y, 300, 39)
    s, off = along_softly(rounded(ICE, 2), bx, by, 60)
    rim: Line = [
        (350, 980),
        (-150, 760),
        (-620, 330),
        (-720, -260),
        (-330, -720),
        (250, -640),
        (800, -150),
    ]
    t, away = along_softly(rounded(rim, 2), x, y, 60)
    crest = np.interp(
        t, [0, 550, 1_200, 1_800, 2_400, 3_000, 3_700], [430, 560, 640, 715, 690, 600, 430]
    )
    away += 70 * noise(x, y, 330, 37)
    horseshoe = crest + 25 * fractal(x, y, 300, 2, 33) - 0.5 * np.sqrt(away**2 + 50**2) + 25
    land = _soft_max(land, horseshoe, 60)
    rough = np.clip(land / 500, 0.1, 1)
    land += rough * (32 * (ridged(x, y, 520, 4, 34) - 0.45) + 5 * fractal(x, y, 110, 3, 35))
    land = _bitten(land, x, y, s, off)
    # cliffs: the sea has cut back what the rivers laid down
    cliff = (10 + 8 * noise(x, y, 700, 36)) * step(along(ICE[5:], x, y)[1], 150, 500)
    return np.where(land > 0, land + cliff * (1 - np.exp(-np.maximum(land, 0) / 5)), land)


def _soft_max(a: Floats, b: Floats, width: float) -> Floats:
    return np.maximum(a, b) + np.maximum(width - np.abs(a - b), 0) ** 2 / (4 * width)


def _bitten(land: Floats, x: Floats, y: Floats, s: Floats, off: Floats) -> Floats:
    """What the ice left: flat floor, scree, a headwall of some 60°, then the old slopes."""
    s = s + 25 * noise(x, y, 180, 41)
    head = step(s, 1_050, 650)
    floor = np.interp(s, FLOOR_AT, FLOOR_M) + 2.5 * fractal(x, y, 110, 3, 42)
    floor += (0.04 + 0.05 * (1 - head)) * off
    tarn = np.hypot((x - TARN[0]) / 150, (y - TARN[1]) / 105) + 0.25 * noise(x, y, 120, 46)
    floor -= 14 * step(tarn, 1.25, 0.4)
    half = np.interp(s, HALF_AT, HALF_M)
    # bays and spurs, then buttresses and gullies
    off = off + 75 * noise(x, y, 460, 47) + 45 * noise(x, y, 200, 43)
    off += head * (22 * (ridged(x, y, 105, 3, 44) - 0.5) + 5 * noise(x, y, 30, 45))
    out = np.maximum(off - half, 0)
    scree_m = 55 + 25 * noise(x, y, 150, 48)
    scree = np.minimum(out, scree_m) * np.tan(np.radians(29 * head + 13 * (1 - head)))
    scree *= np.clip(out / scree_m, 0.3, 1)
    wall = np.maximum(out - scree_m, 0) * np.tan(np.radians(62 * head + 27 * (1 - head)))
    bite = floor + scree + wall
    return -_soft_max(-land, -bite, 6 + 34 * (1 - head))


def quarried(land: Floats, frame: Frame) -> Floats:
    """Five terraces hewn into the wall, the raw face above them, and the tips below."""
    x, y = frame.centres()
    u = (x - QUARRY[0]) * U[0] + (y - QUARRY[1]) * U[1]
    v = (x - QUARRY[0]) * V[0] + (y - QUARRY[1]) * V[1]
    within = v - TERRACE_FROM + 9 * noise(x, y, 190, 51) + 3 * noise(x, y, 60, 53)
    n = len(TERRACE_M)
    bench = np.clip(np.floor(within / TERRACE_WIDE), 0, n - 1)
    riser = step(within - bench * TERRACE_WIDE, 0, 9)
    level = TERRACE_M[0] + 16 * (bench - 1) + 16 * riser
    face = np.maximum(within - n * TERRACE_WIDE, 0) * np.tan(np.radians(66))
    ends = np.maximum(np.abs(u - 10) - 180 - 14 * noise(x, y, 60, 52), 0)
    cut = level + face + ends * np.tan(np.radians(62))
    # hewn where the hill stood above the bench, built up of waste where it did not
    built = np.where((within > 0) & (within < n * TERRACE_WIDE), level - ends * 0.73, -1e9)
    hewn = np.where(within > 0, np.maximum(np.minimum(cut, land), built), land)
    # what was tipped over the edge lies at its own slope of some 36°
    for (mu, mv), top in (((-100, 222), 371.0), ((15, 226), 371.0)):
        mx, my = quarry_point(mu, mv)
        off = np.hypot(x - mx, (y - my) * 0.8) + 14 * noise(x, y, 55, 54) + 5 * noise(x, y, 23, 55)
        heap = top - np.maximum(off - 24, 0) * np.tan(np.radians(36))
        hewn = np.where(within < 12, np.maximum(hewn, heap), hewn)
    return hewn


@dataclass(frozen=True)
class Island:
    """All that was made, in metres east and north of the origin."""

    near: Floats
    far: Floats
    leat: Line  # from its intake to the pump wheel
    leat_m: tuple[float, float]  # its height at both ends
    brooks: dict[str, Line]  # downstream
    tarn: Line
    wall: Line
    paths: dict[str, Line]
    places: dict[str, tuple[float, float]]


def build() -> Island:
    """Make the whole island; the same every time, in some twenty seconds."""
    near, far = upland()
    near = np.round(quarried(near, NEAR), 4)
    carve(NEAR, near, GAP, np.array([GAP_M - 6, GAP_M, GAP_M - 6]), 9, 0.95)

    flow = drain(near, NEAR.cell)
    water = _Water(near, flow)
    near = np.where(near > 0, flow.filled, near)
    water.cut(near)

    main = water.brooks[water.main][0]
    bridge, ford = _nearest(main, BRIDGE_NEAR), _nearest(main, FORD_NEAR)
    landing, slip = _shore(near, LANDING_NEAR), _shore(near, SLIP_NEAR)
    leat, leat_foot = _leat(near, water)
    leat_head = leat_foot + length_m(leat) * LEAT_GRADE

    paths = _paths(near, main, bridge, ford, landing, slip)
    for name, line in paths.items():
        _, px, py = points_along(line, 10)
        profile = NEAR.sample(calm(near, 1), px, py)
        level = np.convolve(np.pad(profile, 3, mode="edge"), np.ones(7) / 7, "valid")
        lay(NEAR, near, line, level, 3, 9)
        paths[name] = list(zip(px.tolist(), py.tolist(), strict=True))
    water.cut(near)
    lay(NEAR, near, leat, np.array([leat_head, leat_foot]), 10, 8)
    lay(NEAR, near, INCLINE, np.array(INCLINE_M), 5, 14)

    paths["incline"] = [INCLINE[1], INCLINE[0]]
    arch = _crossing(INCLINE, leat)
    near = _kept(near)
    far = _kept(_joined(near, far))
    return Island(
        near=near,
        far=far,
        leat=leat,
        leat_m=(leat_head, leat_foot),
        brooks=water.named(),
        tarn=outline(NEAR, water.tarn),
        wall=SHEEP_WALL,
        paths=paths,
        places={
            "winding house": WINDING_HOUSE,
            "arch": arch,
            "pump wheel": leat[-1],
            "landing stage": landing,
            "powder hut": quarry_point(-60, 195),
            "north slip": slip,
            "bridge": bridge,
            "ford": ford,
            "gap": GAP[1],
            "wall hole": _crossing(SHEEP_WALL, paths["gap path"]),
            "leat intake": leat[0],
            "incline foot": INCLINE[1],
        },
    )


def _kept(grid: Floats) -> Floats:
    """Eighths of a metre, which a float holds exactly and deflate packs well; the sea is 0."""
    return np.where(grid > 0, np.maximum(np.round(grid * 8), 1) / 8, 0.0)


def _joined(near: Floats, far: Floats) -> Floats:
    """The far grid, with the near one's means where that lies, and a seam of 300 m between."""
    size = int(FAR.cell / NEAR.cell)
    inner = means(near, size)
    row, column = int((FAR.north - NEAR.north) / FAR.cell), int((NEAR.west - FAR.west) / FAR.cell)
    window = np.s_[row : row + inner.shape[0], column : column + inner.shape[1]]
    a = np.minimum(np.arange(inner.shape[0]), np.arange(inner.shape[0])[::-1])
    b = np.minimum(np.arange(inner.shape[1]), np.arange(inner.shape[1])[::-1])
    share = step(np.minimum.outer(a, b) * 1.0, 0, 10)
    far = far.copy()
    far[window] = np.where(
        (inner > 0) & (far[window] > 0), far[window] + (inner - far[window]) * share, inner
    )
    return far


class _Water:
    """The brooks and the tarn of the near ground, and the beds they cut."""

    def __init__(self, near: Floats, flow: Drainage) -> None:
        x, y = NEAR.centres()
        level = float(NEAR.sample(flow.filled, np.array(TARN[0]), np.array(TARN[1])))
        self.tarn = (flow.filled - near > 0.4) & (np.abs(flow.filled - level) < 0.3)
        self.tarn &= np.hypot(x - TARN[0], y - TARN[1]) < 300
        self.level = level
        self.brooks = []
        for line, filled, area in watercourses(NEAR, flow, flow.gathered(NEAR.cell), 60_000, 250):
            s = np.arange(len(line)) * NEAR.cell
            east, north = np.array(line).T
            gorge = 16 * np.exp(-(((east - 840) / 150) ** 2)) * (area > 4e5)
            gorge *= np.abs(north - 640) < 260
            depth = np.clip(0.9 * (area / 1e5) ** 0.45, 0.5, 3.5) * step(s, -40, 120)
            bed = np.maximum(np.minimum.accumulate(filled - depth - gorge), 0.25)
            self.brooks.append((line, bed, 0.5 if gorge.max() < 2 else 1.0))
        self.main = min(
            range(len(self.brooks)), key=lambda k: along(self.brooks[k][0], *_point(ICE[4]))[1]
        )

    def cut(self, near: Floats) -> None:
        for line, bed, bank in self.brooks:
            carve(NEAR, near, line, bed, 4, bank)
        near[self.tarn] = self.level

    def named(self) -> dict[str, Line]:
        names = {self.main: "quarry brook"}
        return {names.get(k, f"brook {k + 1}"): line for k, (line, _, _) in enumerate(self.brooks)}


def _point(p: tuple[float, float]) -> tuple[Floats, Floats]:
    return np.array([p[0]]), np.array([p[1]])


def _nearest(line: Line, to: tuple[float, float]) -> tuple[float, float]:
    return min(line, key=lambda p: np.hypot(p[0] - to[0], p[1] - to[1]))


def _cells(line: Line) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    x, y = np.array(line).T
    rows = ((NEAR.north - y) / NEAR.cell).astype(np.int64)
    return rows, ((x - NEAR.west) / NEAR.cell).astype(np.int64)


def _crossing(a: Line, b: Line) -> tuple[float, float]:
    _, x, y = points_along(a, 2)
    k = int(np.argmin(along(b, x, y)[1]))
    return float(x[k]), float(y[k])


def _shore(near: Floats, to: tuple[float, float]) -> tuple[float, float]:
    """The lowest dry cell near a point that has the sea next to it."""
    x, y = NEAR.centres()
    wet = calm((near <= 0).astype(float), 1) > 0.1
    there = np.flatnonzero((near > 0) & wet)
    far = np.hypot(x.ravel()[there] - to[0], y.ravel()[there] - to[1])
    k = there[np.argmin(far + 8 * near.ravel()[there])]
    near.ravel()[k] = min(float(near.ravel()[k]), 1.5)
    return float(x.ravel()[k]), float(y.ravel()[k])


def _leat(near: Floats, water: _Water) -> tuple[Line, float]:
    """Set out backwards from the wheel round the spur to the brook of the next dale."""
    x, y = NEAR.centres()
    v = (x - QUARRY[0]) * V[0] + (y - QUARRY[1]) * V[1]
    brook = np.zeros(near.shape, bool)
    for line, _, _ in water.brooks:
        brook[_cells(line)] = True
    line, foot = contour_down(
        NEAR,
        calm(near, 3),
        PUMP_WHEEL,
        left=False,
        grade=LEAT_GRADE,
        length_limit_m=5_000,
        until=brook & (v > 700),
    )
    return list(reversed(line[::2])), foot


def _paths(
    near: Floats,
    main: Line,
    bridge: tuple[float, float],
    ford: tuple[float, float],
    landing: tuple[float, float],
    slip: tuple[float, float],
) -> dict[str, Line]:
    """Where carts went and where walkers go."""
    x, y = NEAR.centres()
    ground = calm(near, 1)
    brook = np.zeros(near.shape)
    brook[_cells(main)] = 1
    dear = 1 + 30 * (calm(brook, 1) > 0)
    for px, py in (bridge, ford):
        dear = np.where(np.hypot(x - px, y - py) < 25, 1, dear)
    shore = dear * (1 + ((ground - 32) / 18) ** 2)
    foot, top = INCLINE[1], GAP[1]

    def way(*stages: tuple[float, float], over: Floats = dear) -> Line:
        line = [stages[0]]
        for a, b in itertools.pairwise(stages):
            line += easiest_way(NEAR, ground, a, b, over)[1:]
        return rounded(line, 2)

    return {
        "coast path": way(slip, ford, landing, over=shore),
        "cart track": way(landing, bridge, foot),
        "gap path": way(slip, top, foot),
    }
