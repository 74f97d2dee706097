"""Lines are cut up for speed; what is drawn stays the same."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st
from tests.writers.return_pages import quarry_page, walk

from backbearing.writers.page.lines import draw_ways, path_data, ways_of
from backbearing.writers.page.plane import Sheet

spots = st.lists(
    st.tuples(st.floats(46.9, 47.1), st.floats(-21.2, -20.8)), min_size=1, max_size=200
)


def _strokes(path: str) -> int:
    return path.count("L")


@given(spots, st.floats(0.5, 200.0))
def test_cutting_a_line_up_drops_no_stroke_on_the_paper(
    line: list[tuple[float, float]], metres_a_unit: float
) -> None:
    sheet = Sheet(centre=(47.0, -21.0), width=360, height=300, metres_a_unit=metres_a_unit)
    page = replace(quarry_page(), tracks=(replace(walk(1, "w"), lines=(tuple(line),)),), routes=())
    svg = ElementTree.Element("svg")
    draw_ways(svg, ways_of(page), sheet)
    drawn = "".join(str(path.get("d")) for path in svg if path.get("class") == "walked")
    assert _strokes(drawn) == _strokes(path_data(line, sheet))


def test_what_passes_outside_the_paper_is_left_out() -> None:
    sheet = Sheet(centre=(47.0, -21.0), width=100, height=100, metres_a_unit=1.0)
    out_and_back = [(47.0, -21.0), (47.1, -21.0), (47.1, -20.9), (47.0, -21.0)]
    assert re.sub(r"[-\d. ]+", "", path_data(out_and_back, sheet)) == "MLML"
    assert path_data([(48.0, -21.0)], sheet) == ""
    assert path_data([(47.0, -21.0)], sheet) == "M50 50L50 50", "a lone fix is a dot"
