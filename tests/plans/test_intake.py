"""Importing: every file whole or not at all, once, and none stops another."""

from __future__ import annotations

import gzip
import json
import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from tests.readers.gpx_text import fix, gpx, track

from backbearing.errors import BadInput, NotebookError, NotebookReadOnly, NotFound
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.integrity import check
from backbearing.notebook.lines import list_lines
from backbearing.notebook.subjects import list_subjects
from backbearing.notebook.tracks import (
    list_routes,
    list_tracks,
    list_waypoints,
    load_original,
    load_track,
)
from backbearing.plans.discarding import bring_back, discard_file
from backbearing.plans.intake import import_files
from backbearing.readers.gpx import read_gpx


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as opened:
        yield opened


def walk(name: str = "up the incline", minutes: int = 3) -> bytes:
    """A walk east from 14:00 UTC, a fix every ten seconds."""
    fixes = [
        fix(
            47,
            -21 + i * 1.6e-4,
            f"<ele>{100 + i}</ele><time>2026-03-14T14:{i // 6:02d}:{i % 6}0Z</time>",
        )
        for i in range(minutes * 6)
    ]
    return gpx(
        '<wpt lat="47" lon="-21"><name>arch</name></wpt>',
        '<rte><name>way in</name><rtept lat="47" lon="-21"/><rtept lat="47.1" lon="-21"/></rte>',
        track(*fixes, name=name),
    )


class TestOneFile:
    def test_all_that_it_holds_is_on_record(self, notebook: Notebook, tmp_path: Path) -> None:
        path = tmp_path / "walk.gpx"
        path.write_bytes(walk())
        (report,) = import_files(notebook, [path]).files
        assert (report.outcome, report.kind) == ("stored", "gpx")
        assert (len(report.tracks), report.routes, report.waypoints) == (1, 1, 1)
        stored = load_track(notebook, report.tracks[0].id or 0)
        read = read_gpx(path).tracks[0]
        assert stored.name == read.name
        for mine, its in zip(stored.segments, read.segments, strict=True):
            assert np.array_equal(mine.longitude_deg, its.longitude_deg)
            assert np.array_equal(mine.height_m, its.height_m, equal_nan=True)
            assert np.array_equal(mine.time, its.time)
        assert [w.name for w in list_waypoints(notebook)] == ["arch"]
        assert [r.name for r in list_routes(notebook)] == ["way in"]

    def test_the_original_is_kept_with_its_faults(self, notebook: Notebook, tmp_path: Path) -> None:
        path = tmp_path / "walk.gpx"
        path.write_bytes(gpx(track(fix(), fix("x"))))
        (report,) = import_files(notebook, [path]).files
        assert [f.field for f in report.faults] == ["lat"]
        original = load_original(notebook, 1)
        assert original.content == path.read_bytes()
        assert (original.file_name, original.faults) == ("walk.gpx", report.faults)

    def test_twice_is_once(self, notebook: Notebook, tmp_path: Path) -> None:
        for name in ("walk.gpx", "copy.gpx"):
            (tmp_path / name).write_bytes(walk())
        first, again = import_files(notebook, [tmp_path / "walk.gpx", tmp_path / "copy.gpx"]).files
        assert (first.outcome, again.outcome) == ("stored", "already on record")
        assert len(list_tracks(notebook)) == 1

    def test_one_whose_track_lies_in_the_bin_says_so(
        self, notebook: Notebook, tmp_path: Path
    ) -> None:
        from backbearing.notebook.bin import discard

        (tmp_path / "walk.gpx").write_bytes(walk())
        import_files(notebook, [tmp_path / "walk.gpx"])
        with notebook.writing():
            binned = discard(notebook, "track", 1)
        (again,) = import_files(notebook, [tmp_path / "walk.gpx"]).files
        assert again.in_bin == (binned.id,)

    def test_empty_tracks_are_counted_not_stored(self, notebook: Notebook, tmp_path: Path) -> None:
        (tmp_path / "walk.gpx").write_bytes(gpx("<trk/><rte/>", track(fix())))
        (report,) = import_files(notebook, [tmp_path / "walk.gpx"]).files
        assert (len(report.tracks), report.empty_tracks, report.routes) == (1, 1, 0)
        assert len(list_tracks(notebook)) == 1


