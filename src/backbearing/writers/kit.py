"""Kit in words, and a kit file to start from."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from backbearing.writers.text import clean, counted

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.kit import KitTaken
    from backbearing.records import Batch, Camera, Kit, Lens

BLANK = """\
# Kit for Backbearing. Keep what you have, change the figures to yours, delete the rest, and read
# it with:  backbearing kit take THIS-FILE
# Names are yours; the ones here only say what kind of thing an entry is. Speeds and reciprocity
# of handmade emulsions differ from batch to batch: the figures here are common practice, no source.

[[batch]]
name = "dry plates, first coating"
process = "dry plate"
emulsion = "ordinary"        # ordinary: blue-sensitive; or ortho, pan
speed = 2                    # ISO, as you found it
tested_sun = 40              # degrees the sun stood up when you found it
tested_shade = false         # true: lit by the sky alone
tested_seconds = 1           # how long that exposure was
reciprocity = 0.9            # Schwarzschild's p; or a table:
# reciprocity_table = [[1, 1], [10, 13], [60, 95]]   # metered seconds, needed seconds
holds_stops = 5              # from darkest to lightest that it still draws
# filters = {yellow = 8}     # factors found with THIS batch

[[batch]]
name = "wet plates"
process = "wet plate"
emulsion = "ordinary"
speed = 1
tested_sun = 40
tested_seconds = 4

[[batch]]
name = "sheet film"
process = "sheet film"
emulsion = "pan"
speed = 100
reciprocity = 0.85
holds_stops = 8
filters = {yellow = 2, orange = 4, red = 8}

[[camera]]
name = "box, no movements"
plate = "10 x 16 cm"         # or a name: quarter plate, half plate UK, whole plate, postcard …
image = "98 x 158 mm"        # what the holder leaves free
finder_crop = {left = 3, right = 3, top = 5, bottom = 5}   # percent the finder does not show
plate_offset = "0 mm"        # plate behind the plane the distance scale was made for

[[camera]]
name = "folding, with movements"
plate = "half plate UK"      # 'half plate' alone is two sizes
rise = "35 mm"
fall = "15 mm"
shift = "20 mm"
tilts = true                 # the back can stand upright while the camera looks up

[[lens]]
name = "old lens, Uniform System"
focal = "170 mm"
scale = "uniform system"     # 16 is f/16, 32 is f/22.6, 64 is f/32
apertures = [4, 8, 16, 32, 64]
coverage = "230 mm"          # image circle at infinity
marks = ["30 m", {engraved = "8 m", tested = "7.6 m"}, "5 m", "3 m"]   # its distance scale
click_stops = false

[[lens]]
name = "view lens"
focal = "210 mm"
widest = 5.6                 # the usual marks between these two f-numbers
narrowest = 64
coverage = "300 mm"

[[shutter]]
name = "lens cap"
cap = true

[[shutter]]
name = "old leaf shutter"
speeds = ["1", {marked = "1/2", tested = "0.65"}, "1/5", "1/25"]
bulb = true
time = true

[[holder]]
name = "1"
camera = "box, no movements"
sides = 2

