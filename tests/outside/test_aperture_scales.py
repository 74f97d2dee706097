"""Aperture scales by their definitions.

Uniform System: n = N² / 16 (Photographic Society, 1881; the relation is common knowledge, no copy
of the paper was at hand). Whole stops: powers of √2, engraved rounded (ISO 517, from memory).
"""

import itertools
import math

import pytest

from backbearing.errors import BadInput
from backbearing.places.apertures import f_number, f_number_on_any, mark_f_number, scale_marks
from backbearing.records import ApertureScale, Lens


@pytest.mark.parametrize(
    ("uniform", "number"),
    [("4", 8.0), ("8", 11.31), ("16", 16.0), ("32", 22.63), ("64", 32.0), ("128", 45.25)],
)
def test_uniform_system(uniform: str, number: float) -> None:
    assert mark_f_number(uniform, "uniform system") == pytest.approx(number, abs=0.006)


@pytest.mark.parametrize("engraved", ["1.4", "2.8", "5.6", "11", "22", "45", "90"])
def test_an_engraved_f_number_is_the_stop_it_is_named_after(engraved: str) -> None:
    exact = mark_f_number(engraved, "f-number")
    assert math.log2(exact**2) == pytest.approx(round(math.log2(exact**2)))
    assert exact == pytest.approx(float(engraved), rel=0.03)
    assert mark_f_number("f/6.8", "f-number") == 6.8


@pytest.mark.parametrize("scale", ["f-number", "uniform system", "old continental"])
def test_neighbouring_marks_are_a_stop_apart(scale: ApertureScale) -> None:
    marks = scale_marks(scale, widest=4.0, narrowest=64.0)
    assert len(marks) >= 7
    for wide, narrow in itertools.pairwise(marks):
        assert 2.0 * math.log2(narrow.f_number / wide.f_number) == pytest.approx(1.0, abs=0.08)


def lens(scale: ApertureScale, *, clicks: bool = False) -> Lens:
    marks = scale_marks(scale, widest=8.0, narrowest=45.3)
    return Lens(name="old one", focal_mm=170, scale=scale, apertures=marks, click_stops=clicks)


def test_32_on_a_uniform_system_scale_is_never_taken_for_f_32() -> None:
    old = lens("uniform system")
    assert f_number("32", old).f_number == pytest.approx(22.63, abs=0.01)
    f_32 = f_number("f/32", old)
    assert f_32.engraved == "64"
    assert f_32.f_number == pytest.approx(32.0)
    with pytest.raises(BadInput, match="uniform system"):
        f_number("22", old)


def test_a_bare_32_is_asked_after_where_the_kit_holds_an_old_scale() -> None:
    old = lens("uniform system")
    with pytest.raises(BadInput, match=r"32' is f/22.6"):
        f_number_on_any("32", [lens("f-number"), old])
    assert f_number_on_any("f/32", [old]).f_number == pytest.approx(32.0)
    assert f_number_on_any("16", [old]).f_number == pytest.approx(16.0)  # the same on both
    assert f_number_on_any("32", [lens("f-number")]).f_number == pytest.approx(32.0)


def test_between_marks_only_where_the_ring_turns_freely() -> None:
    assert f_number("f/13", lens("f-number")).f_number == 13.0
    with pytest.raises(BadInput, match="click-stops"):
        f_number("f/13", lens("f-number", clicks=True))
    with pytest.raises(BadInput, match="outside"):
        f_number("f/90", lens("f-number"))


@pytest.mark.parametrize("typed", ["", "wide", "0", "-8", "nan", "1e9", "inf"])
def test_what_is_no_aperture_is_refused(typed: str) -> None:
    for known in (None, lens("f-number"), lens("uniform system")):
        with pytest.raises(BadInput):
            f_number(typed, known)
