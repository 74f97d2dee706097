"""Field notes into the notebook: pinned, moved, joined to what is known, and nothing lost."""

import hashlib
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.fieldwork import BEGAN, STOOD_AT, field_notebook, put_walk, put_waypoint, walk

from backbearing.errors import BadFile, BadInput, NotFound
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.subjects import (
    find_subject,
    list_camera_positions,
    list_notes,
    list_subjects,
)
from backbearing.notebook.tracks import find_original, load_original
from backbearing.places.geodesy import inverse
from backbearing.plans.marking import Remarks, mark
from backbearing.plans.notes import NotesReport, add_remark, store_notes
from backbearing.writers.notes import notes_text

NOW = datetime(2026, 10, 1, 12, tzinfo=UTC)
EXAMPLE = "14 March 2026\n13:32 seen winding house, 215M 8m, top 38 foot -6, left of the leat\n"


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    opened = field_notebook(tmp_path / "notebook.gpkg")
    yield opened
    opened.__exit__(None, None, None)


def store(notebook: Notebook, text: str, *, dry_run: bool = False) -> NotesReport:
    return store_notes(notebook, text.encode(), "notes.txt", dry_run=dry_run, now=NOW)


def became(report: NotesReport) -> list[str]:
    return [line.became for line in report.lines]


def test_the_cards_example_pins_moves_and_measures(notebook: Notebook) -> None:
    report = store(notebook, EXAMPLE)
    assert became(report) == ["day", "new subject"]
    subject = find_subject(notebook, "winding house")
    (camera,) = list_camera_positions(notebook, subject.id)
    # the time is on the track's own clock and finds its stop
    assert inverse(camera.place.latitude_deg, camera.place.longitude_deg, *STOOD_AT)[1] < 3.0
    assert "stop" in camera.place.error_basis
    # the bearing and the distance move the subject from there
    azimuth_deg, distance_m = inverse(
        camera.place.latitude_deg,
        camera.place.longitude_deg,
        subject.place.latitude_deg,
        subject.place.longitude_deg,
    )
    assert camera.bearing is not None
    assert camera.bearing.as_written == "215M"
    assert azimuth_deg == pytest.approx(camera.bearing.true_deg, abs=0.01)
    assert distance_m == pytest.approx(8.0, abs=0.001)
    assert (camera.top_deg, camera.foot_deg) == (38.0, -6.0)
    assert subject.tall_m == pytest.approx(7.09, abs=0.01)  # 8 m · (tan 38° + tan 6°)
    (note,) = list_notes(notebook, subject.id)
    assert note.text == EXAMPLE.splitlines()[1]
    assert note.source == "notes.txt, line 2"
    assert note.observed == {"side": "left of the leat"}  # the rest is measured, above
    assert note.written_at == datetime(2026, 3, 14, 14, 32, tzinfo=UTC)


def test_the_same_file_twice_is_said_and_doubles_nothing(notebook: Notebook) -> None:
    store(notebook, EXAMPLE)
    again = store_notes(notebook, EXAMPLE.encode(), "copy of notes.txt", now=NOW)
    assert again.outcome == "already on record"
    assert len(list_subjects(notebook)) == len(list_notes(notebook)) == 1
    number = find_original(notebook, hashlib.sha256(EXAMPLE.encode()).hexdigest())
    assert number is not None
    original = load_original(notebook, number)
    assert (original.content, original.media) == (EXAMPLE.encode(), "notes")


def test_a_dry_run_shows_each_item_and_writes_nothing(notebook: Notebook) -> None:
    report = store(notebook, f"{EXAMPLE}13:33 winding house, drum turns, lit\n", dry_run=True)
    assert became(report) == ["day", "new subject", "known subject"]
    text = notes_text(report)
    for shown in ("bearing", "215M", "left of the leat", "remark   drum turns", "± "):
        assert shown in text
    assert list_subjects(notebook) == []
    assert list_notes(notebook) == []
    assert store(notebook, EXAMPLE).outcome == "stored"
    assert store(notebook, EXAMPLE, dry_run=True).outcome == "already on record"


