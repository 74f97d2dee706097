"""Plate sizes by name against publicly quoted lists; the same sizes in other units."""

import math

import pytest

from backbearing.errors import BadInput
from backbearing.places.platesizes import PLATE_SIZES_MM, read_plate_size


@pytest.mark.parametrize(
    ("name", "long_mm", "short_mm", "diagonal_mm"),
    [
        ("sixth plate", 82.5, 69.8, 108.1),
        ("Quarter Plate", 107.9, 82.5, 135.9),
        ("half plate UK", 165.1, 120.6, 204.5),
        ("half-plate US", 139.7, 107.9, 176.5),
        ("whole plate", 215.9, 165.1, 271.8),
        ("4 x 5 in", 127.0, 101.6, 162.6),
        ("5 x 7 in", 177.8, 127.0, 218.5),
        ("8 x 10 in", 254.0, 203.2, 325.3),
        ("11 x 14 in", 355.6, 279.4, 452.2),
        ("9 x 12 cm", 120.0, 90.0, 150.0),
        ("13 x 18 cm", 180.0, 130.0, 222.0),
        ("18 x 24 cm", 240.0, 180.0, 300.0),
        ("postcard", 139.7, 82.55, 162.3),
    ],
)
def test_named_sizes(name: str, long_mm: float, short_mm: float, diagonal_mm: float) -> None:
    long_side, short_side = read_plate_size(name)
    assert (long_side, short_side) == pytest.approx((long_mm, short_mm), abs=0.06)
    assert math.hypot(long_side, short_side) == pytest.approx(diagonal_mm, abs=0.1)


@pytest.mark.parametrize(
    ("text", "long_mm", "short_mm"),
    [
        ("10 x 16 cm", 160.0, 100.0),
        ("16×10cm", 160.0, 100.0),
        ("3¼ × 5½ in", 139.7, 82.55),
        ("3 1/4 x 5 1/2 in", 139.7, 82.55),
        ('3.25" x 5.5"', 139.7, 82.55),
        ("98,5 x 158 mm", 158.0, 98.5),
    ],
)
def test_measured_sizes(text: str, long_mm: float, short_mm: float) -> None:
    assert read_plate_size(text) == pytest.approx((long_mm, short_mm))


def test_10_x_16_cm_is_roughly_4_x_6_3_inches() -> None:
    long_side, short_side = read_plate_size("10 x 16 cm")
    assert (short_side / 25.4, long_side / 25.4) == pytest.approx((4.0, 6.3), abs=0.07)


def test_a_half_plate_must_say_whose() -> None:
    with pytest.raises(BadInput, match="UK"):
        read_plate_size("half plate")


@pytest.mark.parametrize(
    "text", ["", "10 x 16", "big", "0 x 5 cm", "-4 x 5 in", "4 x 5 m", "1/0 x 5 in", "9" * 400]
)
def test_what_is_no_size_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_plate_size(text)


def test_names_hold_the_long_side_first() -> None:
    assert all(long_side >= short_side for long_side, short_side in PLATE_SIZES_MM.values())
