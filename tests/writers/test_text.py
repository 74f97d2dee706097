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
    shown = clean(text).replace("\u200c", "").replace("\u200d", "")  # joiners only join
    assert not any(unicodedata.category(ch) in ("Cc", "Cf", "Zl", "Zp") for ch in shown)


def test_joiners_that_some_scripts_need_are_kept_and_take_no_room() -> None:
    name = "\u062e\u0627\u0646\u0647\u200c\u0647\u0627"
    assert clean(name) == name
    assert table(["name", "m"], [[name, "8"]]).endswith(f"{name}  8")


def test_one_cell_without_end_does_not_push_the_others_apart() -> None:
    lines = table(["name", "m"], [["arch", "8"], ["x" * 10_000, "120"]]).split("\n")
    assert lines[2] == "x" * 199 + "…  120"


@given(st.lists(st.tuples(st.text(), st.text()), max_size=5))
def test_a_row_is_a_line(rows: list[tuple[str, str]]) -> None:
    assert len(table(["a", "b"], rows).split("\n")) == len(rows) + 1
