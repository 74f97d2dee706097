"""Where to set the focus: distance → mark for a lens, and how much is sharp at each mark."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from backbearing.errors import BadInput, NotFound, quoted
from backbearing.models import lens as optics
from backbearing.places.apertures import f_number
from backbearing.places.lengths import read_length
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook import Notebook
    from backbearing.records import ApertureMark, Camera, FocusMark, Lens

_DISTANCES_M = (1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 30.0, 50.0)
Piece = TypeVar("Piece")
_SAME_SHARE = 0.02  # a distance this near to a mark is the mark's


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """What is sharp at an aperture; holds: whether the distance asked for is."""

    aperture: str  # 'f/16', 'mark 32 (f/22.6)'
    f_number: float
    near_m: float
    far_m: float | None  # None: to infinity
    holds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One way to set the scale, and what is sharp then at each aperture."""

    mark: str
    sharp_m: float | None  # None: infinity
    basis: str  # "tested", "engraved", "engraved, moved by the plate's offset", "between marks"
    depths: tuple[Depth, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusRow:
    """One distance: what the plate covers there, what to set, what is sharp, how exactly."""

    distance_m: float  # from the lens
    from_plate_m: float
    wide_m: float
    high_m: float
    set_at: str  # "8 m", "between 5 m and 3 m, 60 % of the way", "the ground glass"
    chosen: Setting
    at_marks: tuple[Setting, ...]  # the marks on either side, set as they stand
    # how far the distance may be misjudged at the widest aperture shown [m]; None: any farther
    too_near_m: float
    too_far_m: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BetweenPlanes:
    """Focus and f-number that hold everything between two distances sharp."""

    near_m: float
    far_m: float | None
    focus_m: float
    f_number: float
    set_at: str
    aperture: str  # the next mark that is small enough; '' where the lens has none


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusTable:
    """Distance → mark for one lens on one plate."""

    lens: str
    camera: str
    focal_mm: float
    blur_mm: float
    blur_basis: str
    wide_mm: float
    high_mm: float
    apertures: tuple[str, ...]
    measured_from: str
    rows: tuple[FocusRow, ...]
    between: BetweenPlanes | None
    remarks: tuple[str, ...]


def focus_table(
    camera: Camera,
    lens: Lens,
    *,
    distances_m: Sequence[float] = (),
    apertures: Sequence[ApertureMark] = (),
    from_plate: bool = False,
    enlarged: float | None = None,
    near_m: float | None = None,
    far_m: float | None = None,
) -> FocusTable:
    """Which mark is set for a distance, and what is sharp then?

    distances_m: from the lens, or with `from_plate` from the plate; none: a usual row.
    apertures: none: three of the lens's marks. enlarged: of the print, for the circle of
    confusion by the print (0.2 mm at 250 mm); None: the diagonal / 1500. near_m, far_m: two planes
    to be held.
    Raises BadInput for a distance nearer than the focal length, and what is not above 0.
    """
    wide, high = camera.image_wide_mm, camera.image_high_mm
    if enlarged is not None and not 0.1 <= enlarged <= 100.0:
        raise BadInput(
            say("a print {enlarged:g} times as large is none", enlarged=enlarged),
            where="--enlarged",
            remedy=say("0.1 to 100"),
        )
    if enlarged is None:
        blur, basis = (
            optics.blur_of_diagonal_mm(wide, high),
            say("diagonal / 1500, common practice"),
        )
    else:
        blur = optics.blur_of_print_mm(enlarged)
        basis = say(
            "0.2 mm at 250 mm on a print {enlarged:g} times as large, common practice",
            enlarged=enlarged,
        )
    shown = tuple(apertures) or _usual(lens)
    asked = tuple(distances_m) or tuple(d for d in _DISTANCES_M if d * 1000 >= 6 * lens.focal_mm)
    scale = _Scale(camera, lens, shown, blur)
    rows = tuple(
        scale.row(optics.from_lens_m(lens.focal_mm, d) if from_plate else d) for d in asked
    )
    between = None
    if near_m is not None or far_m is not None:
        between = scale.between(near_m, far_m)
    return FocusTable(
        lens=lens.name,
        camera=camera.name,
        focal_mm=lens.focal_mm,
        blur_mm=blur,
        blur_basis=basis,
        wide_mm=wide,
        high_mm=high,
        apertures=tuple(mark.words for mark in shown),
        measured_from="plate" if from_plate else say("front of the lens"),
        rows=rows,
        between=between,
        remarks=tuple(_remarks(camera, lens, shown, blur)),
    )


def ask_focus(
    notebook: Notebook,
    distances: Sequence[str],
    *,
    camera: str | None,
    lens: str | None,
    apertures: Sequence[str],
    near: str | None,
    far: str | None,
    from_plate: bool = False,
    enlarged: float | None = None,
) -> FocusTable:
    """Read what was typed, take camera and lens from the kit (else the first) and answer.

    Raises BadInput and NotFound as the readers, the kit and `focus_table` do.
    """
    from backbearing.notebook.kit import find_camera, find_lens, load_kit

    kit = load_kit(notebook)
    body = find_camera(notebook, camera) if camera else _first_of(kit.cameras, "camera")
    glass = find_lens(notebook, lens) if lens else _first_of(kit.lenses, "lens")
    near_m, far_m = (
        None if text is None else math.inf if text in ("inf", "∞") else read_length(text, where=at)
        for text, at in ((near, "--near"), (far, "--far"))
    )
    return focus_table(
        body,
        glass,
        distances_m=[read_length(text, where="distance") for text in distances],
        apertures=[f_number(text, glass, where="--aperture") for text in apertures],
        from_plate=from_plate,
        enlarged=enlarged,
        near_m=near_m,
        far_m=far_m,
    )


def _usual(lens: Lens) -> tuple[ApertureMark, ...]:
    """Three of the lens's marks: near f/11, f/16 and f/32, as far as it has them."""
    from backbearing.records import ApertureMark

    if not lens.apertures:
        return (ApertureMark(engraved="16", f_number=16.0),)
    found = {
        min(lens.apertures, key=lambda mark: abs(math.log(mark.f_number / wanted)))
        for wanted in (11.3, 16.0, 32.0)
    }
    return tuple(sorted(found, key=lambda mark: mark.f_number))


class _Scale:
    """A lens's own distance scale, on a camera."""

    def __init__(
        self, camera: Camera, lens: Lens, apertures: tuple[ApertureMark, ...], blur_mm: float
    ) -> None:
        self.camera, self.lens, self.apertures, self.blur_mm = camera, lens, apertures, blur_mm
        self.marks = sorted(lens.focus_marks, key=self.truly_m, reverse=True)

    def truly_m(self, mark: FocusMark) -> float:
        """Where a mark is sharp on this camera: as tested, else with the plate's offset."""
        if mark.tested_m is not None:
            return mark.tested_m
        return optics.moved_focus_m(
            self.lens.focal_mm, mark.engraved_m, self.camera.plate_offset_mm
        )

    def at(self, mark: FocusMark, distance_m: float) -> Setting:
        basis = "tested" if mark.tested_m is not None else "engraved"
        if mark.tested_m is None and self.camera.plate_offset_mm:
            basis = say("engraved, moved by the plate's offset")
        return self.setting(mark.engraved, self.truly_m(mark), basis, distance_m)

    def setting(self, words: str, focus_m: float, basis: str, distance_m: float) -> Setting:
        depths = []
        for mark in self.apertures:
            near, far = optics.sharp_range(self.lens.focal_mm, mark.f_number, self.blur_mm, focus_m)
            depths.append(
                Depth(
                    aperture=mark.words,
                    f_number=mark.f_number,
                    near_m=near,
                    far_m=None if math.isinf(far) else far,
                    holds=near <= distance_m <= far,
                )
            )
        sharp = None if math.isinf(focus_m) else focus_m
        return Setting(mark=words, sharp_m=sharp, basis=basis, depths=tuple(depths))

    def row(self, distance_m: float) -> FocusRow:
        focal = self.lens.focal_mm
        optics.magnification(focal, distance_m)
        around = self.around(distance_m)
        marks = tuple(self.at(mark, distance_m) for mark in around)
        words = self.words(distance_m)
        chosen = self.setting(words, distance_m, say("between marks"), distance_m)
        if not self.marks:
            chosen = self.setting(words, distance_m, say("focused on the glass"), distance_m)
        elif len(marks) == 1 or self.lens.focus_clicks:
            # the mark that keeps the image of the distance nearest to sharp
            v = optics.image_distance_mm(focal, distance_m)
            best = min(range(len(marks)), key=lambda i: abs(self._image_mm(marks[i].sharp_m) - v))
            chosen = marks[best]
            words = chosen.mark if len(marks) > 1 else words
        widest = chosen.depths[0]
        return FocusRow(
            distance_m=distance_m,
            from_plate_m=optics.from_plate_m(focal, distance_m),
            wide_m=optics.covered_m(self.camera.image_wide_mm, focal, distance_m),
            high_m=optics.covered_m(self.camera.image_high_mm, focal, distance_m),
            set_at=words,
            chosen=chosen,
            at_marks=marks,
            too_near_m=distance_m - widest.near_m,
            too_far_m=None if widest.far_m is None else widest.far_m - distance_m,
        )

    def _image_mm(self, focus_m: float | None) -> float:
        f = self.lens.focal_mm
        return f if focus_m is None else optics.image_distance_mm(f, focus_m)

    def around(self, distance_m: float) -> tuple[FocusMark, ...]:
        """The mark a distance stands on, else those on either side of it, the farther first."""
        for mark in self.marks:
            at = self.truly_m(mark)
            if not math.isinf(at) and abs(at / distance_m - 1.0) <= _SAME_SHARE:
                return (mark,)
        beyond = [mark for mark in self.marks if self.truly_m(mark) > distance_m][-1:]
        short = [mark for mark in self.marks if self.truly_m(mark) < distance_m][:1]
        return (*beyond, *short)

    def words(self, distance_m: float) -> str:
        """What to set for a distance: a mark, or where between two of them.

        A front that moves by a screw or a rack goes as the image distance does, so the share of
        the way is that of the image distance.
        """
        if not self.marks:
            return say("the ground glass")
        around = self.around(distance_m)
        if len(around) == 1:
            (mark,) = around
            end = "" if self.at_mark(mark, distance_m) else say(", the nearest there is")
            return f"{mark.engraved}{end}"
        far, near = around
        v, v_far, v_near = (
            self._image_mm(None if math.isinf(d) else d)
            for d in (distance_m, self.truly_m(far), self.truly_m(near))
        )
        share = (v - v_far) / (v_near - v_far)
        if self.lens.focus_clicks:
            return (far if share < 0.5 else near).engraved
        percent = round(share * 20) * 5
        return say(
            "between {engraved} and {engraved_2}, {percent} % of the way from the first",
            engraved=far.engraved,
            engraved_2=near.engraved,
            percent=percent,
        )

    def at_mark(self, mark: FocusMark, distance_m: float) -> bool:
        at = self.truly_m(mark)
        return not math.isinf(at) and abs(at / distance_m - 1.0) <= _SAME_SHARE

    def between(self, near_m: float | None, far_m: float | None) -> BetweenPlanes:
        if near_m is None:
            raise BadInput(
                say("is missing"), where="--near", remedy=say("give both, --far inf for infinity")
            )
        far = math.inf if far_m is None else far_m
        found = optics.focus_for(self.lens.focal_mm, self.blur_mm, near_m, far)
        fine = [m for m in self.lens.apertures if m.f_number >= found.f_number * 0.97]
        return BetweenPlanes(
            near_m=near_m,
            far_m=None if math.isinf(far) else far,
            focus_m=found.focus_m,
            f_number=found.f_number,
            set_at=self.words(found.focus_m),
            aperture=fine[0].words if fine else "",
        )


def _remarks(
    camera: Camera, lens: Lens, apertures: tuple[ApertureMark, ...], blur_mm: float
) -> list[str]:
    told = [say("thin lens; distances from the lens, unless said otherwise")]
    if lens.focus_marks and all(mark.tested_m is None for mark in lens.focus_marks):
        told.append(
            say(
                "the marks of {lens} are taken as engraved: none was tested", lens=quoted(lens.name)
            )
        )
    if camera.plate_offset_mm:
        told.append(
            say(
                "the plate lies {plate_offset_mm:g} mm behind the plane of the "
                "scale; counted for marks that were not tested",
                plate_offset_mm=abs(camera.plate_offset_mm),
            )
            if camera.plate_offset_mm > 0
            else say(
                "the plate lies {plate_offset_mm:g} mm before the plane of the "
                "scale; counted for marks that were not tested",
                plate_offset_mm=abs(camera.plate_offset_mm),
            )
        )
    if lens.scale != "f-number":
        told.append(
            say("the marks of the aperture are those of the {scale}", scale=say(lens.scale))
        )
    if lens.click_stops:
        told.append(say("the aperture clicks: it cannot be set between its marks"))
    for mark in apertures:
        airy = optics.airy_mm(mark.f_number)
        if airy > blur_mm / 2.0:
            told.append(
                say(
                    "at {mark} diffraction alone makes a spot of {airy:.0f} µm in blue "
                    "light, against {blur_mm:.0f} µm allowed",
                    mark=mark.words,
                    airy=airy * 1000,
                    blur_mm=blur_mm * 1000,
                )
            )
    return told


def _first_of(entries: Sequence[Piece], kind: str) -> Piece:
    """The first of a kind on record. Raises NotFound where there is none."""
    if not entries:
        raise NotFound(
            say("no {kind} is on record", kind=say(kind)),
            remedy=say("'backbearing kit blank' prints a file to start from, 'kit take' reads it"),
        )
    return entries[0]
