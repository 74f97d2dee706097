"""Reading GPX: what a file holds, what is dropped or repaired and on which line."""

from __future__ import annotations

import gzip
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.readers.gpx_text import GOOD_FIX, GPX_1_0, fix, gpx, track

from backbearing.errors import BadFile
from backbearing.readers.faults import FAULTS_LISTED
from backbearing.readers.gpx import read_gpx
from backbearing.readers.mending import FORBIDDEN_REFERENCE, KEPT_AMPERSAND, REPLACED, mended
from backbearing.records import GpxFile


def read(content: bytes) -> GpxFile:
    return read_gpx("walk.gpx", content=content)


def times(file: GpxFile) -> list[str]:
    return [str(t) for t in file.tracks[0].segments[0].time]


def listed(file: GpxFile) -> list[tuple[int, str, str, int]]:
    return [(f.line, f.field, f.action, f.count) for f in file.faults]


class TestWhatAFileHolds:
    def test_tracks_with_all_their_segments(self) -> None:
        one = f"<trkseg>{fix(47.0)}{fix(47.1)}</trkseg>"
        other = f"<trkseg>{fix(47.2)}</trkseg>"
        file = read(gpx(f"<trk><name>twice</name><type>walk</type>{one}{other}</trk>"))
        (twice,) = file.tracks
        assert (twice.name, twice.kind, twice.line) == ("twice", "walk", 1)
        assert [s.latitude_deg.tolist() for s in twice.segments] == [[47.0, 47.1], [47.2]]
        assert file.faults == ()

    def test_heights_and_times_missing_are_nan_and_nat(self) -> None:
        (segment,) = read(gpx(track(GOOD_FIX, fix()))).tracks[0].segments
        assert segment.height_m[0] == 118.5
        assert np.isnan(segment.height_m[1])
        assert segment.time.dtype == np.dtype("datetime64[ms]")
        assert np.isnat(segment.time).tolist() == [False, True]

    def test_waypoints_and_routes(self) -> None:
        file = read(
            gpx(
                '<wpt lat="47.1" lon="-21.1"><ele>12</ele><time>2026-03-14T14:32:00Z</time>'
                "<name>arch</name><cmt>two\nlines</cmt><desc>of slate</desc>"
                "<sym>dot</sym><type>subject</type></wpt>\n",
                '<rte><name>way in</name><rtept lat="47" lon="-21"><name>landing</name></rtept>'
                '<rtept lat="47.2" lon="-21.2"/></rte>',
            )
        )
        (arch,) = file.waypoints
        assert (arch.name, arch.comment, arch.description) == ("arch", "two\nlines", "of slate")
        assert (arch.symbol, arch.kind, arch.height_m) == ("dot", "subject", 12.0)
        assert arch.time == datetime(2026, 3, 14, 14, 32, tzinfo=UTC)
        (way_in,) = file.routes
        assert way_in.line == 3  # the comment above is of two lines
        assert [(p.name, p.latitude_deg) for p in way_in.points] == [("landing", 47.0), ("", 47.2)]

    @pytest.mark.parametrize("namespace", ["", GPX_1_0])
    def test_version_1_0_and_none(self, namespace: str) -> None:
        file = read(gpx(track(GOOD_FIX), namespace=namespace, version="1.0"))
        assert file.version == "1.0"
        assert file.tracks[0].segments[0].height_m.tolist() == [118.5]
        assert file.faults == ()

    def test_a_prefix_for_the_gpx_namespace(self) -> None:
        text = '<g:gpx xmlns:g="{}"><g:wpt lat="1" lon="2"><g:name>arch</g:name></g:wpt></g:gpx>'
        assert read(text.format(GPX_1_0).encode()).waypoints[0].name == "arch"

    def test_empty_tracks_and_repeated_points_are_normal_life(self) -> None:
        file = read(gpx("<trk><name>nothing</name></trk>", track(), track(GOOD_FIX, GOOD_FIX)))
        assert [len(t.segments) for t in file.tracks] == [0, 0, 1]
        assert len(file.tracks[2].segments[0].time) == 2
        assert file.faults == ()

    def test_a_file_is_read_from_disk_like_from_memory(self, tmp_path: Path) -> None:
        path = tmp_path / "walk.gpx"
        path.write_bytes(gpx(track(GOOD_FIX)))
        assert read_gpx(path).tracks[0].name == "up the incline"
        assert read_gpx(str(path)).tracks[0].name == "up the incline"

    def test_gzip_is_known_by_its_content(self) -> None:
        content = gzip.compress(gpx(track(GOOD_FIX)))
        assert len(read(content).tracks[0].segments[0].time) == 1

    def test_gzip_in_several_members(self) -> None:
        whole = gpx(track(*[GOOD_FIX] * 3000))
        content = gzip.compress(whole[:5000]) + gzip.compress(whole[5000:])
        assert len(read(content).tracks[0].segments[0].time) == 3000


