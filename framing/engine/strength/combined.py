"""Bending with shear (H2) and with web crippling (H3) as ratios: over 1 fails.

Plain operators, so floats or NumPy arrays (floats in, a float out: the narrower overload wins).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, overload

from framing.engine.method import Method
from framing.engine.strength.factors import BENDING_WITH_CRIPPLING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]


@overload
def bending_shear_ratio(  # type: ignore[overload-overlap]
    moment: float, shear: float, moment_strength: float, shear_strength: float
) -> float: ...
@overload
def bending_shear_ratio(
    moment: Numbers, shear: Numbers, moment_strength: Numbers, shear_strength: Numbers
) -> NDArray[np.float64]: ...
def bending_shear_ratio(moment: Any, shear: Any, moment_strength: Any, shear_strength: Any) -> Any:
    """Bending and shear at one place, web without shear stiffeners.

    Args:
        moment, shear: required, signs do not matter; any unit, the same as the strength's.
        moment_strength: available local strength at yield (F3); shear_strength: available (G2).
    Source: AISI S100-16 H2, the same form in ASD, LRFD and LSD.
    """
    return ((moment / moment_strength) ** 2 + (shear / shear_strength) ** 2) ** 0.5


@overload
def bending_crippling_ratio(  # type: ignore[overload-overlap]
    moment: float, force: float, nominal_moment: float, nominal_crippling: float, method: Method
) -> float: ...
@overload
def bending_crippling_ratio(
    moment: Numbers, force: Numbers, nominal_moment: Numbers, nominal_crippling: Numbers, method: Method
) -> NDArray[np.float64]: ...
def bending_crippling_ratio(
    moment: Any, force: Any, nominal_moment: Any, nominal_crippling: Any, method: Method
) -> Any:
    """Bending and a concentrated force at one place of a single unreinforced web.

    Args:
        moment, force: required, not negative; nominal_moment: F3 at yield; nominal_crippling: G5; without factors.
    Source: AISI S100-16 H3: 0.91 P/Pn + M/Mnlo <= 1.33 / Omega (ASD) or 1.33 phi. Not needed at a bearing stiffener.
    """
    limit = 1.33 * BENDING_WITH_CRIPPLING.share(method)
    return (0.91 * force / nominal_crippling + moment / nominal_moment) / limit
