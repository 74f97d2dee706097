"""Names written from the right stand apart in sentences of ours, whatever is in them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from backbearing.writers.apart import apart, apart_or_name, names_apart

HOUSE = "בית הגלגלת 3"
LINE = "קו A ישן"
MARKED = "\u2068{}\u2069"


def test_a_name_is_kept_whole_where_it_is_known() -> None:
    with names_apart([HOUSE, LINE, "arch"]):
        assert apart(f"{HOUSE}: 08:50–09:10") == f"{MARKED.format(HOUSE)}: 08:50–09:10"
        assert apart(f"{LINE}, 12 min") == f"{MARKED.format(LINE)}, 12 min"
        assert apart("arch: 08:50") == "arch: 08:50"


def test_words_of_an_unknown_name_stand_apart_and_no_figure_is_among_them() -> None:
    assert apart("المرسى 08:50, القوس 09:10") == (
        f"{MARKED.format('المرسى')} 08:50, {MARKED.format('القوس')} 09:10"
    )
    assert apart("عجلة المضخة ± 41 m") == f"{MARKED.format('عجلة المضخة')} ± 41 m"


def test_a_name_alone_is_handed_on_as_it_is_on_record() -> None:
    with names_apart([HOUSE]):
        assert apart_or_name(HOUSE) == HOUSE
        assert apart_or_name(f"{HOUSE}, seen") == f"{MARKED.format(HOUSE)}, seen"
    assert apart_or_name(HOUSE) != HOUSE, "known within the block only"


@given(st.text(alphabet="aב1:–, \u2066\u2067\u2068\u2069\u202e\u200f(", max_size=30))
def test_marks_are_ours_alone_in_pairs_and_hold_no_figure(text: str) -> None:
    marked = apart(text)
    depth = 0
    for sign in marked:
        depth += {"\u2068": 1, "\u2069": -1}.get(sign, 0)
        assert depth in (0, 1)
        assert not (depth and sign.isdigit())
    assert depth == 0
    assert marked.replace("\u2068", "").replace("\u2069", "") == "".join(
        "�" if sign in "\u2066\u2067\u2068\u2069\u202e\u200f" else sign for sign in text
    )
