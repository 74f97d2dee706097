"""No label of the day line lies on another or on a stem, however the moments fall."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.writers.page.dayrows import Row, rows_over, rows_under

WIDE = 700.0
stems = st.floats(0.0, 560.0, allow_nan=False)
widths = st.floats(20.0, 140.0)


def apart(one: Row, other: Row) -> bool:
    return one.row != other.row or one.right <= other.left or other.right <= one.left


@settings(max_examples=60)
@given(st.lists(st.tuples(stems, widths), max_size=14))
def test_labels_over_the_line_keep_apart_and_off_stems(
    labels: list[tuple[float, float]],
) -> None:
    rows = rows_over(sorted(labels), WIDE)
    assert all(apart(*pair) for pair in combinations(rows, 2))
    for label in rows:
        for other in rows:
            rises_past = other.row > label.row
            assert not (rises_past and label.left < other.stem < label.right)
    assert all(row.right <= WIDE for row in rows)


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.floats(150.0, WIDE), widths), max_size=6),
    st.lists(st.tuples(stems, st.floats(0.0, 100.0), st.floats(20.0, 40.0)), max_size=8),
)
def test_labels_under_the_line_keep_apart_and_off_stems(
    hooks: list[tuple[float, float]], bars: list[tuple[float, float, float]]
) -> None:
    laid = [(start, start + long, wide) for start, long, wide in bars]
    rows = rows_under(sorted(hooks), laid, WIDE)
    assert all(apart(*pair) for pair in combinations(rows, 2))
    hung, lain = rows[: len(hooks)], rows[len(hooks) :]
    texts = [(row.left, row.right, row.row) for row in hung]
    texts += [(bar[1], row.right, row.row) for bar, row in zip(laid, lain, strict=True)]
    for left, right, level in texts:
        for hook in hung:
            assert not (hook.row > level and left < hook.stem < right)