def test_a_coordinate_and_a_waypoint_pin_a_line_directly(notebook: Notebook) -> None:
    put_waypoint(notebook, "012", 47.05, -21.02)
    store(notebook, "seen arch, 47.04321 N 21.01234 W, walls\nwpt 012 seen wheel, ±25m\n")
    arch, wheel = find_subject(notebook, "arch").place, find_subject(notebook, "wheel").place
    assert (arch.latitude_deg, arch.error_m) == (pytest.approx(47.04321), 40.0)
    assert (wheel.latitude_deg, wheel.error_m) == (pytest.approx(47.05), 25.0)
    assert wheel.error_basis == "given"


def test_a_line_about_a_known_subject_adds_to_it(notebook: Notebook) -> None:
    mark(notebook, "Winding House", "47.00000 N 21.00000 W", remarks=Remarks(state="scouted"))
    before = find_subject(notebook, "winding house")
    report = store(
        notebook,
        "2026-03-14\n"
        "13:32 seen winding house, 215M 8m, top 38 foot -6, next: bring a rope\n"
        "13:35 WINDING HOUSE, 30M, blocked: gate locked\n"
        "13:36 made winding house\n",
    )
    assert became(report)[1:] == ["known subject"] * 3
    (subject,) = list_subjects(notebook)
    assert (subject.id, subject.name, subject.place) == (before.id, before.name, before.place)
    assert subject.tall_m == pytest.approx(7.09, abs=0.01)
    assert (subject.next_time, subject.blocked) == ("bring a rope", "gate locked")
    assert subject.state == "made"  # 'seen' did not take 'scouted' back
    cameras = list_camera_positions(notebook, subject.id)
    assert [c.name for c in cameras] == ["main", "2026-03-14 13:35"]
    assert len(list_notes(notebook, subject.id)) == 3


def test_three_words_alone_name_a_seen_subject(notebook: Notebook) -> None:
    store(notebook, '2026-03-14\n13:32, wpt -, walls, 215M, "rusted drum house"\n')
    (subject,) = list_subjects(notebook)
    assert (subject.name, subject.state) == ("rusted drum house", "seen")


@pytest.mark.parametrize(
    ("line", "missing"),
    [
        ("2026-03-14 17:00 seen arch, 215M 8m", "no track covers 17:00 on 2026-03-14"),
        ("seen arch, 215M 8m", "no time, waypoint or coordinate"),
        ("wpt 99 seen arch", "waypoint"),
        ("seen arch, 95.12345 N 21.01234 W", "coordinate"),
    ],
)
def test_a_record_without_a_place_is_kept_and_says_what_to_do(
    notebook: Notebook, line: str, missing: str
) -> None:
    report = store(notebook, line)
    (outcome,) = report.lines
    assert outcome.became == "unplaced note"
    assert missing in outcome.remedy
    assert "backbearing mark arch --at" in outcome.remedy
    (note,) = list_notes(notebook)
    assert note.text == line
    assert note.subject_id is None
    assert "unplaced" in note.observed
    assert list_subjects(notebook) == []


def test_the_command_offered_for_an_unplaced_record_places_it_later(notebook: Notebook) -> None:
    (outcome,) = store(notebook, "2026-03-15 13:32 seen arch, 215M 8m").lines
    assert "--at '2026-03-15 13:32' --bearing 215M --distance 8m" in outcome.remedy


def test_what_is_no_record_becomes_a_note(notebook: Notebook) -> None:
    report = store(notebook, "2026-03-14\n13:32 lost my cap by the stream\nrain all day\n")
    assert became(report) == ["day", "note", "note"]
    assert [n.text for n in list_notes(notebook)] == [
        "rain all day",  # noon of the day above it, as no clock stands there
        "13:32 lost my cap by the stream",
    ]


def test_a_bad_value_is_reported_and_the_rest_of_the_record_stands(notebook: Notebook) -> None:
    (outcome,) = store(notebook, "2026-03-14 13:32 seen arch, 400M 8m, top 38, foot -6").lines
    assert outcome.became == "new subject"
    assert any("400" in problem for problem in outcome.problems)
    assert find_subject(notebook, "arch").tall_m == pytest.approx(7.09, abs=0.01)


