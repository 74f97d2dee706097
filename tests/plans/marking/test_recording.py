"""A subject on record: placed, moved, measured, and everything assumed said."""

import math
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.fieldwork import BEGAN, field_notebook, put_waypoint

from backbearing.errors import BackbearingError, BadInput, NotFound
from backbearing.notebook import Notebook
from backbearing.notebook.subjects import (
    find_subject,
    list_camera_positions,
    list_notes,
    list_subjects,
)
from backbearing.places.bearings import declination_deg
from backbearing.places.geodesy import inverse
from backbearing.plans.marking import MarkAnswer, Remarks, mark
from backbearing.plans.marking.measuring import Written, measure, tall_from_angles_m
from backbearing.records import Place

HERE = Place(
    latitude_deg=47.0, longitude_deg=-21.0, error_m=10.0, error_basis="given", source="typed"
)
DAY = date(2026, 3, 14)
AT = "47.00000 N 21.00000 W"


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    opened = field_notebook(tmp_path / "notebook.gpkg")
    yield opened
    opened.__exit__(None, None, None)


def said(answer: MarkAnswer) -> str:
    return " | ".join(answer.assumed)


# ---------------------------------------------------------------- place


def test_seen_needs_only_a_place_and_three_words(notebook: Notebook) -> None:
    remarks = Remarks(words="low slate arch")
    answer = mark(notebook, "arch", AT, remarks=remarks, now=BEGAN)
    assert answer.new
    assert (answer.subject.state, answer.subject.words) == ("seen", "low slate arch")
    assert answer.camera_position is None
    assert answer.subject.place.error_basis == "assumed: open sky"
    assert find_subject(notebook, "ARCH") == answer.subject


def test_a_bearing_and_a_distance_move_the_subject_and_keep_the_camera(notebook: Notebook) -> None:
    answer = mark(
        notebook, "arch", AT, written=Written(bearing="215T", distance="80m", measured="taped")
    )
    camera = answer.camera_position
    assert camera is not None
    assert camera.place.latitude_deg == pytest.approx(47.0)
    assert camera.bearing is not None
    assert camera.bearing.true_deg == 215.0
    there = answer.subject.place
    azimuth_deg, distance_m = inverse(47.0, -21.0, there.latitude_deg, there.longitude_deg)
    assert azimuth_deg == pytest.approx(215.0, abs=0.01)
    assert distance_m == pytest.approx(80.0, abs=0.001)
    # 10 m of the camera, 2° of 80 m across, 1 % along
    expected = math.hypot(10.0, 80.0 * math.radians(2.0), 0.8)
    assert there.error_m == pytest.approx(expected, abs=0.01)


def test_a_bearing_alone_leaves_the_subject_there_and_says_so(notebook: Notebook) -> None:
    answer = mark(notebook, "arch", AT, written=Written(bearing="215T"))
    assert answer.subject.place.latitude_deg == pytest.approx(47.0)
    assert "no distance: the subject is put where the camera stood" in said(answer)


@pytest.mark.parametrize(
    "written", [Written(top="38", foot="-6"), Written(right_edge="240M"), Written(left_edge="9M")]
)
def test_anything_measured_without_a_distance_says_where_the_subject_is_put(
    notebook: Notebook, written: Written
) -> None:
    answer = mark(notebook, "arch", AT, written=written)
    assert "no distance: the subject is put where the camera stood" in said(answer)


def test_a_distance_alone_widens_the_error(notebook: Notebook) -> None:
    answer = mark(notebook, "arch", AT, written=Written(distance="30m"))
    assert answer.subject.place.error_m == pytest.approx(math.hypot(10.0, 30.0))
    assert "no bearing" in said(answer)


def test_the_subjects_own_place_gives_the_bearing_from_the_camera(notebook: Notebook) -> None:
    answer = mark(notebook, "arch", AT, subject_at="47.00000 N 20.99000 W", error_m=10)
    camera = answer.camera_position
    assert camera is not None
    assert camera.bearing is not None
    assert camera.bearing.true_deg == pytest.approx(90.0, abs=0.01)
    # 10 m and 10 m over 760 m
    assert camera.bearing.error_deg == pytest.approx(math.degrees(14.14 / 760.0), rel=0.02)
    assert camera.bearing.basis == "assumed: from the two places"


