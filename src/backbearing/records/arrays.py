"""Names for the arrays the records hold; numpy is loaded for types only."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Times = NDArray[np.datetime64]