class TestKinds:
    @pytest.mark.parametrize(
        ("name", "content"),
        [
            ("walk", walk()),
            ("walk.txt", b"\xef\xbb\xbf\n" + walk()),
            ("walk.bin", gzip.compress(walk())),
            ("walk.dat", walk().decode().encode("utf-16")),
        ],
    )
    def test_gpx_is_known_by_content(
        self, notebook: Notebook, tmp_path: Path, name: str, content: bytes
    ) -> None:
        (tmp_path / name).write_bytes(content)
        (report,) = import_files(notebook, [tmp_path / name]).files
        assert report.kind == "gpx"

    def test_a_text_is_field_notes(self, notebook: Notebook, tmp_path: Path) -> None:
        (tmp_path / "notes.txt").write_text("seen arch, 47.0123 N 21.0456 W\n")
        (report,) = import_files(notebook, [tmp_path / "notes.txt"]).files
        assert (report.kind, report.outcome) == ("notes", "stored")
        assert [s.name for s in list_subjects(notebook)] == ["arch"]

    def test_notes_find_the_track_that_comes_with_them(
        self, notebook: Notebook, tmp_path: Path
    ) -> None:
        notes = tmp_path / "a-notes.txt"  # before the track by name
        notes.write_text("2026-03-14 13:01 seen arch, open\n")
        (tmp_path / "walk.gpx").write_bytes(walk())
        import_files(notebook, [notes, tmp_path / "walk.gpx"])
        (arch,) = list_subjects(notebook)
        assert arch.place.source.startswith("track 1 at")

    @pytest.mark.parametrize("content", [b"<html></html>", b"PK\x03\x04", b"\0" * 50, b""])
    def test_what_claims_to_be_gpx_and_is_not_is_refused(
        self, notebook: Notebook, tmp_path: Path, content: bytes
    ) -> None:
        (tmp_path / "walk.gpx").write_bytes(content)
        report = import_files(notebook, [tmp_path / "walk.gpx"])
        assert not report.all_good
        assert report.files[0].why.startswith(str(tmp_path / "walk.gpx"))


def lines(*kinds: str, points: int = 0) -> bytes:
    """A GeoJSON file with a line of each kind, and points that are none."""
    features = [
        {
            "type": "Feature",
            "properties": {"kind": kind, "name": f"the {kind}"},
            "geometry": {"type": "LineString", "coordinates": [[-21.0, 47.0], [-21.0, 47.01 + i]]},
        }
        for i, kind in enumerate(kinds)
    ]
    features += [
        {
            "type": "Feature",
            "properties": {},
            "geometry": {"type": "Point", "coordinates": [-21.0, 47.0]},
        }
    ] * points
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