def test_without_a_day_the_only_track_that_covers_the_time_gives_it(notebook: Notebook) -> None:
    (outcome,) = store(notebook, "13:32 seen arch").lines
    assert outcome.became == "new subject"
    assert any("day taken from track 1" in sentence for sentence in outcome.assumed)
    put_walk(notebook, walk(east_deg=0.05))
    (unsure,) = store(notebook, "13:33 seen wheel").lines
    assert unsure.became == "unplaced note"
    assert "write the day" in unsure.remedy


def test_a_named_track_decides_between_two(notebook: Notebook) -> None:
    other = put_walk(notebook, walk(east_deg=0.05))
    store(notebook, f"2026-03-14 13:33 track {other} seen wheel")
    assert find_subject(notebook, "wheel").place.longitude_deg > -20.96


def test_faults_of_the_file_are_reported(notebook: Notebook) -> None:
    report = store_notes(notebook, "13:32 seen Brücke".encode("cp1252"), "n.txt", now=NOW)
    assert report.encoding == "windows-1252"
    assert "windows-1252" in notes_text(report)
    assert find_subject(notebook, "brücke").name == "Brücke"


def test_a_file_that_is_no_text_stores_nothing(notebook: Notebook) -> None:
    with pytest.raises(BadFile, match=r"x\.bin"):
        store_notes(notebook, bytes(range(32)) * 9, "/tmp/x.bin", now=NOW)
    assert list_notes(notebook) == []


# ---------------------------------------------------------------- nothing taken for granted


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Notebook]:
    """A notebook without tracks and without a zone setting."""
    with open_notebook(tmp_path / "bare.gpkg", create=True) as opened:
        yield opened


def test_the_clock_is_that_of_the_place(bare: Notebook) -> None:
    store(bare, "2026-07-01\n14:32 seen arch, 46.53210 N 8.01230 E\n")
    # Switzerland is two hours before UTC in July
    assert find_subject(bare, "arch").marked_at == datetime(2026, 7, 1, 12, 32, tzinfo=UTC)


def test_a_clock_of_no_known_zone_is_taken_as_utc_and_that_is_said(bare: Notebook) -> None:
    _, outcome = store(bare, "2026-07-01\n14:32 seen arch\n").lines
    assert any("taken as UTC" in sentence for sentence in outcome.assumed)


def test_a_record_without_a_day_says_of_when_it_is_taken(bare: Notebook) -> None:
    (outcome,) = store(bare, "14:32 seen arch, 46.53210 N 8.01230 E, 215M").lines
    assert any("no day stands in it" in sentence for sentence in outcome.assumed)


def test_waypoint_numbers_that_start_again_are_told_apart_by_day(notebook: Notebook) -> None:
    yesterday = BEGAN - timedelta(days=1)
    put_waypoint(notebook, "012", 47.05, -21.02, time=BEGAN)
    put_waypoint(notebook, "012", 47.15, -21.02, time=yesterday)
    report = store(
        notebook,
        "2026-03-14\nwpt 012 seen wheel\n"
        "2026-03-13\nwpt 012 seen arch\n"
        "2026-03-12\nwpt 012 seen hut\n",
    )
    assert find_subject(notebook, "wheel").place.latitude_deg == pytest.approx(47.05)
    assert find_subject(notebook, "arch").place.latitude_deg == pytest.approx(47.15)
    assert find_subject(notebook, "arch").marked_at == yesterday
    assert report.lines[-1].became == "unplaced note"  # both are of other days


def test_a_waypoint_of_another_day_is_pointed_out(notebook: Notebook) -> None:
    put_waypoint(notebook, "012", 47.05, -21.02, time=BEGAN)
    _, outcome = store(notebook, "2026-03-15\nwpt 012 seen wheel").lines
    assert "waypoint 012 was made on 2026-03-14, not on 2026-03-15" in outcome.problems


def test_a_longer_name_is_a_subject_of_its_own(notebook: Notebook) -> None:
    report = store(
        notebook,
        "2026-03-14\n13:32 seen winding house, 215M 8m\n"
        "13:35 seen winding house chimney, 30M 20m, blocked: locked gate\n",
    )
    assert [s.name for s in list_subjects(notebook)] == ["winding house", "winding house chimney"]
    assert find_subject(notebook, "winding house").blocked == ""
    assert "a subject of its own beside 'winding house'" in report.lines[-1].assumed


