"""The chance that it comes home, given each draw of what is not known."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.rules.flight import RETURN_SUCCESS

Array = NDArray[np.float64]


def home_chance(energy: Array, links: list[Array], *, return_works: bool) -> Array:
    """Return the chance of coming home, shape ``(j,)``.

    The pack must last; a link that breaks costs the aircraft unless the automatic return brings it back. Given the
    unknowns the links' shadowing is independent (they are on different frequencies), so the chances multiply.

    Parameters
    ----------
    energy : ndarray, shape (j,)
        Chance of landing above the land-by volts.
    links : list of ndarray, shape (j,)
        Chance that each link holds over the route and return.
    return_works : bool
        Whether an automatic return is set, was tested on this build, clears the ground and beats the wind.
    """
    rescue = RETURN_SUCCESS.value if return_works else 0.0
    home = np.array(energy, dtype=np.float64)
    for holds in links:
        home *= holds + (1.0 - holds) * rescue
    return home
