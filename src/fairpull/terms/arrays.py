"""Array types shared by all rooms."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
Number = float | FloatArray  # formulas take scalars and arrays alike
