"""Patches of cells against an independent reference, scipy's own labels of images."""

import numpy as np
import pytest
from scipy.ndimage import label

from backbearing.models.patches import patches


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.6, 0.9, 1.0])
@pytest.mark.parametrize("shape", [(1, 1), (1, 9), (9, 1), (40, 57)])
def test_cells_are_of_one_patch_where_they_hang_together_by_sides(
    share: float, shape: tuple[int, int]
) -> None:
    cells = np.random.default_rng(7).random(shape) < share
    number, count = patches(cells)
    reference, known = label(cells)
    assert count == known
    # each number of the one answers to one number of the other
    pairs = set(zip(number.ravel().tolist(), reference.ravel().tolist(), strict=True))
    assert len(pairs) == count + (not cells.all())
    assert ((number == 0) == ~cells).all()