def test_a_bearing_without_m_or_t_came_off_a_compass_and_that_is_said(notebook: Notebook) -> None:
    (outcome,) = store(notebook, "2026-03-14 13:32 seen arch, bearing 215, 8m taped").lines
    assert any("taken as magnetic, as a compass gives" in line for line in outcome.assumed)
    assert outcome.camera_position is not None
    bearing = outcome.camera_position.bearing
    assert bearing is not None
    assert bearing.declination_deg is not None
    assert bearing.true_deg == pytest.approx(215.0 + bearing.declination_deg)


def test_a_bare_bearing_off_a_telephone_is_taken_as_true_and_that_is_said(
    notebook: Notebook,
) -> None:
    (outcome,) = store(notebook, "2026-03-14 13:32 seen arch, bearing 215, phone, 8m taped").lines
    assert any("215 taken as true" in sentence for sentence in outcome.assumed)


def test_a_figure_at_the_end_of_a_name_is_asked_about(notebook: Notebook) -> None:
    (outcome,) = store(notebook, "2026-03-14 13:32 seen arch 215").lines
    assert any("215M or 215T" in sentence for sentence in outcome.problems)


def test_a_sentence_ends_where_nothing_can_be_advised(notebook: Notebook) -> None:
    (outcome,) = store(notebook, "2026-03-14 13:32 seen arch, 91.00000 N 8.01230 E").lines
    assert outcome.problems
    assert not any(sentence.rstrip().endswith(";") for sentence in outcome.problems)


def test_a_long_file_tells_how_far_it_is(notebook: Notebook) -> None:
    told: list[str] = []
    content = b"rain all day\n" * 1_200
    store_notes(
        notebook, content, "notes.txt", dry_run=True, any_text=True, now=NOW, progress=told.append
    )
    assert told[1:] == [
        "reading notes.txt: line 501 of 1200",
        "reading notes.txt: line 1001 of 1200",
    ]


LINES = st.lists(
    st.one_of(
        st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc", "Cf"]), max_size=30),
        st.sampled_from(
            [
                *("2026-03-14", "13:32 seen arch, 215M 8m", "arch, lit", "made arch, 999M"),
                *("13:35 seen ARCH, edges 240M 190M", "47.04321 N 21.01234 W seen wheel, top 9"),
                *("wheel, 40m, facing N", '"three words here"', "blocked: gate", "seen  "),
            ]
        ),
    ),
    max_size=8,
)


@given(LINES)
def test_no_line_is_refused_and_each_is_kept_as_a_note(
    tmp_path_factory: pytest.TempPathFactory, lines: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("n")
    with open_notebook(folder / "n.gpkg", create=True) as notebook:
        put_walk(notebook, walk())
        dry = store(notebook, "\n".join(lines), dry_run=True)
        report = store(notebook, "\n".join(lines))
        # a dry run says just what happens
        assert became(dry) == became(report)
        assert [one.text for one in report.lines] == [
            " ".join(t.split()) for t in lines if t.split()
        ]
        notes = list_notes(notebook)
        assert sorted(n.text for n in notes) == sorted(
            one.text for one in report.lines if one.became != "day"
        )
        assert notes_text(report)


def test_a_remark_is_added_to_a_subject(notebook: Notebook) -> None:
    mark(notebook, "arch", "47.00000 N 21.00000 W")
    for text in ("first", "second"):
        add_remark(notebook, "Arch", text, now=BEGAN)
    assert [n.text for n in list_notes(notebook)] == ["first", "second"]
    with pytest.raises(NotFound, match="arch"):
        add_remark(notebook, "arc", "x")
    with pytest.raises(BadInput, match="nothing to note"):
        add_remark(notebook, "arch", " ")


def test_the_day_of_a_note_rules_its_declination(notebook: Notebook) -> None:
    store(notebook, "1 June 2011 seen old arch, 47.00000 N 21.00000 W, 215M\n")
    store(notebook, "1 June 2026 seen new arch, 47.00000 N 21.00000 W, 215M\n")
    old, new = (
        list_camera_positions(notebook, find_subject(notebook, name).id)[0].bearing
        for name in ("old arch", "new arch")
    )
    assert old is not None
    assert new is not None
    assert new.true_deg - old.true_deg > 2.0  # the needle there has gone east since