def test_a_bearing_that_the_two_places_contradict_is_kept_and_doubted(notebook: Notebook) -> None:
    answer = mark(
        notebook, "arch", AT, subject_at="47.00000 N 20.99000 W", written=Written(bearing="60T")
    )
    assert answer.camera_position is not None
    assert answer.camera_position.bearing is not None
    assert answer.camera_position.bearing.true_deg == 60.0
    assert "30° off the line between the two places" in said(answer)


@pytest.mark.parametrize("at", ["wpt 012", "track 1 at 13:34", "wpt 012 + 90T 20m"])
def test_any_place_will_do(notebook: Notebook, at: str) -> None:
    put_waypoint(notebook, "012", 47.01, -21.02)
    answer = mark(notebook, "arch", at, sky="walls")
    assert answer.subject.place.error_m >= 40.0
    assert "under walls" in answer.subject.place.error_basis


# ---------------------------------------------------------------- bearing


def test_a_magnetic_bearing_is_made_true_on_the_day_of_the_record(notebook: Notebook) -> None:
    on_track = mark(notebook, "arch", "track 1 at 13:34", written=Written(bearing="215M"))
    assert on_track.on == BEGAN.date()
    long_ago = mark(notebook, "wheel", AT, written=Written(bearing="215M"), on=date(2011, 6, 1))
    for answer in (on_track, long_ago):
        camera = answer.camera_position
        assert camera is not None
        assert camera.bearing is not None
        place = camera.place
        expected, _ = declination_deg(
            place.latitude_deg, place.longitude_deg, place.height_m, answer.on
        )
        assert camera.bearing.declination_deg == pytest.approx(expected)
        assert camera.bearing.true_deg == pytest.approx(215.0 + expected)
    today = mark(
        notebook, "hut", AT, written=Written(bearing="1M"), now=datetime(2027, 1, 2, tzinfo=UTC)
    )
    assert today.on == date(2027, 1, 2)


def test_the_back_bearing_of_a_facing_wall_stands_in_and_is_said_to_be_assumed(
    notebook: Notebook,
) -> None:
    answer = mark(notebook, "arch", AT, written=Written(facing="35"))
    assert answer.subject.facing_deg == 35.0
    camera = answer.camera_position
    assert camera is not None
    assert camera.bearing is not None
    assert camera.bearing.true_deg == 215.0
    assert camera.bearing.error_deg >= 20.0
    assert camera.bearing.basis == "assumed: back bearing of the facing wall"
    assert "camera bearing 215° true ± 20°" in said(answer)


def test_a_bearing_that_was_taken_comes_before_any_stand_in() -> None:
    everything = Written(bearing="200T", left_edge="230T", right_edge="250T", facing="35")
    order = [("bearing", 200.0), ("left_edge", 240.0), ("facing", 215.0)]
    for dropped, expected in order:
        camera = measure(HERE, everything, on=DAY).camera
        assert camera is not None
        assert camera.bearing is not None
        assert camera.bearing.true_deg == pytest.approx(expected)
        everything = Written(
            **{f: getattr(everything, f) for f in ("left_edge", "right_edge", "facing")}
            if dropped == "bearing"
            else {"facing": everything.facing}
        )


@pytest.mark.parametrize(("bearing", "off"), [("189T", ""), ("215T", ""), ("300T", "60° outside")])
def test_a_bearing_lies_between_the_edges_or_that_is_said(bearing: str, off: str) -> None:
    written = Written(bearing=bearing, left_edge="190T", right_edge="240T")
    said = " ".join(measure(HERE, written, on=DAY).assumed)
    assert ("outside the edges" in said) == bool(off)
    assert off in said


def test_a_sighting_has_a_thing_and_a_bearing() -> None:
    for text, to, true_deg in (
        ("far cairn 300 T", "far cairn", 300.0),
        ("tower south west", "tower", 225.0),
        ("shaft 2 35T", "shaft 2", 35.0),
    ):
        camera = measure(HERE, Written(sightings=(text,)), on=DAY).camera
        assert camera is not None
        assert [(s.to, s.bearing.true_deg) for s in camera.sightings] == [(to, true_deg)]


def test_bare_bearings_beside_a_magnetic_one_are_by_the_same_compass() -> None:
    measured = measure(HERE, Written(bearing="215M", left_edge="190", right_edge="240T"), on=DAY)
    assert measured.camera is not None
    left, right = measured.camera.left_edge, measured.camera.right_edge
    assert left is not None
    assert right is not None
    assert left.declination_deg is not None
    assert right.declination_deg is None
    assert any("taken as magnetic" in sentence for sentence in measured.assumed)


