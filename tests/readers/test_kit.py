"""Kit files: what they may say, and how what is wrong in them is said."""

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadFile
from backbearing.readers.kit import read_kit
from backbearing.records import Kit, TrialLight

OLD = """
[[lens]]
name = "old one"
focal = "170 mm"
scale = "uniform system"
apertures = ["f/8", 16, "32"]
"""


def test_an_f_number_written_as_one_is_one_on_any_scale() -> None:
    """Uniform System 8 would be f/11.3; f/8 is its mark 4. 32 is f/22.6."""
    (lens,) = read_kit("kit.toml", content=OLD.encode()).lenses
    assert [round(mark.f_number, 1) for mark in lens.apertures] == [8.0, 16.0, 22.6]
    assert [mark.words for mark in lens.apertures] == ["f/8", "f/16", "mark 32 (f/22.6)"]


WHOLE = """
[[batch]]
name = "winter box"
process = "dry plate"
emulsion = "ordinary"
speed = 2
tested_sun = 30
tested_seconds = 2
reciprocity_table = [[1, 1], [10, 14], [60, 120]]
holds_stops = 5
filters = {yellow = 8}

[[camera]]
name = "box"
plate = "10 x 16 cm"
image = "98 x 158 mm"
finder_crop = {left = 3, right = 3, top = 10}
plate_offset = "-0.4 mm"

[[camera]]
name = "folding"
plate = "half plate UK"
rise = "30 mm"
tilts = true

[[lens]]
name = "old one"
focal = "170 mm"
scale = "uniform system"
apertures = [4, "8", 16, 32, 64]
coverage = "230 mm"
marks = ["30 m", {engraved = "8 m", tested = "7.4 m"}, "25 ft", "3 m", "inf"]

[[shutter]]
name = "old leaf"
speeds = ["1", {marked = "1/25", tested = "1/18"}, "1/2 s"]
bulb = true

[[holder]]
name = "1"
camera = "box"
"""


def read(text: str) -> Kit:
    return read_kit("kit.toml", content=text.encode())


def test_a_whole_kit() -> None:
    kit = read(WHOLE)
    (batch,) = kit.batches
    assert batch.tested_in == TrialLight(sun_altitude_deg=30.0, exposure_s=2.0)
    assert batch.reciprocity_table[1] == (10.0, 14.0)
    assert batch.filters == {"yellow": 8.0}
    box, folding = kit.cameras
    assert (box.image_wide_mm, box.image_high_mm) == (158.0, 98.0)
    assert box.finder_crop == (0.03, 0.03, 0.1, 0.0)
    assert box.plate_offset_mm == pytest.approx(-0.4)
    assert (folding.plate_wide_mm, folding.rise_mm) == (pytest.approx(165.1), 30.0)
    (lens,) = kit.lenses
    assert [mark.engraved for mark in lens.apertures] == ["4", "8", "16", "32", "64"]
    assert lens.apertures[3].f_number == pytest.approx(22.63, abs=0.01)
    # farthest first, by where they are sharp
    assert [mark.engraved for mark in lens.focus_marks] == ["inf", "30 m", "25 ft", "8 m", "3 m"]
    assert lens.focus_marks[0].sharp_m == math.inf
    assert lens.focus_marks[3].sharp_m == 7.4
    (shutter,) = kit.shutters
    assert [speed.marked for speed in shutter.speeds] == ["1/25", "1/2 s", "1"]
    assert shutter.speeds[0].tested_s == pytest.approx(1 / 18)
    assert kit.holders[0].sides == 2


def test_an_aperture_scale_can_be_given_by_its_ends() -> None:
    kit = read('[[lens]]\nname = "l"\nfocal = "150 mm"\nwidest = 6.8\nnarrowest = 45\n')
    assert [m.engraved for m in kit.lenses[0].apertures] == ["8", "11", "16", "22", "32", "45"]


