"""Pictures of few tones, read back by another program's eyes."""

from __future__ import annotations

import io

import hypothesis.strategies as st
import numpy as np
from hypothesis import given
from hypothesis.extra.numpy import arrays
from matplotlib.image import imread

from backbearing.writers.page.png import png, png_uri

TONES = [
    (0, 0, 0, 0),
    (12, 18, 22, 76),
    (12, 18, 22, 140),
    *((i, 2 * i, 255 - i, 200) for i in range(13)),
]


@given(
    st.sampled_from([2, 3, 4, 5, 16]),
    st.data(),
)
def test_what_is_written_is_read_back(count: int, data: st.DataObject) -> None:
    shape = data.draw(st.tuples(st.integers(1, 23), st.integers(1, 23)))
    tones = data.draw(arrays(np.uint8, shape, elements=st.integers(0, count - 1)))
    seen = imread(io.BytesIO(png(tones, TONES[:count])), format="png")
    assert np.array_equal(np.rint(seen * 255), np.array(TONES)[tones])


def test_it_stands_in_a_page_as_data() -> None:
    uri = png_uri(np.zeros((4, 4), dtype=np.uint8), TONES[:2])
    assert uri.startswith("data:image/png;base64,iVBOR")