class TestLines:
    @pytest.mark.parametrize(
        ("name", "content"),
        [
            ("water.txt", lines("brook")),
            ("water", b"\xef\xbb\xbf\n " + lines("brook")),
            ("water.geojson.gz", gzip.compress(lines("brook"))),
            ("bare.json", b'{"type": "Polygon", "coordinates": [[[1,2],[3,4],[1,2]]]}'),
        ],
    )
    def test_geojson_is_known_by_content(
        self, notebook: Notebook, tmp_path: Path, name: str, content: bytes
    ) -> None:
        (tmp_path / name).write_bytes(content)
        (report,) = import_files(notebook, [tmp_path / name]).files
        assert (report.kind, report.outcome) == ("lines", "stored")
        assert len(list_lines(notebook)) == 1

    def test_lines_are_counted_by_kind_and_what_is_none_is_too(
        self, notebook: Notebook, tmp_path: Path
    ) -> None:
        content = lines("path", "brook", "burn", points=2).replace(b"47.01]", b"470.0]")
        (tmp_path / "water.geojson").write_bytes(content)
        (report,) = import_files(notebook, [tmp_path]).files  # a folder takes them along
        assert report.lines is not None
        assert report.lines.kinds == {"stream": 2}
        assert report.lines.left_out == 2
        assert [(fault.line, fault.action) for fault in report.faults] == [(1, "dropped")]
        assert [line.source for line in list_lines(notebook)] == [
            "water.geojson, feature 2",
            "water.geojson, feature 3",
        ]
        original = load_original(notebook, 1)
        assert (original.media, original.content) == ("lines", content)

    def test_twice_is_once(self, notebook: Notebook, tmp_path: Path) -> None:
        for name in ("a.geojson", "b.geojson"):
            (tmp_path / name).write_bytes(lines("brook"))
        assert [file.outcome for file in import_files(notebook, [tmp_path]).files] == [
            "stored",
            "already on record",
        ]
        assert len(list_lines(notebook)) == 1

    def test_a_dry_run_leaves_no_line(self, notebook: Notebook, tmp_path: Path) -> None:
        (tmp_path / "a.geojson").write_bytes(lines("brook"))
        (report,) = import_files(notebook, [tmp_path], dry_run=True).files
        assert report.lines is not None
        assert report.lines.kinds == {"stream": 1}
        assert list_lines(notebook) == []

    @pytest.mark.parametrize("content", [b"{}", b"{", lines(points=1), b"<gpx/>", b""])
    def test_what_holds_no_line_is_refused(
        self, notebook: Notebook, tmp_path: Path, content: bytes
    ) -> None:
        (tmp_path / "a.geojson").write_bytes(content)
        report = import_files(notebook, [tmp_path])
        assert report.files[0].outcome == "refused"
        assert "a.geojson" in report.files[0].why
        assert notebook.rows("SELECT * FROM originals") == []

    def test_an_import_is_taken_back_and_brought_back(
        self, notebook: Notebook, tmp_path: Path
    ) -> None:
        for name, kinds in (("a.geojson", ("brook", "path")), ("b.geojson", ("ridge",))):
            (tmp_path / name).write_bytes(lines(*kinds))
        import_files(notebook, [tmp_path])
        before = [(line.id, line.name, line.source) for line in list_lines(notebook)]
        gone = discard_file(notebook, "a.geojson")
        assert gone.along == "with 2 lines"
        assert [line.kind for line in list_lines(notebook)] == ["ridge"]
        assert check(notebook) == []
        bring_back(notebook, gone.deleted.id)
        assert [(line.id, line.name, line.source) for line in list_lines(notebook)] == before
        assert load_original(notebook, 1).content == lines("brook", "path")
        gone = discard_file(notebook, "a.geojson")
        (again, _) = import_files(notebook, [tmp_path]).files
        assert again.outcome == "stored"  # as if it had never been there
        with pytest.raises(BadInput, match="imported again meanwhile"):
            bring_back(notebook, gone.deleted.id)
        with pytest.raises(NotFound, match=r"'b\.geojson'"):
            discard_file(notebook, "c.geojson")


class TestFolders:
    def test_are_searched_through_and_in_order(self, notebook: Notebook, tmp_path: Path) -> None:
        folder = tmp_path / "walks"
        (folder / "deep" / "er").mkdir(parents=True)
        names = ["b.gpx", "a.GPX", "deep/c.gpx.gz", "deep/er/notes.txt"]
        for number, name in enumerate(names):
            content = walk(str(number))
            (folder / name).write_bytes(
                gzip.compress(content) if name.endswith("gz")
                else b"a remark\n" if name.endswith("txt") else content
            )  # fmt: skip
        for left_alone in ("drawing.png", "._b.gpx", "b.gpx~"):
            (folder / left_alone).write_bytes(b"\0")
        report = import_files(notebook, [folder])
        found = [str(Path(f.path).relative_to(folder)) for f in report.files]
        assert found == ["a.GPX", "b.gpx", "deep/c.gpx.gz", "deep/er/notes.txt"]
        assert report.all_good

    def test_a_link_to_a_folder_above_is_not_followed(
        self, notebook: Notebook, tmp_path: Path
    ) -> None:
        folder = tmp_path / "walks"
        folder.mkdir()
        (folder / "round").symlink_to(folder)
        (folder / "walk.gpx").write_bytes(walk())
        assert len(import_files(notebook, [folder]).files) == 1

    def test_one_bad_file_of_a_hundred_stops_no_other(
        self, notebook: Notebook, tmp_path: Path
    ) -> None:
        for number in range(100):
            content = b"<gpx><trk>" if number == 40 else gpx(track(fix(47, number / 10)))
            (tmp_path / f"{number:02d}.gpx").write_bytes(content)
        report = import_files(notebook, [tmp_path])
        assert (report.count("stored"), report.count("refused")) == (99, 1)
        (bad,) = (f for f in report.files if f.outcome == "refused")
        assert "40.gpx" in bad.why
        assert len(list_tracks(notebook)) == 99

    def test_one_without_any_is_refused(self, notebook: Notebook, tmp_path: Path) -> None:
        (tmp_path / "empty").mkdir()
        assert "holds no file" in import_files(notebook, [tmp_path / "empty"]).files[0].why


