"""Photos into the notebook: their time, their place, and what is said of both."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from tests.readers.photo_bytes import ASCII, PLACED, RATIONAL, TAKEN, Tags, exif, jpeg

from backbearing.errors import BadInput, NotFound
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.bin import discard, restore
from backbearing.notebook.integrity import check
from backbearing.notebook.photos import find_photo, list_photos, load_thumbnail
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_subject, find_subject
from backbearing.places.geodesy import inverse
from backbearing.plans.intake import import_files
from backbearing.plans.photos import (
    FROM_68_TO_95,
    WALKING_M_S,
    PhotoChoices,
    read_clock_offset,
    taken,
)
from backbearing.plans.photosof import photos_of
from backbearing.records import Photo, PhotoFile, Place, Subject

WALK_BEGAN = datetime(2026, 3, 14, 15, 0, tzinfo=UTC)
STEP_DEG = 1.2 * 10 / 111_132  # of latitude, in 10 s at 1.2 m/s


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as notebook:
        with notebook.writing():
            set_setting(notebook, "zone", "Atlantic/Azores")
        yield notebook


def photo_file(
    folder: Path,
    name: str = "photo.jpg",
    own: Tags | None = None,
    gps: Tags | None = None,
) -> Path:
    path = folder / name
    path.write_bytes(jpeg(exif({}, own, gps)))
    return path


def walk_file(folder: Path, *, minutes: int = 60, silent: tuple[int, int] = (0, 0)) -> Path:
    """A walk due north from 47° N 21° W at 1.2 m/s, a fix each 10 s, silent between two minutes."""
    fixes = [
        f'<trkpt lat="{47 + i * STEP_DEG:.7f}" lon="-21"><time>'
        f"{WALK_BEGAN + timedelta(seconds=10 * i):%Y-%m-%dT%H:%M:%SZ}</time></trkpt>"
        for i in range(minutes * 6 + 1)
        if not silent[0] < i / 6 < silent[1]
    ]
    path = folder / "walk.gpx"
    path.write_text(
        '<gpx version="1.1" creator="made here" xmlns="http://www.topografix.com/GPX/1/1"><trk>'
        f"<trkseg>{''.join(fixes)}</trkseg></trk></gpx>"
    )
    return path


def clocked(at: str, offset: str = "+00:00") -> Tags:
    return {0x9003: (ASCII, f"2026:03:14 {at}"), 0x9011: (ASCII, offset)}


# ---------------------------------------------------------------- its time


@pytest.mark.parametrize(
    ("clock", "zone", "offset", "utc"),
    [
        # worked examples: a camera at +01:00 shows 09:00:00 as a GPS clock reads 08:03:27 UTC;
        # and 17:00:00 as it reads 16:03:31; then a photo at 13:00:00
        ("09:00:00", 1, "+207s", "08:03:27"),
        ("17:00:00", 1, "+211s", "16:03:31"),
        ("13:00:00", 1, "+209s", "12:03:29"),
        ("13:00:00", None, "-1h +209s", "12:03:29"),  # a clock that names no zone, read as UTC
    ],
)
def test_the_camera_s_clock_is_put_right_as_told(
    clock: str, zone: int | None, offset: str, utc: str
) -> None:
    file = PhotoFile(
        clock=datetime.fromisoformat(f"2026-03-14T{clock}"),
        zone_offset=None if zone is None else timedelta(hours=zone),
    )
    photo = taken(file, "UTC", "taken as UTC", clock_offset_s=read_clock_offset(offset))
    assert photo.taken_at == datetime.fromisoformat(f"2026-03-14T{utc}+00:00")
    assert photo.time_error_s == 5.0
    assert "as told" in photo.time_basis


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("+207s", 207), ("-1h", -3600), ("-1h +207s", -3393), ("− 2 min", -120), ("+1h-30s", 3570)],
)
def test_an_offset_is_a_sum_of_signed_spans(text: str, seconds: float) -> None:
    assert read_clock_offset(text) == seconds


@pytest.mark.parametrize("text", ["207s", "", "+", "1h +207s", "+207", "+x", "+-1h", "+1001h"])
def test_what_is_no_offset_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="--clock-offset"):
        read_clock_offset(text)


def test_a_clock_without_a_zone_takes_that_of_its_gps_time() -> None:
    file = PhotoFile(
        clock=datetime.fromisoformat("2026-07-14T14:30:12"),
        gps_time=datetime(2026, 7, 14, 12, 30, tzinfo=UTC),
    )
    photo = taken(file, "Atlantic/Azores", "taken as Atlantic/Azores")
    assert photo.taken_at == datetime(2026, 7, 14, 12, 30, 12, tzinfo=UTC)
    assert photo.time_error_s == 12.0


def test_an_old_fix_says_nothing_of_the_clock() -> None:
    file = PhotoFile(
        clock=datetime.fromisoformat("2026-07-14T14:30:00"),
        zone_offset=timedelta(0),
        gps_time=datetime(2026, 7, 14, 12, 22, tzinfo=UTC),
    )
    photo = taken(file, "UTC", "taken as UTC")
    assert photo.taken_at == datetime(2026, 7, 14, 14, 30, tzinfo=UTC)
    assert photo.time_error_s == 120.0


def test_without_a_clock_the_gps_time_counts_and_without_both_there_is_none() -> None:
    at = datetime(2026, 7, 14, 12, 22, tzinfo=UTC)
    assert taken(PhotoFile(gps_time=at), "UTC", "").taken_at == at
    assert taken(PhotoFile(), "UTC", "").taken_at is None


def test_a_clock_without_a_zone_is_read_in_the_notebook_s(
    notebook: Notebook, tmp_path: Path
) -> None:
    import_files(notebook, [photo_file(tmp_path, own={0x9003: TAKEN[0x9003]})])
    (photo,) = list_photos(notebook)
    assert photo.taken_at == datetime(2026, 3, 14, 15, 32, 5, tzinfo=UTC)  # the Azores: UTC − 1 h
    assert "Atlantic/Azores, the notebook's zone" in photo.time_basis


# ---------------------------------------------------------------- its place


def test_its_own_gps_places_it_with_its_error_as_95_percent(
    notebook: Notebook, tmp_path: Path
) -> None:
    gps: Tags = {
        **PLACED,
        0x001F: (RATIONAL, (5, 1)),
        0x0010: (ASCII, "M"),
        0x0011: (RATIONAL, (215, 1)),
    }
    report = import_files(notebook, [photo_file(tmp_path, own=TAKEN, gps=gps)])
    assert report.files[0].photo is not None
    photo = report.files[0].photo.photo
    assert photo.placed_by == "gps"
    assert photo.place is not None
    # radii of a circular normal error: sqrt(−2 ln 0.05) = 2.4477 σ and sqrt(−2 ln 0.32) σ
    assert photo.place.error_m == pytest.approx(5 * 2.44775 / 1.50959, rel=1e-4)
    assert pytest.approx(1.6215, rel=1e-3) == FROM_68_TO_95
    assert photo.bearing is not None
    assert photo.bearing.as_written == "215.00M"
    assert photo.bearing.true_deg != 215.0
    assert photo.bearing.error_deg >= 10.0


def test_a_photo_without_gps_lies_where_the_track_was_then(
    notebook: Notebook, tmp_path: Path
) -> None:
    told = PhotoChoices(clock_offset_s=0.0)
    files = [photo_file(tmp_path, own=clocked("15:30:00")), walk_file(tmp_path)]
    import_files(notebook, files, photos=told)
    (photo,) = list_photos(notebook)
    assert photo.placed_by == "track"
    assert photo.place is not None
    north = 47 + 180 * STEP_DEG
    _, away_m = inverse(photo.place.latitude_deg, photo.place.longitude_deg, north, -21.0)
    assert away_m < 0.1
    # 10 m of the fix, joined by 5 s of clock at 1.2 m/s
    assert photo.place.error_m == pytest.approx(np.hypot(10.0, 6.0), rel=0.01)
    assert photo.place.source == "track 1 at 15:30:00 UTC"


def test_a_clock_in_doubt_widens_the_place_by_the_way_walked_meanwhile(
    notebook: Notebook, tmp_path: Path
) -> None:
    """1.2 m/s for 120 s is 144 m (1.2 m/s for 60 s: 72 m, the worked figure)."""
    import_files(notebook, [walk_file(tmp_path), photo_file(tmp_path, own=clocked("15:30:00"))])
    place = list_photos(notebook)[0].place
    assert place is not None
    assert place.error_m == pytest.approx(np.hypot(10.0, WALKING_M_S * 120.0), rel=0.01)
    assert "the camera's clock is known to ± 120 s" in place.error_basis


def test_a_gap_of_more_than_five_minutes_places_nothing(notebook: Notebook, tmp_path: Path) -> None:
    walk = walk_file(tmp_path, silent=(20, 26))
    photos = [
        photo_file(tmp_path, "in.jpg", clocked("15:23:00")),
        photo_file(tmp_path, "out.jpg", clocked("15:30:00")),
        photo_file(tmp_path, "later.jpg", clocked("17:00:00")),
    ]
    import_files(notebook, [walk, *photos])
    placed = {photo.file_name: photo.placed_by for photo in list_photos(notebook)}
    assert placed == {"in.jpg": "", "out.jpg": "track", "later.jpg": ""}
    assert check(notebook) == []


def test_a_track_that_comes_later_places_it(notebook: Notebook, tmp_path: Path) -> None:
    import_files(notebook, [photo_file(tmp_path, own=clocked("15:30:00"))])
    assert list_photos(notebook)[0].place is None
    report = import_files(notebook, [walk_file(tmp_path)])
    assert [one.file_name for one in report.photos_placed] == ["photo.jpg"]
    assert list_photos(notebook)[0].placed_by == "track"


def test_a_magnetic_direction_without_a_place_is_left_out_and_said(
    notebook: Notebook, tmp_path: Path
) -> None:
    gps: Tags = {0x0010: (ASCII, "M"), 0x0011: (RATIONAL, (215, 1))}
    report = import_files(notebook, [photo_file(tmp_path, own=TAKEN, gps=gps)])
    assert [fault.field for fault in report.files[0].faults] == ["GPSImgDirection"]
    assert list_photos(notebook)[0].bearing is None


# ---------------------------------------------------------------- on record


def test_the_same_photo_is_taken_once_and_a_dry_run_takes_none(
    notebook: Notebook, tmp_path: Path
) -> None:
    photo = photo_file(tmp_path, own=TAKEN, gps=PLACED)
    again = photo_file(tmp_path, "again.jpg", TAKEN, PLACED)
    dry = import_files(notebook, [photo], dry_run=True)
    assert dry.files[0].photo is not None
    assert dry.files[0].photo.photo.id is None
    assert list_photos(notebook) == []
    outcomes = [file.outcome for file in import_files(notebook, [photo, again]).files]
    assert outcomes == ["stored", "already on record"]
    assert len(list_photos(notebook)) == 1
    assert load_thumbnail(notebook, 1).startswith(b"\xff\xd8\xff")


def test_the_photo_itself_is_not_in_the_notebook(notebook: Notebook, tmp_path: Path) -> None:
    secret: Tags = {**TAKEN, 0x9286: (ASCII, "said in confidence")}
    photo = photo_file(tmp_path, own=secret, gps=PLACED)
    import_files(notebook, [photo], photos=PhotoChoices(thumbnails=False))
    assert load_thumbnail(notebook, 1) == b""
    assert b"confidence" not in notebook.path.read_bytes()


def test_one_bad_photo_stops_no_other(notebook: Notebook, tmp_path: Path) -> None:
    bad = tmp_path / "bad.jpg"
    bad.write_bytes(b"no picture at all")
    heic = tmp_path / "phone.heic"
    heic.write_bytes(b"\0\0\0\x18ftypheic\0\0\0\0")
    good = photo_file(tmp_path, "good.jpg", TAKEN, PLACED)
    report = import_files(notebook, [tmp_path])
    assert {Path(file.path).name: file.outcome for file in report.files} == {
        "bad.jpg": "refused",
        "phone.heic": "refused",
        "good.jpg": "stored",
    }
    assert "HEIC" in next(file.why for file in report.files if file.path.endswith("heic"))
    assert good.exists()


def test_photos_of_a_subject_stay_when_it_goes_and_are_its_again(
    notebook: Notebook, tmp_path: Path
) -> None:
    with notebook.writing():
        add_subject(notebook, Subject(name="arch", place=AT))
    choices = PhotoChoices(subject="Arch")
    import_files(notebook, [photo_file(tmp_path, own=TAKEN)], photos=choices)
    arch = find_subject(notebook, "arch")
    assert [photo.subject_id for photo in list_photos(notebook)] == [arch.id]
    with notebook.writing():
        gone = discard(notebook, "subject", arch.id or 0)
    assert [photo.subject_id for photo in list_photos(notebook)] == [None]
    with notebook.writing():
        restore(notebook, gone.id)
    assert [photo.subject_id for photo in list_photos(notebook)] == [arch.id]
    assert check(notebook) == []


def test_a_photo_goes_to_the_bin_and_comes_back_with_its_picture(
    notebook: Notebook, tmp_path: Path
) -> None:
    import_files(notebook, [photo_file(tmp_path, own=TAKEN, gps=PLACED)])
    (before,) = list_photos(notebook)
    picture = load_thumbnail(notebook, before.id)
    with notebook.writing():
        gone = discard(notebook, "photo", before.id or 0)
    assert (gone.name, list_photos(notebook)) == ("photo.jpg", [])
    with notebook.writing():
        restore(notebook, gone.id)
    assert list_photos(notebook) == [before]
    assert load_thumbnail(notebook, before.id) == picture


def test_a_subject_not_on_record_is_named_before_anything_is_read(
    notebook: Notebook, tmp_path: Path
) -> None:
    with pytest.raises(NotFound, match="quarry"):
        import_files(
            notebook, [photo_file(tmp_path, own=TAKEN)], photos=PhotoChoices(subject="quarry")
        )
    assert find_photo(notebook, "") is None


def test_check_names_a_picture_another_program_put_in(notebook: Notebook, tmp_path: Path) -> None:
    import_files(notebook, [photo_file(tmp_path, own=TAKEN, gps=PLACED)])
    with notebook.writing():
        notebook.run("UPDATE photos SET thumbnail = ?, placed_by = 'ear'", (b"<svg>",))
    assert load_thumbnail(notebook, 1) == b""
    said = " ".join(finding.what for finding in check(notebook))
    assert "no small JPEG" in said
    assert "placed_by" in said


# ---------------------------------------------------------------- of a subject

AT = Place(latitude_deg=47.01, longitude_deg=-21.0025, error_m=20.0, error_basis="given")
ONE = Photo(sha256="", file_name="a", taken_at=None, time_error_s=None, time_basis="", id=1)


@pytest.mark.parametrize(("north_m", "shown"), [(69.0, True), (71.0, False)])
def test_photos_within_the_error_and_50_m_are_of_a_subject(north_m: float, shown: bool) -> None:
    there = replace(AT, latitude_deg=47.01 + north_m / 111_176)
    photo = replace(ONE, place=there, placed_by="gps")
    found = photos_of([photo], 7, AT, "UTC")
    assert [round(one.away_m or 0) for one in found] == ([north_m] if shown else [])


def test_a_photo_tied_to_a_subject_is_shown_wherever_it_was_taken() -> None:
    photos = [replace(ONE, subject_id=7), replace(ONE, subject_id=8)]
    assert [one.tied for one in photos_of(photos, 7, AT, "UTC")] == [True]
