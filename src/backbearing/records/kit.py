"""What is carried: emulsions, cameras, lenses, shutters, holders, and the plates in them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Literal

from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Mapping

EmulsionClass = Literal["ordinary", "ortho", "pan"]  # ordinary: blue-sensitive
EMULSION_CLASSES: tuple[EmulsionClass, ...] = ("ordinary", "ortho", "pan")
ApertureScale = Literal["f-number", "uniform system", "old continental"]
APERTURE_SCALES: tuple[ApertureScale, ...] = ("f-number", "uniform system", "old continental")
PlateState = Literal["empty", "loaded", "exposed", "developed"]
PLATE_STATES: tuple[PlateState, ...] = ("empty", "loaded", "exposed", "developed")
Shadows = Literal["", "empty", "thin", "full"]
Highlights = Literal["", "open", "blocked"]
Development = Literal["", "pulled", "normal", "forced"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialLight:
    """The light in which a batch's speed was found; colour and reciprocity count from there."""

    sun_altitude_deg: float | None = None  # None: not noted; taken as high sun
    shade: bool = False  # lit by the sky alone
    exposure_s: float | None = None  # None: short, no reciprocity in it


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """One coating or box of an emulsion."""

    name: str
    emulsion: EmulsionClass
    process: str = ""  # "dry plate", "wet plate", "sheet film"
    speed_iso: float
    tested_in: TrialLight | None = None
    reciprocity_p: float | None = None  # Schwarzschild's p; None and no table: none known
    reciprocity_table: tuple[tuple[float, float], ...] = ()  # metered s, needed s; ascending
    holds_stops: float | None = None  # range of the subject it can hold
    filters: Mapping[str, float] = field(default_factory=dict)  # factor by name, for this batch
    note: str = ""
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A camera; plate and image as they lie with the long side level, unless it cannot turn."""

    name: str
    plate_wide_mm: float
    plate_high_mm: float
    image_wide_mm: float  # what the holder leaves free
    image_high_mm: float
    rise_mm: float = 0.0  # 0: none
    fall_mm: float = 0.0
    shift_mm: float = 0.0  # to either side
    tilts: bool = False  # the back can be set upright while the camera points up
    fixed_way_up: bool = False  # the plate cannot be turned upright
    # share of the picture that the finder does not show at each side
    finder_crop: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)  # left right top bottom
    plate_offset_mm: float = 0.0  # plate behind the plane the lens's scale was made for
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ApertureMark:
    """A mark on the aperture ring, and the f-number it stands for."""

    engraved: str
    f_number: float

    @property
    def words(self) -> str:
        """'f/16'; 'mark 32 (f/22.6)' where what is engraved is another number."""
        text = self.engraved.strip()
        if text.lower().startswith("f/"):
            return text
        try:
            apart = float(text.replace(",", ".")) / self.f_number
        except ValueError:
            apart = 0.0
        if 0.94 < apart < 1.06:  # an engraved f-number is a rounded one
            return f"f/{text}"
        return say("mark {engraved} (f/{f_number:.3g})", engraved=text, f_number=self.f_number)


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusMark:
    """A mark on the distance scale; tested_m: where it was found to be sharp."""

    engraved: str
    engraved_m: float
    tested_m: float | None = None

    @property
    def sharp_m(self) -> float:
        """Where it is sharp: as tested, else as engraved."""
        return self.engraved_m if self.tested_m is None else self.tested_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Lens:
    """A lens with the scales engraved on it."""

    name: str
    focal_mm: float
    scale: ApertureScale = "f-number"
    apertures: tuple[ApertureMark, ...] = ()  # widest first
    coverage_mm: float | None = None  # image circle at infinity
    focus_marks: tuple[FocusMark, ...] = ()  # farthest first; none: focused on the glass
    click_stops: bool = False  # the aperture cannot be set between marks
    focus_clicks: bool = False  # nor the distance
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShutterSpeed:
    """A speed as marked, and as tested."""

    marked: str
    marked_s: float
    tested_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shutter:
    """What lets the light in; a lens cap is one too."""

    name: str
    speeds: tuple[ShutterSpeed, ...] = ()
    cap: bool = False
    bulb: bool = False  # B: open while pressed
    time: bool = False  # T: pressed to open, pressed to close
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Holder:
    """A plate or film holder; its sides are counted A, B, …"""

    name: str
    camera: str = ""
    sides: int = 2
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """One plate or sheet from loading to the finished negative."""

    holder: str
    side: str  # "A", "B"
    batch: str
    state: PlateState = "loaded"
    loaded_at: datetime | None = None
    subject_id: int | None = None
    exposed_at: datetime | None = None
    exposure_s: float | None = None
    f_number: float | None = None
    focus_mark: str = ""
    distance_m: float | None = None
    developed_at: datetime | None = None
    shadows: Shadows = ""
    highlights: Highlights = ""
    development: Development = ""
    note: str = ""
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """All that can be carried."""

    batches: tuple[Batch, ...] = ()
    cameras: tuple[Camera, ...] = ()
    lenses: tuple[Lens, ...] = ()
    shutters: tuple[Shutter, ...] = ()
    holders: tuple[Holder, ...] = ()