class TestExtensions:
    def test_points_inside_them_are_not_the_tracks(self) -> None:
        hidden = (
            '<extensions><trkpt lat="1" lon="1"/><x:trkpt xmlns:x="urn:x" lat="1" lon="1"/>'
            '<wpt lat="1" lon="1"/></extensions>'
        )
        file = read(gpx(track(fix(inside=hidden)), f"{hidden}"))
        assert file.tracks[0].segments[0].latitude_deg.tolist() == [47.01]
        assert file.waypoints == ()
        assert file.faults == ()

    def test_a_height_inside_them_is_not_the_points(self) -> None:
        inside = '<ele>5</ele><x:ele xmlns:x="urn:x">9</x:ele><name>n</name>'
        assert read(gpx(track(fix(inside=inside)))).tracks[0].segments[0].height_m[0] == 5.0

    def test_a_prefix_nobody_declared_does_not_lose_the_file(self) -> None:
        file = read(gpx(track(fix(inside="<extensions><q:pulse>70</q:pulse></extensions>"))))
        assert len(file.tracks[0].segments[0].time) == 1


class TestTimes:
    @pytest.mark.parametrize(
        ("written", "utc"),
        [
            ("2026-03-14T14:32:05Z", "2026-03-14T14:32:05.000"),
            ("2026-03-14T14:32:05.25Z", "2026-03-14T14:32:05.250"),
            ("2026-03-14T14:32:05.123456Z", "2026-03-14T14:32:05.123"),
            ("2026-03-14T16:32:05+02:00", "2026-03-14T14:32:05.000"),
            ("2026-03-14T11:02:05-03:30", "2026-03-14T14:32:05.000"),
            ("2026-03-15T00:02:05+0930", "2026-03-14T14:32:05.000"),
            (" 2026-03-14T14:32:05Z\n", "2026-03-14T14:32:05.000"),
            ("2026-03-14T24:00:00Z", "2026-03-15T00:00:00.000"),
            ("2016-12-31T23:59:60Z", "2017-01-01T00:00:00.000"),
        ],
    )
    def test_offsets_and_fractions_are_honoured(self, written: str, utc: str) -> None:
        file = read(gpx(track(fix(inside=f"<time>{written}</time>"))))
        assert times(file) == [utc]
        assert file.faults == ()

    def test_the_same_time_twice_is_read_alike(self) -> None:
        # the second look goes another way through the reader
        inside = [f"<time>2026-03-14T14:{m}:05+01:00</time>" for m in (32, 33, 32, 33)]
        hours = times(read(gpx(track(*(fix(inside=i) for i in inside)))))
        assert hours == [f"2026-03-14T13:{m}:05.000" for m in (32, 33, 32, 33)]

    def test_no_zone_is_utc_and_said_once_for_the_file(self) -> None:
        fixes = [fix(inside="<time>2026-03-14T14:32:05</time>") for _ in range(200)]
        file = read(gpx(track(*fixes)))
        assert times(file)[0] == "2026-03-14T14:32:05.000"
        assert listed(file) == [(1, "time", "kept", 200)]
        assert "UTC" in file.faults[0].what

    def test_absurd_years_are_kept_and_said_once(self) -> None:
        fixes = [fix(inside="<time>2000-01-01T00:00:00Z</time>") for _ in range(3)]
        fixes += [fix(inside="<time>0007-01-01T00:00:00Z</time>") for _ in range(70)]
        file = read(gpx(track(*fixes)))
        assert times(file)[3] == "0007-01-01T00:00:00.000"
        assert listed(file) == [(4, "time", "kept", 70)]

    @pytest.mark.parametrize(
        "written",
        ["2026-02-30T14:32:05Z", "2026-03-14", "yesterday", "2026-03-14T25:00:00Z", "",
         "2026-03-14T14:60:00Z", "2026-03-14T14:32:05+19:00", "٢٠٢٦-03-14T14:32:05Z",
         "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00", "2026-03-14T24:00:01Z"],
    )  # fmt: skip
    def test_an_unreadable_time_is_dropped_alone(self, written: str) -> None:
        file = read(gpx(track(fix(inside=f"<ele>7</ele>\n<time>{written}</time>"))))
        assert times(file) == ["NaT"]
        assert file.tracks[0].segments[0].height_m.tolist() == [7.0]
        assert listed(file) == [(2, "time", "dropped", 1)]

    def test_the_time_of_the_file_is_not_that_of_a_point(self) -> None:
        meta = "<metadata><time>1999-01-01T00:00:00Z</time></metadata>"
        assert times(read(gpx(meta, track(fix())))) == ["NaT"]


