"""Tables line up, and nothing from a file can move the cursor or turn the text round."""

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from backbearing.writers.text import clean, table


def test_columns_are_as_wide_as_their_widest_cell() -> None:
    assert table(["name", "m"], [["arch", "8"], ["winding house", "120"]], right=[1]) == (
        "name             m\narch             8\nwinding house  120"
    )


@given(st.text())
def test_no_control_or_direction_character_survives(text: str) -> None:
    assert not any(unicodedata.category(ch) in ("Cc", "Cf", "Zl", "Zp") for ch in clean(text))


@given(st.lists(st.tuples(st.text(), st.text()), max_size=5))
def test_a_row_is_a_line(rows: list[tuple[str, str]]) -> None:
    assert len(table(["a", "b"], rows).split("\n")) == len(rows) + 1
