"""The whole job in one run, on an invented island: files in, light out, a page to take along.

It calls the same plans as the commands do, on a fresh notebook of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, NotebookError, quoted

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date, datetime

    from backbearing.plans.exporting import Export
    from backbearing.plans.intake import IntakeReport
    from backbearing.plans.kit import KitTaken
    from backbearing.plans.light import LightAnswer
    from backbearing.plans.page import ReturnPage
    from backbearing.plans.plates import PlateAnswer
    from backbearing.plans.terrain import TerrainReport
    from backbearing.plans.wishes import WishAnswer

ZONE = "Atlantic/Azores"  # at sea the position alone gives no clock that anybody keeps
NOTEBOOK, PAGE, EXPORT = "island.gpkg", "return.html", "subjects.gpx"
KIT, BATCH, LOADED = "kit.toml", "slate coating 4", ("1", "2A")
RASTERS = ("ground_10m.tif", "ground_30m.tif")
MARKER = "made-by-backbearing-demo.txt"
_OWN = {NOTEBOOK, f"{NOTEBOOK}-journal", f"{NOTEBOOK}-wal", f"{NOTEBOOK}-shm", PAGE, EXPORT, MARKER}
_MARKER_TEXT = f"""Made by `backbearing demo`: an invented island, in the open ocean.
Running it again replaces {NOTEBOOK}, {PAGE} and {EXPORT} in this folder.
"""

# the light wanted at each subject, by the names of `want`'s options
WISHES: dict[str, dict[str, str | bool]] = {
    "winding house": {"direct_sun": True, "lit_from": "left"},
    "arch": {"direct_sun": True, "lit_from": "side", "other_sky": "10:30-15:00"},
    "pump wheel": {"direct_sun": True, "lit_from": "front", "latest": "12:00"},
    "landing stage": {"direct_sun": True, "after_first_sun_min": "0-60"},
}  # and none for the powder hut: `light` goes by its default there, and says so


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoAnswer:
    """What the demo did, step by step."""

    zone: str
    routes: Path  # the folder imported
    imported: IntakeReport
    wishes: tuple[WishAnswer, ...]
    terrain: TerrainReport
    kit: KitTaken
    plates: PlateAnswer  # loaded for the next outing
    flat: LightAnswer  # of the first wish's subject, as it would be on a plain
    light: LightAnswer
    page: ReturnPage
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
    from backbearing.plans.exporting import gather_export
    from backbearing.plans.intake import import_files
    from backbearing.plans.kit import take_kit
    from backbearing.plans.light import best_light
    from backbearing.plans.page import gather_page
    from backbearing.plans.periods import read_period
    from backbearing.plans.plates import load_plates
    from backbearing.plans.settings import change_setting
    from backbearing.plans.terrain import add_terrain
    from backbearing.plans.wishes import store_wish

    routes = demo_routes()
    with open_notebook(folder / NOTEBOOK, create=True) as notebook:
        change_setting(notebook, "zone", ZONE)
        imported = import_files(notebook, [routes], progress=progress)
        wishes = tuple(store_wish(notebook, name, wish) for name, wish in WISHES.items())
        first, last = read_period(start.isoformat(), None, None, today=start, many=True)
        one = [next(iter(WISHES))]
        flat = best_light(notebook, one, start=first, end=last, earliest_at=earliest_at)
        terrain = add_terrain(notebook, demo_terrain(), ground="bare ground", progress=progress)
        kit = take_kit(notebook, routes / KIT)
        plates = load_plates(
            notebook, LOADED, batch=BATCH, now=datetimes.combine(start, time(6), tzinfo=UTC)
        )
        light = best_light(
            notebook, (), start=first, end=last, earliest_at=earliest_at, progress=progress
        )
        page = gather_page(notebook, (), start=start, earliest_at=earliest_at, progress=progress)
        export = gather_export(notebook, ())
    return DemoAnswer(
        zone=ZONE,
        routes=routes,
        imported=imported,
        wishes=wishes,
        terrain=terrain,
        kit=kit,
        plates=plates,
        flat=flat,
        light=light,
        page=page,
        export=export,
    )
