"""Six invented outings over the invented island, and the page of notes that was kept on them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta, timezone
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from ground import Floats
from island import INCLINE, NEAR, WINDING_HOUSE, Island, quarry_point
from lines import Line, along, points_along
from walker import Fix, Outing, Stage, Walker, part, stand

Degrees = Callable[[Floats, Floats], tuple[Floats, Floats]]
CREATOR = "invented for Backbearing"

# ---------------------------------------------------------------- the six outings


def outings(island: Island) -> list[Outing]:
    """All of them, oldest first."""
    at, paths, leat = island.places, island.paths, island.leat
    landing, slip, foot = at["landing stage"], at["north slip"], at["incline foot"]
    quay = stand(landing, 40, 22)
    by_arch = stand(at["arch"], 258, 24)
    by_wheel = stand(at["pump wheel"], 310, 12)
    by_house = stand(WINDING_HOUSE, 215, 8)
    by_hut = stand(at["powder hut"], 130, 9)
    head = INCLINE[0]
    low_leat = list(reversed(part(leat, at["pump wheel"], foot)))
    up = part(paths["cart track"], quay, foot)
    down = list(reversed(up))
    wheel_walk = [foot, *low_leat[1:-1], by_wheel]
    halfway = (
        INCLINE[1][0] + 0.42 * (head[0] - INCLINE[1][0]),
        INCLINE[1][1] + 0.42 * (head[1] - INCLINE[1][1]),
    )
    bench = [by_house, quarry_point(90, 430), quarry_point(-60, 430), quarry_point(-150, 432)]
    off = 0.6
    leat_gate = _meeting(paths["gap path"], leat)

    def walk(line: Line, pace: float = 1.0, lost: tuple[float, float] | None = None) -> Stage:
        return Stage(line=line, pace=pace, lost_s=lost)

    def pause(name: str, minutes: float) -> Stage:
        return Stage(stand_min=minutes, name=name)

    def utc(text: str) -> datetime:
        return datetime.fromisoformat(text).replace(tzinfo=UTC)

    return [
        Outing(
            file="2024-06-15-first-landing.gpx",
            title="First landing",
            seed=61,
            every_s=12,
            anchor=("pump wheel", utc("2024-06-15T11:20")),
            comment="Up the cart track to see what is left of the quarry.",
            stages=(
                walk(up),
                pause("incline foot", 5),
                walk(wheel_walk, 0.8),
                pause("pump wheel", 9),
                walk([by_wheel, (135, 200), (150, 160)], off),
                pause("tarn", 6),
                walk([(150, 160), (190, 260), foot], off),
                walk(down),
            ),
            waypoints=(
                ("bridge", "BRIDGE", "two slabs over the gorge"),
                ("incline foot", "014", "foot of the incline"),
                ("pump wheel", "015", "wheel pit"),
            ),
        ),
        Outing(
            file="2024-09-28-along-the-leat.gpx.gz",
            title="Along the leat",
            seed=62,
            every_s=10,
            anchor=("arch", utc("2024-09-28T14:05")),
            stages=(
                walk(part(paths["gap path"], slip, leat_gate)),
                pause("leat", 4),
                walk(part(leat, leat_gate, by_arch), 0.75),
                pause("arch", 8),
                walk([by_arch, foot], off),
                walk(down),
            ),
        ),
        Outing(
            file="2025-02-08-windfall.gpx",
            title="Windfall",
            seed=63,
            every_s=15,
            version="1.0",
            anchor=("windfall", utc("2025-02-08T14:10")),
            wild_fix=True,
            stages=(
                walk(up),
                walk([foot, halfway], 0.8),
                pause("windfall", 7),
                walk([halfway, foot], 0.7),
                walk(wheel_walk, 0.7, (60, 290)),
                pause("pump wheel", 4),
                walk(list(reversed(wheel_walk)), 0.7),
                walk(down),
            ),
        ),
        Outing(
            file="2025-05-17-over-the-gap.gpx",
            title="Over the gap",
            seed=64,
            every_s=12,
            anchor=("gap", utc("2025-05-17T11:45")),
            zone=timezone(timedelta(hours=1)),
            comment="The watch was still on the mainland's time.",
            stages=(
                walk(part(paths["gap path"], slip, at["gap"])),
                pause("gap", 12),
                walk(part(paths["gap path"], at["gap"], foot), 0.9),
                walk([foot, by_hut], off, (40, 300)),
                pause("powder hut", 6),
                walk([by_hut, (60, 240), foot], off),
                walk(down),
                pause("landing", 10),
            ),
            waypoints=(("gap", "GAP", "sheep wall with a hole in it"), ("powder hut", "021", "")),
        ),
        Outing(
            file="2025-11-01-low-sun.gpx",
            title="Low sun at the landing stage",
            seed=65,
            every_s=10,
            anchor=("landing stage", utc("2025-11-01T09:10")),
            stages=(
                walk(part(paths["coast path"], slip, quay)),
                pause("landing stage", 24),
                walk(part(paths["coast path"], quay, slip)),
            ),
            route=paths["coast path"],
            waypoints=(("ford", "FORD", "knee-deep after rain"), ("north slip", "SLIP", "")),
        ),
        Outing(
            file="2026-03-14-winding-house.gpx",
            title="Winding house",
            seed=66,
            every_s=10,
            anchor=("winding house", utc("2026-03-14T15:32")),
            comment="By the coast path this time, up the incline: the windfall is sawn through.",
            stages=(
                walk(part(paths["coast path"], slip, quay)),
                pause("landing stage", 4),
                walk(up),
                walk([foot, head, by_house], 0.9),
                pause("winding house", 17),
                walk(bench, 0.8, (120, 420)),
                walk(list(reversed(bench)), 0.8),
                walk([by_house, head, foot], 0.9),
                walk(down),
            ),
            waypoints=(("winding house", "031", "roof gone, drum in place"),),
        ),
    ]


def _meeting(a: Line, b: Line) -> tuple[float, float]:
    _, x, y = points_along(a, 5)
    k = int(np.argmin(along(b, x, y)[1]))
    return float(x[k]), float(y[k])


# ---------------------------------------------------------------- files

# day, file and stand it was written at, minutes into it, local clock − UTC [h], the line
RECORDS = (
    (
        *("2024-06-15", "2024-06-15-first-landing.gpx", "pump wheel", 4, 0),
        "seen pump wheel, 310M 12m paced, top 12 foot -4, walls, lit, "
        "back to winding house 328M, right of the leat, water: low, "
        '"wheel pit, no roof", photo facing 3',
    ),
    (
        *("2024-09-28", "2024-09-28-along-the-leat.gpx.gz", "arch", 5, 0),
        "seen arch, 258M 24m taped, top 17 foot -3, edges 250 267, walls, not lit, "
        "last sure: the sluice where the gap path meets the leat",
    ),
    (
        *("2025-02-08", "2025-02-08-windfall.gpx", "windfall", 3, -1),
        "blocked: windfall across the incline, three pines deep, next: bring a bow saw",
    ),
    (
        *("2025-05-17", "2025-05-17-over-the-gap.gpx", "powder hut", 3, 0),
        "seen powder hut, 130M 9m paced, top 14 foot -5, walls, not lit, light wind, "
        "left the path at incline foot, the key is said to hang in the slip office",
    ),
    (
        *("2025-11-01", "2025-11-01-low-sun.gpx", "landing stage", 12, -1),
        "scouted landing stage, 040M 22m paced, top 6 foot -7, open sky, lit, "
        "water: half tide, next: come for the first sun",
    ),
    (
        *("2026-03-14", "2026-03-14-winding-house.gpx", "winding house", 5, -1),
        "seen winding house, 215M 8m, top 38 foot -6, left of the leat, edges 193 238, walls, "
        "not lit, last sure: head of the incline, wind: gusty, "
        "blocked: sun dead ahead and the face in shade, "
        "next: come by the coast path, be there by ten",
    ),
    (
        *("2026-03-14", "2026-03-14-winding-house.gpx", "winding house", 12, -1),
        "winding house, drum still in place, rope gone, photo looking back 7",
    ),
)


def files(island: Island, degrees: Degrees) -> dict[str, str]:
    """File name → text of every outing, and of the notes."""
    texts, stands = {}, {}
    for outing in outings(island):
        walker = Walker(island, outing)
        stretches = walker.fixes()
        texts[outing.file] = "\n".join(_gpx(outing, stretches, island, degrees)) + "\n"
        at, clock = outing.anchor
        begun = walker.stands[at][0]
        for name, (start, _) in walker.stands.items():
            stands[outing.file, name] = clock + timedelta(seconds=start - begun - 300)
    lines = []
    for day, file, name, minutes, hours, record in RECORDS:
        when = stands[file, name] + timedelta(minutes=minutes, hours=hours)
        if f"{when:%Y-%m-%d}" != day:
            raise ValueError(f"{file}: the record is of another day")
        lines.append(f"{when:%Y-%m-%d %H:%M} {record}")
    texts["notes.txt"] = "\n".join(lines) + "\n"
    return texts


def _gpx(
    outing: Outing, stretches: list[list[Fix]], island: Island, degrees: Degrees
) -> Iterator[str]:
    name, old = quoteattr(CREATOR), outing.version == "1.0"
    space = f"http://www.topografix.com/GPX/{outing.version.replace('.', '/')}"
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield f'<gpx version="{outing.version}" creator={name} xmlns="{space}">'
    if old:
        yield f"  <name>{escape(outing.title)}</name>"
    else:
        yield f"  <metadata><name>{escape(outing.title)}</name></metadata>"
    for place, label, comment in outing.waypoints:
        x, y = island.places[place]
        height = float(NEAR.sample(island.near, np.array(x), np.array(y)))
        yield f"  <wpt {_position(x, y, degrees)}>"
        yield f"    <ele>{height:.1f}</ele><name>{escape(label)}</name>"
        if comment:
            yield f"    <cmt>{escape(comment)}</cmt>"
        yield "  </wpt>"
    if outing.route:
        yield "  <rte><name>Way in by the coast path</name>"
        _, xs, ys = points_along(outing.route, 250)
        for x, y in zip(xs.tolist(), ys.tolist(), strict=True):
            yield f"    <rtept {_position(x, y, degrees)}/>"
        yield "  </rte>"
    yield "  <trk>"
    yield f"    <name>{escape(outing.title)}</name>"
    if outing.comment:
        yield f"    <cmt>{escape(outing.comment)}</cmt>"
    for stretch in stretches:
        yield "    <trkseg>"
        for number, fix in enumerate(stretch):
            ele = "" if fix.height is None else f"<ele>{fix.height:.1f}</ele>"
            if old and number == 40:  # that receiver once forgot which decimal point it has
                ele = ele.replace(".", ",")
            when = fix.when.astimezone(outing.zone).isoformat(timespec="seconds")
            when = when.replace("+00:00", "Z")
            yield (
                f"      <trkpt {_position(fix.x, fix.y, degrees)}>{ele}<time>{when}</time></trkpt>"
            )
        yield "    </trkseg>"
    yield "  </trk>"
    yield "</gpx>"


def _position(x: float, y: float, degrees: Degrees) -> str:
    longitude, latitude = degrees(np.array(x), np.array(y))
    return f'lat="{float(latitude):.6f}" lon="{float(longitude):.6f}"'