BATCH = '[[batch]]\nname = "b"\nspeed = 2\n'
LENS = '[[lens]]\nname = "l"\nfocal = "150 mm"\napertures = ["8"]\n'
CAMERA = '[[camera]]\nname = "c"\nplate = "10 x 15 cm"\n'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("batch = 3", "not a list of tables"),
        ("[[bach]]\nname = 'b'", "did you mean batch"),
        ("[[batch]]\nspeed = 2", "name: is missing"),
        ("[[batch]]\nname = 'b'", "speed: is missing"),
        ("[[batch]]\nname = 'b'\nspeed = 0", "speed: 0 is outside over 0"),
        ("[[batch]]\nname = 'b'\nspeed = -2", "speed: -2"),
        ("[[batch]]\nname = 'b'\nspeed = nan", "speed: nan"),
        ("[[batch]]\nname = 'b'\nspeed = true", "not a number"),
        (BATCH + "sped = 3", "did you mean speed"),
        (BATCH + BATCH.replace("'b'", "'B'"), "given twice"),
        (BATCH + "emulsion = 'red'", "write one of ordinary, ortho, pan"),
        (BATCH + "reciprocity = 1.2", "reciprocity"),
        (BATCH + "reciprocity = 0.9\nreciprocity_table = [[1, 1], [9, 12]]", "both given"),
        (BATCH + "reciprocity_table = [[1, 1], [10, 15], [9, 30]]", "does not rise"),
        (BATCH + "reciprocity_table = [[1, 1], [10, 15], [20, 15]]", "does not rise"),
        (BATCH + "reciprocity_table = [[1, 1], [10, 5]]", "less than was metered"),
        (BATCH + "reciprocity_table = [[1, 1]]", "one row only"),
        (BATCH + "reciprocity_table = [[1, 'x'], [2, 3]]", "not two times"),
        (BATCH + "filters = {yellow = 0.5}", "no factor"),
        (BATCH + "holds_stops = 0", "holds_stops"),
        (BATCH.replace("= 2", "= " + "9" * 400), "speed: is outside"),
        (BATCH.replace("= 2", "= " + "9" * 5000), "TOML"),
        (BATCH.replace("= 2", "= 1e-300"), "speed"),
        (BATCH + "reciprocity = 0.001", "reciprocity"),
        (BATCH + "reciprocity_table = [[1, 1], [1.0001, 999999]]", "too steeply"),
        (LENS.replace('["8"]', "[" + "9" * 400 + "]"), "no mark"),
        ("[[holder]]\nname = 'h'\nsides = " + "9" * 400, "sides"),
        (LENS.replace("150 mm", "0 mm"), "focal"),
        (LENS.replace('"150 mm"', "-150"), "focal"),
        (LENS.replace('["8"]', '["wide"]'), "no aperture"),
        (LENS.replace('["8"]', "[0]"), "no aperture"),
        (LENS.replace('apertures = ["8"]', ""), "widest and narrowest"),
        (LENS + "widest = 6.8", "beside widest or narrowest"),
        (LENS + "narrowest = 45", "beside widest or narrowest"),
        (
            LENS.replace('apertures = ["8"]', "widest = 32\nnarrowest = 8"),
            "narrower than narrowest",
        ),
        (LENS + "marks = ['0 m']", "above 0"),
        (LENS + "marks = ['0.2 m']", "twice the focal length"),
        (LENS + "marks = [{engraved = '3 m', tried = '4 m'}]", "no mark"),
        (LENS + "scale = 'mine'", "uniform system"),
        (CAMERA.replace("10 x 15 cm", "half plate"), "UK"),
        (CAMERA + "image = '12 x 18 cm'", "larger than the plate"),
        (CAMERA + "rise = '9 m'", "rise"),
        (CAMERA + "finder_crop = {up = 3}", "sides"),
        ("[[shutter]]\nname = 's'\nspeeds = ['1/0']", "no time"),
        ("[[shutter]]\nname = 's'\nspeeds = ['fast']", "no time"),
        ("[[holder]]\nname = 'h'\nsides = 1.5", "whole number"),
        ("[[holder]]\nname = 'h'\nsides = 0", "sides"),
        ("[[batch]", "TOML"),
        ("\x00", "TOML"),
    ],
)
def test_what_is_wrong_is_said_where_it_is(text: str, words: str) -> None:
    with pytest.raises(BadFile, match=words) as caught:
        read(text)
    assert "kit.toml" in str(caught.value)


def test_strange_bytes_and_sizes_are_refused(tmp_path: Path) -> None:
    for content in (b"\xff\xfe", b"#" * 1_000_001, b"a=" + b"[" * 100_000):
        with pytest.raises(BadFile):
            read_kit("kit.toml", content=content)
    with pytest.raises(BadFile):
        read_kit(tmp_path / "none.toml")


@given(st.text(st.characters(exclude_categories=("Cs",)), max_size=60))
def test_a_files_own_words_enter_no_message_raw(name: str) -> None:
    escaped = "".join(f"\\U{ord(ch):08x}" for ch in name)
    with pytest.raises(BadFile) as caught:
        read(f'[[batch]]\nname = "{escaped}"\nspeed = -1\n')
    assert all(ch.isprintable() or ch in "\u200c\u200d" for ch in str(caught.value))


TOML_VALUES = st.sampled_from(
    ["1", "-1", "0.5", "true", '"x"', '"10 x 15 cm"', "[]", "[1]", "{a = 1}", "[[1, 2]]", "inf"]
)
KEYS = st.sampled_from(
    [
        *("name", "speed", "plate", "focal", "apertures", "marks", "speeds", "sides", "filters"),
        *("reciprocity_table", "finder_crop", "tested_sun", "scale", "emulsion", "image"),
    ]
)


@given(
    st.sampled_from(["batch", "camera", "lens", "shutter", "holder"]),
    st.dictionaries(KEYS, TOML_VALUES, max_size=6),
)
def test_any_table_gives_kit_or_a_bad_file(kind: str, values: dict[str, str]) -> None:
    text = f"[[{kind}]]\n" + "".join(f"{key} = {value}\n" for key, value in values.items())
    try:
        read(text)
    except BadFile:
        return