def test_the_instrument_sets_the_error(notebook: Notebook) -> None:
    for number, (instrument, error_deg) in enumerate(
        [("sighting compass", 2.0), ("baseplate", 3.0), ("phone", 10.0)]
    ):
        written = Written(bearing="215T", instrument=instrument)
        camera = mark(notebook, f"arch {number}", AT, written=written).camera_position
        assert camera is not None
        assert camera.bearing is not None
        assert camera.bearing.error_deg == error_deg
    told = measure(HERE, Written(bearing="215T", bearing_error="1.5"), on=DAY).camera
    assert told is not None
    assert told.bearing is not None
    assert told.bearing.error_deg == 1.5


# ---------------------------------------------------------------- size


def test_height_from_two_angles_and_a_distance() -> None:
    # the issue's own example: 38° up, 6° down at 12 m is 10.6 m
    tall_m, error_m = tall_from_angles_m(12.0, 38.0, -6.0, "taped")
    assert tall_m == pytest.approx(10.6, abs=0.05)
    assert 0.2 < error_m < 0.6
    measured = measure(HERE, Written(bearing="215T", distance="12m", top="38", foot="-6"), on=DAY)
    assert measured.tall_m == pytest.approx(10.64, abs=0.01)
    assert any("height 10.6 m ±" in sentence for sentence in measured.assumed)


@given(
    tall=st.floats(0.5, 200),
    above=st.floats(0.0, 1.0),
    distance=st.floats(2, 500),
)
def test_a_things_angles_give_back_its_height(tall: float, above: float, distance: float) -> None:
    # the foot lies `above · tall` below eye level
    foot_deg = -math.degrees(math.atan(above * tall / distance))
    top_deg = math.degrees(math.atan((1 - above) * tall / distance))
    assert tall_from_angles_m(distance, top_deg, foot_deg)[0] == pytest.approx(tall, rel=1e-6)


def test_width_from_two_edges_and_a_distance() -> None:
    # 2 · 12 m · tan 25° = 11.19 m
    for left, right in (("190T", "240T"), ("335T", "25T")):
        written = Written(bearing="215T", distance="12m", left_edge=left, right_edge=right)
        assert measure(HERE, written, on=DAY).wide_m == pytest.approx(11.19, abs=0.01)


def test_a_given_height_stands_and_a_different_one_from_the_angles_is_said() -> None:
    written = Written(distance="12m", top="38", foot="-6", tall="9m")
    measured = measure(HERE, written, on=DAY)
    assert measured.tall_m == 9.0
    assert any("height 9 m as given, though it is 10.6 m" in s for s in measured.assumed)


def test_what_is_missing_for_a_height_is_said() -> None:
    assert measure(HERE, Written(top="38", distance="9m"), on=DAY).assumed[-1] == (
        "height not worked out: the angle to the foot not known"
    )


@pytest.mark.parametrize(
    ("written", "part"),
    [
        (Written(bearing="361T"), "--bearing"),
        (Written(bearing="215T", distance="far"), "--distance"),
        (Written(top="95"), "--top"),
        (Written(top="3", foot="6", distance="9m"), "does not lie above"),
        (Written(left_edge="240T", right_edge="190T"), "swap"),
        (Written(bearing="215T", instrument="sextant"), "sextant"),
        (Written(bearing="215T", bearing_error="200"), "200"),
        (Written(sightings=("KNOLL x",)), "--sighting"),
        (Written(sightings=("300M",)), "names no thing"),
        (Written(bearing="215T", distance="0"), "no length to measure with"),
        (Written(tall="0 m"), "--tall"),
        (Written(bearing="215T", distance="² paces"), "--distance"),
        (Written(bearing="215T", distance="999999999999999 paces"), "--distance"),
        (Written(bearing="215T", distance="50000km"), "longer than 100 km"),
        (Written(bearing="215T", distance="9" * 5000), "--distance"),
        (Written(tall="9" * 400), "--tall"),
    ],
)
def test_a_value_that_cannot_be_read_is_named_and_nothing_is_stored(
    notebook: Notebook, written: Written, part: str
) -> None:
    with pytest.raises(BadInput, match=part):
        mark(notebook, "arch", AT, written=written)
    assert list_subjects(notebook) == []


def test_with_a_list_for_problems_a_bad_value_is_left_out_and_the_rest_stands() -> None:
    problems: list[str] = []
    written = Written(bearing="999M", distance="12m", top="38", foot="-6")
    measured = measure(HERE, written, on=DAY, problems=problems)
    assert measured.tall_m == pytest.approx(10.64, abs=0.01)
    assert measured.camera is not None
    assert measured.camera.bearing is None
    assert len(problems) == 1
    assert "999" in problems[0]


