"""Two invented photos: the invented ground as it is seen from two spots, with a phone's data or
with those of a camera that knows no more than its clock."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from ground import Floats
from island import FAR, NEAR, WINDING_HOUSE, Island
from PIL import Image, ImageDraw, ImageFont
from walker import DECLINATION_DEG, stand

if TYPE_CHECKING:
    from lines import Line

Degrees = Callable[[Floats, Floats], tuple[Floats, Floats]]
WIDE, HIGH = 480, 360
ACROSS_DEG = 56.0
EYE_M = 1.5
SUN = np.array([-0.55, 0.35, 0.76])  # from the north-west, high: for the eye, not for the hour
EXIF_IFD, GPS_IFD = 0x8769, 0x8825


@dataclass(frozen=True)
class Shot:
    """A photo: from where [m], which way [magnetic deg], when by the camera's clock."""

    file: str
    at: tuple[float, float]
    magnetic_deg: float
    clock: str
    utc: str = ""  # of a phone: its GPS time, with which go place, error and direction
    offset: str = ""


def shots(island: Island) -> list[Shot]:
    """Back from the winding house by phone; along the leat with a camera that has no receiver."""
    return [
        Shot(
            file="2026-03-14-back-7.jpg",
            at=stand(WINDING_HOUSE, 215, 8),
            magnetic_deg=112.0,
            clock="2026:03:14 14:39:20",
            utc="2026:03:14 15:39:18",
            offset="-01:00",
        ),
        Shot(
            file="2024-09-28-leat-4.jpg",
            at=_at_the_gate(island.leat, island.paths["gap path"]),
            magnetic_deg=275.0,
            clock="2024:09:28 13:24:30",
        ),
    ]


def files(island: Island, degrees: Degrees) -> dict[str, bytes]:
    """Each photo by its file's name."""
    return {shot.file: _jpeg(island, shot, degrees) for shot in shots(island)}


def _at_the_gate(leat: Line, path: Line) -> tuple[float, float]:
    """Where a path comes nearest the leat."""
    a, b = np.array(leat), np.array(path)
    apart = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    x, y = a[int(np.argmin(apart.min(axis=1)))]
    return float(x), float(y)


def _jpeg(island: Island, shot: Shot, degrees: Degrees) -> bytes:
    picture = Image.fromarray(_view(island, shot))
    drawing = ImageDraw.Draw(picture)
    drawing.rectangle((0, HIGH - 18, WIDE, HIGH), fill=(20, 24, 28))
    text = "invented: drawn from invented ground"
    font = ImageFont.load_default_imagefont()  # its own, whatever else is installed
    drawing.text((6, HIGH - 14), text, font=font, fill=(240, 240, 240))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=60, exif=_data(shot, degrees))
    return out.getvalue()


def _view(island: Island, shot: Shot) -> Any:
    """What is seen: for each picture element the first ground on its ray, shaded and hazed."""
    x0, y0 = shot.at
    eye_m = float(NEAR.sample(island.near, np.array(x0), np.array(y0))) + EYE_M
    half = math.tan(math.radians(ACROSS_DEG / 2))
    across = np.linspace(-half, half, WIDE)
    azimuth = np.radians(shot.magnetic_deg + DECLINATION_DEG) + np.arctan(across)
    reach = np.geomspace(6.0, 14_000.0, 900)
    x = x0 + reach[None, :] * np.sin(azimuth)[:, None]
    y = y0 + reach[None, :] * np.cos(azimuth)[:, None]
    inside = (
        (x > NEAR.west + 20)
        & (x < NEAR.west + NEAR.columns * NEAR.cell - 20)
        & (y < NEAR.north - 20)
        & (y > NEAR.north - NEAR.rows * NEAR.cell + 20)
    )
    height = np.where(inside, NEAR.sample(island.near, x, y), FAR.sample(island.far, x, y))
    drop_m = reach**2 / (2 * 6_371_000.0)
    # heights on the picture plane, one ahead: upright lines stay upright
    seen = (height - drop_m - eye_m) / (reach * np.cos(np.arctan(across))[:, None])
    crest = np.maximum.accumulate(seen, axis=1)
    shade = _shade(island, x, y, inside)
    up = half * HIGH / WIDE
    rows = np.linspace(up * 1.1, -up * 0.9, HIGH)
    hit = np.array([np.searchsorted(column, rows) for column in crest]).T  # rows × columns
    sky = hit >= len(reach)
    hit = np.minimum(hit, len(reach) - 1)
    columns = np.arange(WIDE)[None, :]
    light = shade[columns, hit]
    sea = (height[columns, hit] <= 0.0) & ~sky
    haze = (1.0 - np.exp(-reach[hit] / 5_000.0))[..., None]
    ground = light[..., None] * np.array([150.0, 158.0, 120.0])
    ground = np.where(sea[..., None], np.array([120.0, 140.0, 155.0]), ground)
    fog = np.array([196.0, 204.0, 210.0])
    picture = ground * (1 - haze) + fog * haze
    clear = fog + (np.array([150.0, 172.0, 196.0]) - fog) * np.linspace(1, 0, HIGH)[:, None, None]
    return np.clip(np.where(sky[..., None], clear, picture), 0, 255).astype(np.uint8)


def _shade(island: Island, x: Floats, y: Floats, inside: Any) -> Floats:
    """How bright the ground lies under one sun, 0 to 1."""
    step = 12.0

    def rise(dx: float, dy: float) -> Floats:
        far = FAR.sample(island.far, x + dx, y + dy) - FAR.sample(island.far, x - dx, y - dy)
        near = NEAR.sample(island.near, x + dx, y + dy) - NEAR.sample(island.near, x - dx, y - dy)
        return np.where(inside, near, far) / (2 * step)

    east, north = rise(step, 0.0), rise(0.0, step)
    up = np.sqrt(east**2 + north**2 + 1.0)
    lit = (-east * SUN[0] - north * SUN[1] + SUN[2]) / up
    return 0.25 + 0.75 * np.clip(lit, 0.0, 1.0)


def _data(shot: Shot, degrees: Degrees) -> Image.Exif:
    """The photo's data (Exif, CIPA DC-008): of a phone all, of a camera its clock and lens."""
    data = Image.Exif()
    own = data.get_ifd(EXIF_IFD)
    own[0x9003] = shot.clock
    own[0x920A] = 4.25 if shot.utc else 35.0
    if shot.offset:
        own[0x9011] = shot.offset
    if shot.utc:
        longitude, latitude = degrees(np.array(shot.at[0]), np.array(shot.at[1]))
        day, clock = shot.utc.split()
        gps = data.get_ifd(GPS_IFD)
        gps[0x0001], gps[0x0002] = "N", _sexagesimal(float(latitude))
        gps[0x0003], gps[0x0004] = "W", _sexagesimal(-float(longitude))
        gps[0x0007], gps[0x001D] = tuple(float(part) for part in clock.split(":")), day
        gps[0x0010], gps[0x0011] = "M", shot.magnetic_deg
        gps[0x001F] = 6.0
    return data


def _sexagesimal(angle_deg: float) -> tuple[float, float, float]:
    whole = int(angle_deg)
    minutes = (angle_deg - whole) * 60
    return float(whole), float(int(minutes)), round((minutes - int(minutes)) * 60, 2)
