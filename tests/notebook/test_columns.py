"""Column values: exact where we wrote them, missing rather than guessed where we did not."""

from __future__ import annotations

from dataclasses import fields
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.notebook import samples

from backbearing.notebook import columns
from backbearing.records import WantedLight


def test_an_instant_is_utc_text_with_milliseconds() -> None:
    """The form OGC 12-128 gives for DATETIME (table of data types)."""
    azores = timezone(timedelta(hours=-1))
    instant = datetime(2024, 5, 1, 9, 0, 0, 7000, tzinfo=azores)
    assert columns.instant_text(instant) == "2024-05-01T10:00:00.007Z"
    with pytest.raises(ValueError, match="attach one"):
        columns.instant_text(datetime(2024, 5, 1))  # noqa: DTZ001


@pytest.mark.parametrize(
    "text",
    [
        "2024-05-01T10:00:00.000Z",
        "2024-05-01T10:00:00Z",
        "2024-05-01 10:00:00",
        "2024/05/01 10:00:00",
        "2024-05-01T12:00:00+02:00",
    ],
)
def test_an_instant_is_read_as_other_programs_write_it(text: str) -> None:
    assert columns.read_instant(text) == datetime(2024, 5, 1, 10, tzinfo=UTC)


@given(st.none() | st.text() | st.integers() | st.floats() | st.binary())
def test_any_value_is_read_or_missing(value: object) -> None:
    columns.read_instant(value)
    columns.read_float(value)
    columns.read_int(value)
    columns.read_text(value)
    columns.read_wanted(value)
    columns.read_bearing_text(value)
    columns.read_sightings(value)
    columns.read_observed(value)
    columns.read_faults(value)
    columns.read_route_points(value, [(0.0, 1.0, None)])


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=5,
)


@given(st.dictionaries(st.sampled_from([f.name for f in fields(WantedLight)]), json_values))
def test_a_wanted_light_with_any_value_in_it_is_read_whole_or_not_at_all(
    values: dict[str, object],
) -> None:
    import json

    wanted = columns.read_wanted(json.dumps(values))
    if wanted is not None:
        assert columns.read_wanted(columns.wanted_text(wanted)) == wanted


@given(samples.wanted_lights)
def test_a_wanted_light_comes_back(wanted: WantedLight) -> None:
    assert columns.read_wanted(columns.wanted_text(wanted)) == wanted


@pytest.mark.parametrize(
    "text", ['{"months": [13]}', '{"side": "above"}', '{"earliest": "noon"}', "[]", "{", "[" * 9999]
)
def test_a_wanted_light_that_makes_no_sense_is_none(text: str) -> None:
    assert columns.read_wanted(text) is None