TEXT = st.one_of(st.text(max_size=12), st.sampled_from(["215M", "90", "8m", "38", "-6", "SW"]))


@given(bearing=TEXT, distance=TEXT, top=TEXT, foot=TEXT, left=TEXT, right=TEXT, facing=TEXT)
def test_any_text_is_measured_or_named(
    bearing: str, distance: str, top: str, foot: str, left: str, right: str, facing: str
) -> None:
    written = Written(
        bearing=bearing,
        distance=distance,
        top=top,
        foot=foot,
        left_edge=left,
        right_edge=right,
        facing=facing,
    )
    problems: list[str] = []
    lenient = measure(HERE, written, on=DAY, problems=problems)
    assert lenient.place.error_m >= HERE.error_m
    try:
        assert measure(HERE, written, on=DAY) == lenient
    except BackbearingError:
        assert problems


# ---------------------------------------------------------------- names and further positions


def test_a_name_is_taken_once(notebook: Notebook) -> None:
    mark(notebook, "Winding house", AT)
    with pytest.raises(BadInput, match=r"already on record.*--camera-position"):
        mark(notebook, "winding  HOUSE", "47.1 N 21.0 W")
    assert len(list_subjects(notebook)) == 1


@pytest.mark.parametrize("name", ["", "  ", "a" * 201, "a\x1b[2Jb"])
def test_a_name_has_to_be_one(notebook: Notebook, name: str) -> None:
    with pytest.raises(BadInput):
        mark(notebook, name, AT)


@pytest.mark.parametrize("name", ["47.0, -21.0", "track 3 at 14:32", "wpt 012"])
def test_a_name_that_reads_as_a_place_is_refused(notebook: Notebook, name: str) -> None:
    """It would stand in the way of the place it names."""
    with pytest.raises(BadInput, match="reads as a place"):
        mark(notebook, name, AT, now=BEGAN)
    assert not list_subjects(notebook)


def test_names_may_hold_the_joiners_some_scripts_need(notebook: Notebook) -> None:
    name = "\u062e\u0627\u0646\u0647\u200c\u0647\u0627"  # Persian, 'houses'
    assert mark(notebook, name, AT, now=BEGAN).subject.name == name
    with pytest.raises(BadInput, match="already on record"):  # looks no different
        mark(notebook, name.replace("\u200c", "\u200c\u200c"), AT, now=BEGAN)
    with pytest.raises(BadInput, match="needs a name"):
        mark(notebook, "\u200d \u200c", AT, now=BEGAN)


def test_a_further_camera_position_knows_the_subjects_place(notebook: Notebook) -> None:
    mark(notebook, "arch", AT, written=Written(bearing="90T", distance="100m"), error_m=5)
    answer = mark(notebook, "Arch", "47.00000 N 20.90000 W", camera_position="from the leat")
    assert not answer.new
    assert answer.camera_position is not None
    assert answer.camera_position.bearing is not None
    assert answer.camera_position.bearing.true_deg == pytest.approx(270.0, abs=0.1)
    names = [c.name for c in list_camera_positions(notebook, answer.subject.id)]
    assert names == ["main", "from the leat"]
    with pytest.raises(BadInput, match="from the leat"):
        mark(notebook, "arch", AT, camera_position="From the Leat")


def test_a_camera_position_fills_in_a_size_and_changes_nothing_else(notebook: Notebook) -> None:
    mark(notebook, "arch", AT)
    written = Written(bearing="270T", distance="12m", top="38", foot="-6")
    answer = mark(notebook, "arch", AT, camera_position="close", written=written)
    assert find_subject(notebook, "arch").tall_m == pytest.approx(10.64, abs=0.01)
    assert answer.subject.place == find_subject(notebook, "arch").place
    with pytest.raises(BadInput, match=r"--state.*would change"):
        mark(notebook, "arch", AT, camera_position="x", remarks=Remarks(state="made"))


def test_a_camera_position_needs_its_subject(notebook: Notebook) -> None:
    mark(notebook, "arch", AT)
    with pytest.raises(NotFound, match="arch"):
        mark(notebook, "arches", AT, camera_position="x")


def test_a_remark_is_kept_as_a_note(notebook: Notebook) -> None:
    answer = mark(notebook, "arch", AT, remarks=Remarks(note="drum still turns"))
    (note,) = list_notes(notebook, answer.subject.id)
    assert note.text == "drum still turns"
