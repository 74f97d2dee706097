"""The whole job in one run, on an invented island: files in, light out, a page to take along.

It calls the same plans as the commands do, on a fresh notebook of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, NotebookError, quoted
from backbearing.plans import lostdemo

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date, datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.exporting import Export
    from backbearing.plans.intake import IntakeReport
    from backbearing.plans.kit import KitTaken
    from backbearing.plans.light import LightAnswer
    from backbearing.plans.otherdays import OtherDays
    from backbearing.plans.page import ReturnPage
    from backbearing.plans.passages import PassageAnswer
    from backbearing.plans.plates import PlateAnswer
    from backbearing.plans.taking import SheetAnswer
    from backbearing.plans.terrain import TerrainReport
    from backbearing.plans.wishes import WishAnswer
    from backbearing.records import PassageKind

ZONE = "Atlantic/Azores"  # at sea the position alone gives no clock that anybody keeps
NOTEBOOK, PAGE, EXPORT = "island.gpkg", "return.html", "subjects.gpx"
SHEET = "sheet.html"
START, DRIVE = "landing stage", "40min"
OUTING = {"back_by": "16:00", "aperture": "f/16"}  # and the demo's batch
KIT, BATCH, LOADED = "kit.toml", "slate coating 4", ("1", "2A")
RASTERS, WATER = ("ground_10m.tif", "ground_30m.tif"), "water.geojson"
MARKER = "made-by-backbearing-demo.txt"
_OWN = {
    NOTEBOOK,
    f"{NOTEBOOK}-journal",
    f"{NOTEBOOK}-wal",
    f"{NOTEBOOK}-shm",
    PAGE,
    SHEET,
    EXPORT,
    MARKER,
    lostdemo.NOTEBOOK,
    f"{lostdemo.NOTEBOOK}-journal",
    lostdemo.PAGE,
    lostdemo.WALKED,
}
_MARKER_TEXT = """Made by `backbearing demo`: an invented island, in the open ocean.
Running it again replaces what it made in this folder.
"""

# the light wanted at each subject, by the names of `want`'s options
WISHES: dict[str, dict[str, str | bool]] = {
    "winding house": {"direct_sun": True, "lit_from": "left"},
    "arch": {"direct_sun": True, "lit_from": "side", "other_sky": "10:30-15:00"},
    "pump wheel": {"direct_sun": True, "lit_from": "front", "latest": "12:00"},
    "landing stage": {"direct_sun": True, "after_first_sun_min": "0-60"},
}  # and none for the powder hut: `light` goes by its default there, and says so


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoPassage:
    """A passage of the island: where it is in `places.json`, and when it was found open.

    looked_on: when windfall was seen in it later, from afar.
    """

    name: str
    kind: PassageKind
    place: str
    opened_on: str
    looked_on: str = ""
    looked_from: str = ""


PASSAGES = (
    DemoPassage(name="two slabs", kind="bridge", place="bridge", opened_on="2026-03-14"),
    DemoPassage(name="coast ford", kind="ford", place="ford", opened_on="2025-11-01"),
    DemoPassage(
        name="wall hole",
        kind="gap",
        place="wall hole",
        opened_on="2025-05-17",
        looked_on="2026-03-14",
        looked_from="the quarry",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoAnswer:
    """What the demo did, step by step."""

    zone: str
    routes: Path  # the folder imported
    imported: IntakeReport
    wishes: tuple[WishAnswer, ...]
    terrain: TerrainReport
    passages: PassageAnswer
    kit: KitTaken
    plates: PlateAnswer  # loaded for the next outing
    flat: LightAnswer  # of the first wish's subject, as it would be on a plain
    light: LightAnswer
    sheet: SheetAnswer  # with the outing it lays out
    page: ReturnPage
    other_days: OtherDays
    export: Export


def demo_routes() -> Path:
    """The folder of invented outings and notes: in the checkout, else in the installed package.

    Raises NotebookError where neither has them.
    """
    return _demo_data("demo_routes", "notes.txt")


def demo_terrain() -> tuple[Path, ...]:
    """The island's elevation rasters, finest first; raises as `demo_routes` does."""
    maps = _demo_data("maps", RASTERS[0])
    return tuple(maps / name for name in RASTERS)


def demo_water() -> Path:
    """The island's leat, brooks and tarn; raises as `demo_routes` does."""
    return _demo_data("maps", WATER) / WATER


def demo_place(name: str) -> str:
    """Where a thing of the island truly is, as one types it; raises as `demo_routes` does."""
    import json

    place = json.loads((demo_routes() / "places.json").read_text("utf-8"))[name]
    return f"{place['latitude_deg']} N {-place['longitude_deg']} W"


def _demo_data(name: str, holds: str) -> Path:
    package = _package()
    for folder in (package.parents[1] / name, package / "demo_data" / name):
        if (folder / holds).is_file():
            return folder
    raise NotebookError(
        f"the demo's invented {name} are not here",
        where=quoted(package, 200),
        remedy="install Backbearing anew, or run it in a whole checkout",
    )


def _package() -> Path:
    return Path(str(resources.files("backbearing")))


