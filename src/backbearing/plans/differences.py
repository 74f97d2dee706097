"""What an edit changed, in words: each thing as it was and as it is."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from backbearing.places.words import bearing_error_text, degrees_text, error_text

if TYPE_CHECKING:
    from backbearing.records import Bearing, CameraPosition, Place, Subject


def differences(before: Subject, after: Subject) -> list[str]:
    """What differs between a subject before and after, a clause each."""
    said = []
    for label, old, new in (
        ("name", before.name, after.name),
        ("state", before.state, after.state),
        ("words", before.words, after.words),
        ("blocked", before.blocked, after.blocked),
        ("next time", before.next_time, after.next_time),
        ("tall", _length_words(before.tall_m), _length_words(after.tall_m)),
        ("wide", _length_words(before.wide_m), _length_words(after.wide_m)),
        ("facing", _angle_words(before.facing_deg), _angle_words(after.facing_deg)),
        ("at the water", _yes(before.at_water), _yes(after.at_water)),
        ("place", _place_words(before.place), _place_words(after.place)),
    ):
        said += _difference(label, old, new)
    return said


def camera_differences(before: CameraPosition | None, after: CameraPosition) -> list[str]:
    """What differs at a camera position, a clause each; before: None where it is new."""
    if before is None:
        before = replace(after, bearing=None, distance_m=None, top_deg=None, foot_deg=None)
    said = []
    for label, old, new in (
        ("camera at", _place_words(before.place), _place_words(after.place)),
        ("bearing", _bearing_words(before.bearing), _bearing_words(after.bearing)),
        ("distance", _length_words(before.distance_m), _length_words(after.distance_m)),
        ("top", _angle_words(before.top_deg), _angle_words(after.top_deg)),
        ("foot", _angle_words(before.foot_deg), _angle_words(after.foot_deg)),
    ):
        said += _difference(label, old, new)
    return said


def _difference(label: str, old: str, new: str) -> list[str]:
    return [] if old == new else [f"{label}: {old or 'nothing'} → {new or 'nothing'}"]


def _length_words(length_m: float | None) -> str:
    return "" if length_m is None else f"{length_m:.4g} m"


def _yes(said: bool) -> str:
    return "yes" if said else ""


def _angle_words(angle_deg: float | None) -> str:
    return "" if angle_deg is None else f"{angle_deg:.4g}°"


def _bearing_words(bearing: Bearing | None) -> str:
    if bearing is None:
        return ""
    true = f"{degrees_text(bearing.true_deg)} true {bearing_error_text(bearing)}"
    return f"{bearing.as_written} ({true})"


def _place_words(place: Place) -> str:
    from backbearing.places.coordinates import decimal_text

    where = decimal_text(place.latitude_deg, place.longitude_deg)
    return f"{where} {error_text(place)}"