class TestNumbers:
    @pytest.mark.parametrize(
        "written",
        ["46,43", "nan", "NaN", "inf", "-Infinity", "1e400", "4_6", "４６", "0x2E", "", " ", "46N",
         "90.0001", "-91", "46.5 47.5", "--46"],
    )  # fmt: skip
    def test_a_latitude_that_is_none_drops_the_point(self, written: str) -> None:
        file = read(gpx(track(fix(), fix(written), fix())))
        assert len(file.tracks[0].segments[0].time) == 2
        assert listed(file) == [(2, "lat", "dropped", 1)]

    @pytest.mark.parametrize("written", ["180.1", "-181", "3e2", "inf"])
    def test_a_longitude_beyond_the_globe_too(self, written: str) -> None:
        file = read(gpx(track(fix(), fix(47, written))))
        assert listed(file) == [(2, "lon", "dropped", 1)]

    @pytest.mark.parametrize(
        ("written", "degrees"),
        [("46.43", 46.43), ("+46.43", 46.43), (" 46.43\n", 46.43), (".5", 0.5), ("5.", 5.0),
         ("-0", 0.0), ("-5.2E-5", -5.2e-5), ("90", 90.0)],
    )  # fmt: skip
    def test_a_decimal_is_one_however_it_is_written(self, written: str, degrees: float) -> None:
        file = read(gpx(track(fix(written))))
        assert file.tracks[0].segments[0].latitude_deg.tolist() == [degrees]
        assert file.faults == ()

    def test_a_missing_coordinate_drops_the_point(self) -> None:
        file = read(gpx(track(fix(), '<trkpt lat="47"/>', "<trkpt/>")))
        assert [(f.field, f.what) for f in file.faults] == [
            ("lon", "is missing"), ("lat", "is missing")]  # fmt: skip

    def test_longitude_180_is_repaired(self) -> None:
        file = read(gpx(track(fix(0, 180), fix(0, "180.0"), fix(0, -180))))
        assert file.tracks[0].segments[0].longitude_deg.tolist() == [-180.0] * 3
        assert [f.action for f in file.faults] == ["repaired"] * 2

    @pytest.mark.parametrize("written", ["", "--", "12 m", "1,5", "nan", "1e9"])
    def test_a_bad_height_is_dropped_alone(self, written: str) -> None:
        inside = f"<ele>{written}</ele><time>2026-03-14T14:32:05Z</time>"
        file = read(gpx(track(fix(inside=inside))))
        assert np.isnan(file.tracks[0].segments[0].height_m[0])
        assert times(file) == ["2026-03-14T14:32:05.000"]
        assert listed(file) == [(1, "ele", "dropped", 1)]

    def test_the_fields_of_a_dropped_point_are_not_counted_too(self) -> None:
        file = read(gpx(track(fix(), fix("x", "y", "<ele>z</ele><time>w</time>"))))
        assert listed(file) == [(2, "lat", "dropped", 1)]


class TestFaults:
    def test_each_stands_on_its_own_line(self) -> None:
        lines = [
            fix(inside="<ele>1</ele>"),
            fix("x"),
            '<trkpt lat="47" lon="-21">\n<ele>\nhigh\n</ele>\n<time>late</time></trkpt>\n',
            fix(inside="<ele>y</ele>"),
        ]
        assert [(f.line, f.field) for f in read(gpx(track(*lines))).faults] == [
            (2, "lat"), (6, "ele"), (7, "time"), (8, "ele")]  # fmt: skip

    def test_all_are_counted_though_not_all_are_listed(self) -> None:
        many = 3 * FAULTS_LISTED
        file = read(gpx(track(fix(), *(fix("x") for _ in range(many)))))
        assert sum(f.count for f in file.faults) == many
        assert len(file.faults) == FAULTS_LISTED + 1
        assert file.faults[-1].line == FAULTS_LISTED + 2

    def test_points_where_none_may_stand_are_counted(self) -> None:
        loose = f"<trk>{fix()}<trkseg>{fix()}</trkseg></trk><trkseg>{fix()}{fix()}</trkseg>"
        file = read(gpx(loose))
        assert len(file.tracks[0].segments[0].time) == 1
        assert [f.field for f in file.faults] == ["trkpt"] * 3

    def test_what_a_value_says_cannot_reach_the_terminal_raw(self) -> None:
        file = read(gpx(track(fix(), fix("&#x202e;&#x9b;31m" + "9" * 500))))
        assert file.faults[0].what.isprintable()
        assert len(file.faults[0].what) < 80