class TestDryRun:
    def test_says_the_same_and_writes_nothing(self, notebook: Notebook, tmp_path: Path) -> None:
        (tmp_path / "walk.gpx").write_bytes(walk())
        (tmp_path / "notes.txt").write_text("2026-03-14 13:01 seen arch, open\n")
        before = notebook.path.read_bytes()
        paths = [tmp_path / "walk.gpx", tmp_path / "notes.txt"]
        dry = import_files(notebook, paths, dry_run=True)
        assert dry.dry_run
        assert notebook.path.read_bytes() == before
        assert dry.files[0].tracks[0].id is None
        # the notes found the track of the same rehearsal
        assert dry.files[1].notes is not None
        assert dry.files[1].notes.lines[0].became == "new subject"
        real = import_files(notebook, paths)
        assert [f.outcome for f in dry.files] == [f.outcome for f in real.files]
        assert dry.files[0].tracks[0].summary == real.files[0].tracks[0].summary

    def test_knows_what_is_on_record(self, notebook: Notebook, tmp_path: Path) -> None:
        (tmp_path / "walk.gpx").write_bytes(walk())
        import_files(notebook, [tmp_path / "walk.gpx"])
        (again,) = import_files(notebook, [tmp_path / "walk.gpx"], dry_run=True).files
        assert again.outcome == "already on record"

    def test_needs_no_notebook(self, tmp_path: Path) -> None:
        (tmp_path / "walk.gpx").write_bytes(walk())
        assert import_files(None, [tmp_path / "walk.gpx"], dry_run=True).all_good
        assert sorted(p.name for p in tmp_path.iterdir()) == ["walk.gpx"]
        with pytest.raises(TypeError):
            import_files(None, [tmp_path / "walk.gpx"])


def test_a_notebook_open_for_reading_takes_nothing(tmp_path: Path) -> None:
    open_notebook(tmp_path / "notebook.gpkg", create=True).close()
    (tmp_path / "walk.gpx").write_bytes(walk())
    notebook = open_notebook(tmp_path / "notebook.gpkg", readonly=True)
    with notebook, pytest.raises(NotebookReadOnly):
        import_files(notebook, [tmp_path / "walk.gpx"])


class TestANotebookThatFailsOnTheWay:
    """SQLite's own cap on pages stands in for a full disk."""

    @staticmethod
    def folder(tmp_path: Path) -> Path:
        folder = tmp_path / "walks"
        folder.mkdir()
        (folder / "a.gpx").write_bytes(walk("a"))
        (folder / "b.gpx").write_bytes(
            walk("b").replace(b"arch", os.urandom(60_000).hex().encode())
        )
        (folder / "c.gpx").write_bytes(walk("c"))
        (folder / "bad.gpx").write_bytes(b"<html></html>")
        return folder

    def test_what_is_stored_stays_and_the_rest_is_named(
        self, notebook: Notebook, tmp_path: Path
    ) -> None:
        (pages,) = notebook.rows("PRAGMA page_count")[0]
        notebook.rows(f"PRAGMA max_page_count = {pages + 10}")
        report = import_files(notebook, [self.folder(tmp_path)])
        assert [(Path(f.path).name, f.outcome) for f in report.files] == [
            ("a.gpx", "stored"),
            ("b.gpx", "not reached"),
            ("bad.gpx", "not reached"),
            ("c.gpx", "not reached"),
        ]
        assert "no room left" in report.files[1].why
        assert [f.why for f in report.files[2:]] == ["", ""]
        assert not report.all_good
        assert [track.name for track in list_tracks(notebook)] == ["a"]

    def test_where_nothing_is_stored_it_is_an_error(
        self, notebook: Notebook, tmp_path: Path
    ) -> None:
        (pages,) = notebook.rows("PRAGMA page_count")[0]
        notebook.rows(f"PRAGMA max_page_count = {pages + 10}")
        with pytest.raises(NotebookError, match="nothing of this was kept"):
            import_files(notebook, [self.folder(tmp_path) / "b.gpx"])
        assert list_tracks(notebook) == []