[[holder]]
name = "2"
camera = "box, no movements"
"""


def kit_text(kit: Kit) -> str:
    """The kit on record, kind by kind."""
    return "\n".join(_lines(kit))


def taken_text(taken: KitTaken) -> str:
    """What a kit file brought."""
    said = []
    for words, names in (
        ("new", taken.new),
        ("changed", taken.changed),
        ("on record already", taken.same),
        ("on record, not in the file, left there", taken.not_in_file),
    ):
        if names:
            said.append(f"{words}: {', '.join(names)}")
    return "\n".join(clean(line) for line in said)


def _lines(kit: Kit) -> Iterator[str]:
    if kit.batches:
        yield counted(len(kit.batches), "batch", "batches")
        yield from (clean(f"  {batch.name}: {_batch(batch)}") for batch in kit.batches)
    if kit.cameras:
        yield counted(len(kit.cameras), "camera")
        yield from (clean(f"  {camera.name}: {_camera(camera)}") for camera in kit.cameras)
    if kit.lenses:
        yield counted(len(kit.lenses), "lens", "lenses")
        yield from (clean(f"  {lens.name}: {_lens(lens)}") for lens in kit.lenses)
    if kit.shutters:
        yield counted(len(kit.shutters), "shutter")
        for shutter in kit.shutters:
            parts = [
                f"{speed.marked} s"
                + ("" if speed.tested_s is None else f" (tested {_short_s(speed.tested_s)})")
                for speed in shutter.speeds
            ]
            for word, there in (("cap", shutter.cap), ("B", shutter.bulb), ("T", shutter.time)):
                parts += [word] if there else []
            yield clean(f"  {shutter.name}: {', '.join(parts)}")
    if kit.holders:
        yield counted(len(kit.holders), "holder")
        for holder in kit.holders:
            of = f", {holder.camera}" if holder.camera else ""
            yield clean(f"  {holder.name}: {counted(holder.sides, 'side')}{of}")


def _batch(batch: Batch) -> str:
    said = [f"{batch.emulsion}, ISO {batch.speed_iso:g}"]
    if batch.process:
        said.insert(0, batch.process)
    if batch.tested_in is not None:
        found = batch.tested_in
        light = "in the shade" if found.shade else "in sun"
        if found.sun_altitude_deg is not None:
            light += f", sun {found.sun_altitude_deg:.0f}° up"
        if found.exposure_s is not None:
            light += f", {_short_s(found.exposure_s)}"
        said.append(f"found {light}")
    else:
        said.append("in what light found is not said")
    if batch.reciprocity_p is not None:
        said.append(f"reciprocity p {batch.reciprocity_p:g}")
    elif batch.reciprocity_table:
        said.append(f"reciprocity by a table of {len(batch.reciprocity_table)}")
    else:
        said.append("no reciprocity known")
    if batch.holds_stops is not None:
        said.append(f"holds {batch.holds_stops:g} stops")
    said += [f"{name} × {factor:g}" for name, factor in batch.filters.items()]
    return ", ".join(said)


def _camera(camera: Camera) -> str:
    said = [
        f"plate {camera.plate_wide_mm:.0f} × {camera.plate_high_mm:.0f} mm, "
        f"image {camera.image_wide_mm:.0f} × {camera.image_high_mm:.0f}"
    ]
    movements = [
        f"{name} {length:.0f} mm"
        for name, length in (
            ("rise", camera.rise_mm),
            ("fall", camera.fall_mm),
            ("shift", camera.shift_mm),
        )
        if length
    ]
    said.append(", ".join(movements) if movements else "no movements")
    if camera.tilts:
        said.append("back tilts")
    return ", ".join(said)


def _lens(lens: Lens) -> str:
    marks = ", ".join(mark.engraved for mark in lens.apertures)
    said = [f"{lens.focal_mm:g} mm, {lens.scale} {marks}"]
    if lens.scale != "f-number":
        f_numbers = ", ".join(f"f/{mark.f_number:.3g}" for mark in lens.apertures)
        said.append(f"which is {f_numbers}")
    if lens.coverage_mm is not None:
        said.append(f"covers {lens.coverage_mm:.0f} mm")
    if lens.focus_marks:
        marks = ", ".join(
            mark.engraved
            + (
                ""
                if mark.tested_m is None or math.isinf(mark.tested_m)
                else f" (sharp at {mark.tested_m:g} m)"
            )
            for mark in lens.focus_marks
        )
        said.append(f"distance marks {marks}")
    return ", ".join(said)


def _short_s(seconds: float) -> str:
    return f"{seconds:.2g} s" if seconds >= 0.3 else f"1/{1.0 / seconds:.0f} s"