class TestNames:
    def test_control_characters_and_overrides_are_left_out(self) -> None:
        file = read(
            gpx('<wpt lat="1" lon="2"><name>ar&#x8a;c&#x202e;h\n\tof &#x9f;slate</name></wpt>')
        )
        assert file.waypoints[0].name == "arch of slate"

    def test_markup_is_kept_as_text(self) -> None:
        file = read(gpx(track(GOOD_FIX, name="&lt;b&gt;`${x}`<![CDATA[</script>]]>")))
        assert file.tracks[0].name == "<b>`${x}`</script>"

    def test_an_element_inside_a_name_does_not_swallow_it(self) -> None:
        assert (
            read(gpx(track(GOOD_FIX, name="the <b>old</b>quarry"))).tracks[0].name == "the quarry"
        )

    def test_a_megabyte_of_name_is_cut_and_said(self) -> None:
        file = read(gpx(track(GOOD_FIX, name="slate " * 500_000)))
        assert len(file.tracks[0].name) == 300
        assert listed(file) == [(1, "name", "repaired", 1)]


class TestFilesThatBreakOff:
    def test_the_points_before_are_given_and_it_is_said(self) -> None:
        whole = gpx(track(*(fix(47 + i / 100) for i in range(5))))
        file = read(whole[: whole.index(b"47.03") + 3])
        assert file.tracks[0].segments[0].latitude_deg.tolist() == [47.0, 47.01, 47.02]
        assert file.truncated_at_line == 4
        assert (file.faults[-1].line, file.faults[-1].field) == (4, "gpx")

    def test_a_waypoint_and_route_before_are_too(self) -> None:
        text = gpx('<wpt lat="1" lon="2"/>\n', '<rte><rtept lat="1" lon="2"/><rtept lat="3" ')
        file = read(text.removesuffix(b"</gpx>"))
        assert (len(file.waypoints), len(file.routes[0].points)) == (1, 1)
        assert file.truncated_at_line == 2

    def test_gzip_that_breaks_off(self) -> None:
        content = gzip.compress(gpx(track(*(fix(47 + i / 1e5) for i in range(5000)))))
        file = read(content[: len(content) // 2])
        assert 0 < len(file.tracks[0].segments[0].time) < 5000
        assert file.truncated_at_line is not None

    def test_nuls_after_a_power_cut(self) -> None:
        file = read(gpx(track(GOOD_FIX)).removesuffix(b"</trkseg></trk></gpx>") + b"\0" * 5000)
        assert len(file.tracks[0].segments[0].time) == 1
        assert file.truncated_at_line is not None

    def test_what_stands_after_the_end_is_not_read_but_said(self) -> None:
        file = read(gpx(track(GOOD_FIX)) * 2)
        assert len(file.tracks) == 1
        assert file.truncated_at_line is None
        assert listed(file) == [(1, "gpx", "dropped", 1)]

    def test_no_usable_point_is_no_file(self) -> None:
        with pytest.raises(BadFile, match=r"walk\.gpx, line 1: .*no usable point.*'undefined'"):
            read(gpx(track(fix("undefined", "undefined"))))
        with pytest.raises(BadFile, match="holds no point"):
            read(gpx("<trk><trkseg/></trk>"))


class TestEncodings:
    @pytest.mark.parametrize(
        ("declared", "codec"),
        [
            ("UTF-8", "utf-8"),
            ("utf-8", "utf-8-sig"),
            ("UTF-16", "utf-16"),
            ("ISO-8859-1", "latin-1"),
            ("iso-8859-15", "iso-8859-15"),
            ("windows-1252", "windows-1252"),
        ],
    )
    def test_those_listed_are_read(self, declared: str, codec: str) -> None:
        head = f'<?xml version="1.0" encoding="{declared}"?>\n'
        text = gpx(track(GOOD_FIX, name="café"), head=head).decode()
        file = read(text.encode(codec))
        assert file.tracks[0].name == "café"
        assert file.faults == ()

    @pytest.mark.parametrize("declared", ["utf-7", "cp037", "utf-32", "idna", "zlib", "x" * 500])
    def test_others_are_refused(self, declared: str) -> None:
        head = f'<?xml version="1.0" encoding="{declared}"?>\n'
        with pytest.raises(BadFile, match="line 1: its encoding"):
            read(gpx(track(GOOD_FIX), head=head))

    def test_bytes_that_are_not_what_is_declared_are_replaced_and_said(self) -> None:
        content = gpx("\n" + track(GOOD_FIX, name="caf!")).replace(b"caf!", b"caf\xe9")
        file = read(content)
        assert file.tracks[0].name == "caf\ufffd"
        assert listed(file) == [(2, "encoding", "repaired", 1)]

    def test_a_nul_in_the_middle_does_not_lose_the_rest(self) -> None:
        file = read(gpx(track(GOOD_FIX, "\0\0", GOOD_FIX)))
        assert len(file.tracks[0].segments[0].time) == 2
        assert [f.field for f in file.faults] == ["encoding"]

    @pytest.mark.parametrize("codec", ["utf-16-le", "utf-16-be"])
    def test_two_bytes_a_letter_declared_as_one_is_refused_with_the_remedy(
        self, codec: str
    ) -> None:
        head = '\ufeff<?xml version="1.0" encoding="UTF-8"?>'
        text = gpx(track(GOOD_FIX), head=head).decode()
        with pytest.raises(BadFile, match="'UTF-8' that it declares; save it as UTF-8"):
            read(text.encode(codec))
        with pytest.raises(BadFile, match="UTF-32 is not read; save it as UTF-8"):
            read(text.encode("utf-32"))


PARTS = [
    "&",
    "&amp;",
    "&#27;",
    "&#233;",
    "&nb",
    "sp;",
    "é",
    "<![CDATA[",
    "]]>",
    "]",
    "a",
    "<b>",
    "\x01",
]


class TestMending:
    """One careless name before the track does not lose the track."""

    @pytest.mark.parametrize(
        ("written", "name", "what"),
        [
            ("arch & wheel", "arch & wheel", KEPT_AMPERSAND),
            ("arch &wheel;", "arch &wheel;", KEPT_AMPERSAND),
            ("arch&nbsp;2", "arch&nbsp;2", KEPT_AMPERSAND),
            ("arch &lt b", "arch &lt b", KEPT_AMPERSAND),
            ("a &#; b", "a &#; b", KEPT_AMPERSAND),
            ("arch&#x1b;[31m", "arch\ufffd[31m", FORBIDDEN_REFERENCE),
            ("arch&#0;", "arch\ufffd", FORBIDDEN_REFERENCE),
            ("arch&#x000d800;", "arch\ufffd", FORBIDDEN_REFERENCE),
            ("arch&#1114112;", "arch\ufffd", FORBIDDEN_REFERENCE),
            ("arch\x1b[31m", "arch\ufffd[31m", REPLACED),
        ],
    )
    def test_what_stood_there_is_kept_or_replaced_and_said(
        self, written: str, name: str, what: str
    ) -> None:
        named = f'<wpt lat="47" lon="-21">\n<name>{written}</name></wpt>'
        good = '<wpt lat="47" lon="-21"><name>a &amp; b &#233;</name></wpt>'
        file = read(gpx(named, good, track(GOOD_FIX)))
        assert [w.name for w in file.waypoints] == [name, "a & b é"]
        assert len(file.tracks[0].segments[0].time) == 1
        assert [(f.line, f.what, f.action) for f in file.faults] == [(2, what, "repaired")]

    def test_in_a_section_of_plain_text_every_and_is_one(self) -> None:
        file = read(gpx(track(GOOD_FIX, name="<![CDATA[a &amp; b & c]]> & &amp; d")))
        assert file.tracks[0].name == "a &amp; b & c & & d"

    @pytest.mark.parametrize("codec", ["iso-8859-1", "windows-1252", "utf-16"])
    def test_in_the_encoding_that_is_declared(self, codec: str) -> None:
        head = f'<?xml version="1.0" encoding="{codec}"?>'
        text = gpx(track(GOOD_FIX, name="café & bar"), head=head).decode()
        assert read(text.encode(codec)).tracks[0].name == "café & bar"

    def test_with_a_prefix_that_nobody_declared(self) -> None:
        odd = "<extensions><q:a>1</q:a></extensions>"
        file = read(gpx(track(GOOD_FIX, fix(inside=odd), name="a & b"), track(GOOD_FIX)))
        assert [len(t.segments[0].time) for t in file.tracks] == [2, 1]

    @given(st.lists(st.sampled_from(PARTS), max_size=12), st.integers(1, 9))
    def test_it_does_not_matter_where_the_pieces_end(
        self, parts: list[str], piece_bytes: int
    ) -> None:
        content = "".join(parts).encode()
        cut = [content[i : i + piece_bytes] for i in range(0, len(content), piece_bytes)]
        in_pieces, whole = (
            b"".join(mended(iter(pieces), "", lambda line, what: None))
            for pieces in (cut, [content])
        )
        assert in_pieces == whole
