"""Tables of readings, as people and spreadsheets write them, and as nobody should."""

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.errors import BackbearingError, BadFile
from backbearing.readers.readings import MOST_BYTES, MOST_READINGS, read_readings


def pairs(text: str) -> list[tuple[str, str, str]]:
    return [(each.azimuth, each.angle, each.note) for each in read_readings(text.encode())]


def test_a_head_may_be_there_or_not_and_speaks_for_bare_figures() -> None:
    assert pairs("215M,12.5,crest\n220T,14\n") == [("215M", "12.5", "crest"), ("220T", "14", "")]
    head = "azimuth (magnetic),angle,note\n215,12.5,\n220T,14,oak\n"
    assert pairs(head) == [("215M", "12.5", ""), ("220T", "14", "oak")]
    assert pairs("Bearing true;angle\n215;12\n") == [("215T", "12", "")]
    assert pairs("azimuth,angle\n215,12\n") == [("215", "12", "")]


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_fields_are_parted_by_what_the_spreadsheet_uses(mark: str) -> None:
    assert pairs(mark.join(("215M", "12", "old wall"))) == [("215M", "12", "old wall")]


def test_blank_lines_remarks_and_a_byte_order_mark_are_passed() -> None:
    assert pairs("\ufeff# taken 3 May\n\n  \n215M,12\n") == [("215M", "12", "")]


def test_a_quoted_note_keeps_its_comma() -> None:
    assert pairs('215M,12,"heap, north end"') == [("215M", "12", "heap, north end")]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no readings"),
        (b"azimuth,angle\n", "no readings"),
        (b"215M\n", "line 1"),
        (b"215M,12\n220M,\n", "line 2"),
        (b"215M,12,a,b,c\n", "line 1"),
        (b"\x00\x01\x02", "no text"),
        (b"1" * (MOST_BYTES + 1), "1 MB"),
        (b"10T,5\n" * (MOST_READINGS + 1), str(MOST_READINGS)),
        ("215M\u202e\n".encode(), "line 1"),
    ],
)
def test_what_is_no_table_of_readings_is_refused(content: bytes, said: str) -> None:
    with pytest.raises(BadFile, match=said) as refused:
        read_readings(content, path="r.csv")
    assert "\u202e" not in str(refused.value)


@settings(max_examples=150, derandomize=True, deadline=None)
@given(st.binary(max_size=300))
def test_no_bytes_bring_more_than_a_sentence(content: bytes) -> None:
    with suppress(BackbearingError):
        assert all(each.azimuth and each.angle for each in read_readings(content))
