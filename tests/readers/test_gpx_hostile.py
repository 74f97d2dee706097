"""Files made to do harm, or that are no GPX: one sentence, in bounded time and memory."""

from __future__ import annotations

import gzip
import io
import os
import time
import tracemalloc
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.readers.gpx_text import GOOD_FIX, fix, gpx, track

from backbearing.errors import BadFile
from backbearing.readers import gunzip
from backbearing.readers.gpx import MOST_PARTS, read_gpx
from backbearing.records import GpxFile


def refusal(content: bytes) -> str:
    with pytest.raises(BadFile) as caught:
        read_gpx("harm.gpx", content=content)
    sentence = str(caught.value)
    assert sentence.startswith("harm.gpx")
    assert sentence.isprintable()
    assert len(sentence) < 300
    return sentence


def zipped(content: bytes) -> bytes:
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as file:
        file.writestr("walk.gpx", content)
    return archive.getvalue()


LAUGHS = (
    b'<!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaaaaaaaa">'
    + b"".join(b'<!ENTITY a%d "%s">' % (i, b"&a%d;" % (i - 1) * 16) for i in range(1, 9))
    + b"]>"
)
LAUGHS = LAUGHS.replace(b"&a0;", b"&a;")


class TestRefused:
    @pytest.mark.parametrize(
        "doctype",
        [
            LAUGHS,
            b'<!DOCTYPE gpx SYSTEM "file:///etc/hostname">',
            b'<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]>',
            b'<!DOCTYPE gpx [<!ENTITY % p SYSTEM "http://127.0.0.1:9/p">%p;]>',
            b"<!DOCTYPE gpx>",
        ],
        ids=["laughs", "external subset", "external entity", "parameter entity", "plain"],
    )
    def test_any_document_type_where_it_stands(self, doctype: bytes) -> None:
        begun = time.perf_counter()
        sentence = refusal(
            b"<?xml version='1.0'?>\n\n" + doctype + gpx(track(GOOD_FIX, name="&a8;"))
        )
        assert sentence.startswith("harm.gpx, line 3: declares a document type")
        assert time.perf_counter() - begun < 2.0

    def test_deep_nesting(self) -> None:
        assert "deeper than 100" in refusal(gpx("<extensions>" + "<a>" * 200_000))

    @pytest.mark.parametrize("field", ["ele", "time"])
    def test_deep_nesting_inside_a_fix(self, field: str) -> None:
        """Each open tag costs expat memory: 60 MB of them took 1.5 GB."""
        nested = "<ele>" * 200_000 + "</ele>" * 200_000
        sentence = refusal(gpx(track(GOOD_FIX, "\n", fix(inside=f"<{field}>{nested}</{field}>"))))
        assert sentence == "harm.gpx, line 2: nests elements deeper than 100"

    def test_a_point_inside_a_height_is_none(self) -> None:
        file = read_gpx("odd.gpx", content=gpx(track(fix(inside=f"<ele>12{GOOD_FIX}.5</ele>"))))
        (segment,) = file.tracks[0].segments
        assert segment.height_m.tolist() == [12.5]
        assert [(f.field, f.what) for f in file.faults] == [
            ("trkpt", "stands where no point may stand")
        ]

    @pytest.mark.parametrize(
        "long",
        [b'<wpt lat="' + b"1" * 3_000_000 + b'"/>', b"<!--" + b"x" * 3_000_000,
         b"<" + b"a" * 3_000_000],
        ids=["attribute", "comment", "name"],
    )  # fmt: skip
    def test_a_tag_of_megabytes(self, long: bytes) -> None:
        sentence = refusal(gpx("\n" + track(GOOD_FIX)).removesuffix(b"</gpx>") + b"\n" + long)
        assert "longer than 1 MB" in sentence

    def test_more_parts_than_anybody_has(self) -> None:
        sentence = refusal(gpx('<wpt lat="1" lon="2"/>' * (MOST_PARTS + 1)))
        assert f"more than {MOST_PARTS:,}" in sentence

    def test_more_fixes_than_anybody_walks(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("backbearing.readers.gpx.MOST_FIXES", 50)
        assert "more than 50 fixes" in refusal(gpx(track(*[fix()] * 30), track(*[fix()] * 21)))

    @pytest.mark.parametrize(
        ("content", "says"),
        [
            (b"", "is empty"),
            (b"<!DOCTYPE html>\n<html><body>sign in</body></html>", "is a web page"),
            (b"<html><head>", "is a web page"),
            (b"<kml xmlns='urn:k'/>", "outermost element is 'kml'"),
            (b"14:32 seen arch", "is not GPX"),
            (b"\x00\x01\x02\x03" * 100, "is not GPX"),
            (b"\xff\xfe\x00\x00\x00", "UTF-32 is not read; save it as UTF-8"),
            (b"<gpx", "is not GPX"),
            (zipped(gpx(track(GOOD_FIX))), "is a zip archive"),
            (b"\x1f\x8b\x08nothing of the kind", "gzip cannot be unpacked"),
            (gzip.compress(b"", mtime=0), "is empty"),
        ],
    )
    def test_what_is_no_gpx(self, content: bytes, says: str) -> None:
        assert says in refusal(content)

    def test_nan_and_out_of_range_throughout(self) -> None:
        assert "no usable point" in refusal(gpx(track(*(fix("NaN", "NaN") for _ in range(500)))))
        assert "no usable point" in refusal(gpx(track(*(fix(91, 181) for _ in range(500)))))


class TestGzip:
    @pytest.mark.parametrize("filling", [b" ", b"\0"])
    def test_a_bomb_is_stopped_by_its_ratio(self, filling: bytes) -> None:
        head, tail = gpx(track("!")).split(b"!")
        bomb = gzip.compress(head + filling * 200_000_000 + tail)
        tracemalloc.start()
        begun = time.perf_counter()
        assert "swells" in refusal(bomb)
        assert time.perf_counter() - begun < 5.0  # 0.2 s here
        assert tracemalloc.get_traced_memory()[1] < 20_000_000
        tracemalloc.stop()

    def test_a_receiver_left_on_a_table_is_no_bomb(self) -> None:
        still = gpx(track(*[GOOD_FIX] * 190_000))  # 17 MB, of which gzip leaves a 300th
        assert len(still) > gunzip.RATIO_FROM_BYTES
        (segment,) = read_gpx("table.gpx.gz", content=gzip.compress(still)).tracks[0].segments
        assert len(segment.time) == 190_000

    def test_the_size_unzipped_is_capped(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(gunzip, "MOST_BYTES", 100_000)
        assert "larger than" in refusal(gzip.compress(os.urandom(200_000)))
        assert "larger than" in refusal(b" " * 200_000)

    def test_a_file_on_disk_is_capped_too(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(gunzip, "MOST_BYTES", 100_000)
        path = tmp_path / "long.gpx"
        path.write_bytes(gpx(track(*[GOOD_FIX] * 2000)))
        with pytest.raises(BadFile, match="larger than"):
            read_gpx(path)

    @pytest.mark.parametrize(
        ("after", "what"),
        [
            (b"anything", ["something that is no gzip stands after its end"]),
            (b"\0" * 512, []),
            (gzip.compress(b"<!-- and on -->", mtime=0), []),
            (gzip.compress(b" " * 9999, mtime=0)[:20], ["breaks off before its end"]),
        ],
        ids=["garbage", "zeros", "another member", "half a member"],
    )
    @pytest.mark.parametrize("piece_bytes", [gunzip.PIECE_BYTES, 7])
    def test_what_stands_after_its_end(
        self, after: bytes, what: list[str], piece_bytes: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(gunzip, "PIECE_BYTES", piece_bytes)
        whole = gzip.compress(gpx(track(GOOD_FIX)), mtime=0)
        file = read_gpx("walk.gpx.gz", content=whole + after)
        assert [f.what for f in file.faults if f.field == "gzip"] == what

    def test_a_wrong_check_sum_is_a_fault(self) -> None:
        whole = bytearray(gzip.compress(gpx(track(*[fix(47 + i / 1e6) for i in range(9000)]))))
        whole[-6] ^= 0xFF
        file = read_gpx("walk.gpx.gz", content=bytes(whole))
        assert "gzip" in {f.field for f in file.faults}
        assert file.truncated_at_line is not None

    def test_gzip_in_gzip_is_not_unpacked_twice(self) -> None:
        assert "is not GPX" in refusal(gzip.compress(gzip.compress(gpx(track(GOOD_FIX)))))


class TestPaths:
    def test_a_folder(self, tmp_path: Path) -> None:
        with pytest.raises(BadFile, match="is a folder"):
            read_gpx(tmp_path)

    def test_nothing_there(self, tmp_path: Path) -> None:
        with pytest.raises(BadFile, match="no such file"):
            read_gpx(tmp_path / "gone.gpx")

    @pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
    def test_a_pipe_is_not_waited_for(self, tmp_path: Path) -> None:
        os.mkfifo(tmp_path / "pipe.gpx")
        with pytest.raises(BadFile, match="not a plain file"):
            read_gpx(tmp_path / "pipe.gpx")

    def test_a_name_no_file_can_have(self) -> None:
        with pytest.raises(BadFile):
            read_gpx("a\0b.gpx")


# pieces that make up GPX, so that Hypothesis gets past the first tag
PIECES = st.sampled_from(
    [b"<trk>", b"</trk>", b"<trkseg>", b"</trkseg>", b"<rte>", b"</rte>", b"<name>", b"</name>",
     b'<trkpt lat="1" lon="2">', b"</trkpt>", b'<wpt lat="1" lon="2"/>', b'<rtept lat="9" lon="x">',
     b"</rtept>", b"<ele>", b"</ele>", b"<time>", b"</time>", b"1", b"2026-03-14T14:32:00Z", b"nan",
     b"<extensions>", b"</extensions>", b"<![CDATA[", b"]]>", b"&amp;", b"&#0;", b"\xe9", b"\0",
     b"<!--", b"-->", b"<?x", b"?>", b"</gpx>", b"\n", b"<x:y>", b'<a xmlns="urn:a">', b"</a>"]
)  # fmt: skip


class TestAnyBytes:
    @given(st.binary(max_size=300))
    def test_give_a_file_or_a_sentence(self, content: bytes) -> None:
        self.outcome(content)

    @given(st.lists(PIECES, max_size=40))
    def test_also_where_they_look_like_gpx(self, inside: list[bytes]) -> None:
        self.outcome(gpx("<trk><trkseg>" + fix()).removesuffix(b"</gpx>") + b"".join(inside))
        self.outcome(gpx().removesuffix(b"</gpx>") + b"".join(inside))

    @given(st.binary(max_size=60), st.integers(0, 400))
    def test_also_inside_a_good_file(self, wedge: bytes, at: int) -> None:
        whole = gpx(track(GOOD_FIX, GOOD_FIX), '<wpt lat="1" lon="2"><name>arch</name></wpt>')
        self.outcome(whole[:at] + wedge + whole[at:])
        packed = gzip.compress(whole)
        self.outcome(packed[:at] + wedge + packed[at:])

    @staticmethod
    def outcome(content: bytes) -> None:
        try:
            file = read_gpx("any.gpx", content=content)
        except BadFile:
            return
        assert isinstance(file, GpxFile)
        for walk in file.tracks:
            for segment in walk.segments:
                assert (abs(segment.latitude_deg) <= 90).all()
                assert (abs(segment.longitude_deg) <= 180).all()
