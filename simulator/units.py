"""Unit conversions and array types that every layer shares."""

from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

FloatArray: TypeAlias = npt.NDArray[np.float64]
BoolArray: TypeAlias = npt.NDArray[np.bool_]
IntArray: TypeAlias = npt.NDArray[np.int64]
Floats: TypeAlias = float | FloatArray | IntArray
"""What the equations take: one number or an array of them, candidate first."""

SQUARE_FEET_PER_ACRE: Final = 43560.0
FEET_PER_METRE: Final = 1.0 / 0.3048
"""The international foot, the one that surveys of today use."""
CENTIMETRES_PER_INCH: Final = 2.54
POUNDS_PER_TON: Final = 2000.0
FT2_AC_PER_M2_HA: Final = 4.356
BASAL_AREA_FT2_PER_IN2: Final = 0.005454154
"""Basal area of a tree [ft2] = this * dbh [in] squared: pi / (4 * 144)."""
