"""The running median of a thinned channel."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel


def running_median(values: NDArray[np.float64], width: int) -> NDArray[np.float64]:
    """Return the centred median of an odd number of samples, mirrored at the ends.

    Parameters
    ----------
    values : ndarray, shape (n,)
        None is NaN.
    width : int
        Cut to twice what there is; an even one counts as the next odd one.

    Returns
    -------
    ndarray, shape (n,)
    """
    if width < 2 or values.size < 2:
        return values
    half = min(width // 2, values.size - 1)
    padded = np.pad(np.asarray(values, np.float64), half, mode="reflect")
    return _medians(padded, np.sort(padded[: 2 * half + 1]), half, np.empty(values.size))


@kernel
def _medians(
    padded: NDArray[np.float64], window: NDArray[np.float64], half: int, out: NDArray[np.float64]
) -> NDArray[np.float64]:
    out[0] = window[half]
    for row in range(1, out.size):
        leaves, enters = padded[row - 1], padded[row + 2 * half]
        at = np.searchsorted(window, leaves)
        # the sorted window slides over the place that fell free, up or down, until the new value fits
        while at < 2 * half and window[at + 1] < enters:
            window[at] = window[at + 1]
            at += 1
        while at > 0 and window[at - 1] > enters:
            window[at] = window[at - 1]
            at -= 1
        window[at] = enters
        out[row] = window[half]
    return out