def demo_folder() -> Path:
    """Where the demo puts its files unless told: `maps/demo` of a checkout, else under here."""
    root = _package().parents[1]
    if (root / "demo_routes").is_dir() and (root / "maps").is_dir():
        return root / "maps" / "demo"
    return Path("backbearing-demo")


def prepare_folder(folder: Path) -> None:
    """Make an empty folder for the demo, clearing away what an earlier run left, nothing else.

    Raises BadInput where the folder holds anything else, or cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        there = {path.name for path in folder.iterdir()}
        if there and (MARKER not in there or there - _OWN):
            strange = sorted(there - _OWN or there)[0]
            raise BadInput(
                f"the folder holds {quoted(strange)}, which the demo did not make",
                where=quoted(folder, 200),
                remedy="name an empty or a new folder with --out",
            )
        for name in sorted(there - {MARKER}):
            (folder / name).unlink()
        (folder / MARKER).write_text(_MARKER_TEXT, encoding="utf-8")
    except OSError as error:
        raise BadInput(
            f"the demo cannot write there ({error.strerror})",
            where=quoted(folder, 200),
            remedy="name a folder you may write to with --out",
        ) from error


def run_demo(
    folder: Path,
    *,
    start: date,
    earliest_at: datetime | None = None,
    progress: Callable[[str], None] | None = None,
) -> DemoAnswer:
    """Do the whole job in a prepared folder, looking for light from `start` on.

    earliest_at: an aware instant before which none counts, as `light` and `map` have it of today.

    Raises what the plans raise; none of it is expected on the demo's own files.
    """
    from datetime import UTC, time
    from datetime import datetime as datetimes

    from backbearing.notebook import open_notebook
    from backbearing.places.zones import day_bounds
    from backbearing.plans.exporting import gather_export
    from backbearing.plans.intake import import_files
    from backbearing.plans.kit import take_kit
    from backbearing.plans.light import best_light
    from backbearing.plans.otherdays import other_days
    from backbearing.plans.outing import ask_outing
    from backbearing.plans.page import gather_page
    from backbearing.plans.periods import read_period
    from backbearing.plans.plates import load_plates
    from backbearing.plans.settings import change_setting
    from backbearing.plans.taking import gather_sheet
    from backbearing.plans.terrain import add_terrain
    from backbearing.plans.wishes import store_wish

    routes = demo_routes()
    with open_notebook(folder / NOTEBOOK, create=True) as notebook:
        change_setting(notebook, "zone", ZONE)
        change_setting(notebook, "drive", DRIVE)
        imported = import_files(notebook, [routes, demo_water()], progress=progress)
        wishes = tuple(store_wish(notebook, name, wish) for name, wish in WISHES.items())
        first, last = read_period(start.isoformat(), None, None, today=start, many=True)
        one = [next(iter(WISHES))]
        flat = best_light(notebook, one, start=first, end=last, earliest_at=earliest_at)
        terrain = add_terrain(notebook, demo_terrain(), ground="bare ground", progress=progress)
        passages = _put_passages(notebook, start)
        kit = take_kit(notebook, routes / KIT)
        plates = load_plates(
            notebook, LOADED, batch=BATCH, now=datetimes.combine(start, time(6), tzinfo=UTC)
        )
        light = best_light(
            notebook, (), start=first, end=last, earliest_at=earliest_at, progress=progress
        )
        change_setting(notebook, "start", START)
        now = earliest_at or day_bounds(start, ZONE)[0]
        outing = ask_outing(
            notebook,
            one[0],
            now=now,
            batch=BATCH,
            back_by=OUTING["back_by"],
            aperture=OUTING["aperture"],
            progress=progress,
        )
        sheet = gather_sheet(notebook, outing, now=now, progress=progress)
        asked = {"day": outing.day.isoformat(), "batch": BATCH, **OUTING}
        page = gather_page(
            notebook,
            (),
            start=outing.day,
            earliest_at=earliest_at if outing.day == start else None,
            now=now,
            asked=asked,
            progress=progress,
        )
        days = other_days(notebook, page, asked, progress=progress or (lambda line: None))
        export = gather_export(notebook, ())
    return DemoAnswer(
        zone=ZONE,
        routes=routes,
        imported=imported,
        wishes=wishes,
        terrain=terrain,
        passages=passages,
        kit=kit,
        plates=plates,
        flat=flat,
        light=light,
        sheet=sheet,
        page=page,
        other_days=days,
        export=export,
    )


def _put_passages(notebook: Notebook, start: date) -> PassageAnswer:
    from datetime import date as dates

    from backbearing.plans.passages import add_passage, passages_on_record, try_passage

    for one in PASSAGES:
        add_passage(
            notebook,
            one.name,
            demo_place(one.place),
            kind=one.kind,
            state="open",
            on=one.opened_on,
            today=dates.fromisoformat(one.opened_on),
        )
        if one.looked_on:
            try_passage(
                notebook,
                one.name,
                found="looked blocked",
                cause="windfall",
                side=one.looked_from,
                on=one.looked_on,
                today=dates.fromisoformat(one.looked_on),
            )
    return passages_on_record(notebook, on=start)
