"""The budget of one radio link: free space, noise, margin, and the chance that it holds."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import BOLTZMANN_J_PER_K, NOISE_REFERENCE_K
from turnback.base.ranges import within
from turnback.physics.normal import normal_cdf
from turnback.physics.profile import wavelength_m

Array = NDArray[np.float64]

FARTHEST_M = 400_000.0
NEAREST_M = 0.1


def free_space_db(path_m: Any, frequency_mhz: Any) -> Array:
    """Return the basic transmission loss of free space.

    Parameters
    ----------
    path_m : array_like
        Slant distance between the antennas (three dimensions), 0.1 m to 400 km.
    frequency_mhz : array_like
        100 to 50,000 MHz; shapes broadcast.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    20 log10(4 π d / λ), ITU-R P.525, with the exact speed of light.
    """
    path = within("path_m", path_m, NEAREST_M, FARTHEST_M, "m", "enter metres, not km")
    return np.asarray(20.0 * np.log10(4.0 * math.pi * path / wavelength_m(frequency_mhz)))


def noise_dbm(bandwidth_hz: Any, noise_figure_db: Any = 0.0) -> Array:
    """Return the noise floor of a receiver.

    Parameters
    ----------
    bandwidth_hz : array_like
        1 Hz to 1 GHz.
    noise_figure_db : array_like
        0 to 30 dB; 6 to 8 dB is common in small receivers (common practice).

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    k T0 B plus the noise figure, T0 = 290 K, ITU-R P.372.
    """
    bandwidth = within("bandwidth_hz", bandwidth_hz, 1.0, 1e9, "Hz")
    figure = within("noise_figure_db", noise_figure_db, 0.0, 30.0, "dB")
    return np.asarray(10.0 * np.log10(BOLTZMANN_J_PER_K * NOISE_REFERENCE_K * bandwidth * 1000.0) + figure)


def power_sum_dbm(one_dbm: Any, other_dbm: Any) -> Array:
    """Return the level of two independent powers together.

    Parameters
    ----------
    one_dbm, other_dbm : array_like
        -300 to 100 dBm; shapes broadcast.

    Raises
    ------
    InputError
        Outside that range.
    """
    one = within("one_dbm", one_dbm, -300.0, 100.0, "dBm")
    other = within("other_dbm", other_dbm, -300.0, 100.0, "dBm")
    return np.asarray(np.logaddexp(one * math.log(10.0) / 10.0, other * math.log(10.0) / 10.0) * 10.0 / math.log(10.0))


def received_dbm(power_dbm: Any, from_gain_dbi: Any, to_gain_dbi: Any, loss_db: Any) -> Array:
    """Return the level at a receiver.

    Parameters
    ----------
    power_dbm : array_like
        Transmit power, -50 to 60 dBm.
    from_gain_dbi, to_gain_dbi : array_like
        Antenna gains toward each other, -60 to 40 dBi.
    loss_db : array_like
        All losses together, -10 to 500 dB; shapes broadcast.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    The link budget of ITU-R P.341.
    """
    power = within("power_dbm", power_dbm, -50.0, 60.0, "dBm", "enter dBm: 100 mW is 20 dBm")
    start = within("from_gain_dbi", from_gain_dbi, -60.0, 40.0, "dBi")
    end = within("to_gain_dbi", to_gain_dbi, -60.0, 40.0, "dBi")
    loss = within("loss_db", loss_db, -10.0, 500.0, "dB")
    return np.asarray(power + start + end - loss)


def margin_db(received_level_dbm: Any, sensitivity_dbm: Any, noise_level_dbm: Any, required_snr_db: Any) -> Array:
    """Return how far a received level lies above what the receiver needs.

    Parameters
    ----------
    received_level_dbm : array_like
        -500 to 60 dBm.
    sensitivity_dbm : array_like
        Weakest usable level in a quiet place, -160 to 0 dBm.
    noise_level_dbm : array_like
        Noise and interference together (`noise_dbm`, `power_sum_dbm`), -200 to 0 dBm.
    required_snr_db : array_like
        What the modulation needs above noise and interference, -30 to 60 dB; shapes broadcast.

    Returns
    -------
    ndarray
        Positive where the link holds.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    Need is the greater of sensitivity and noise plus the required ratio (our choice: sensitivity is measured in
    quiet, the second term says what interference does to it).
    """
    received = within("received_level_dbm", received_level_dbm, -500.0, 60.0, "dBm")
    sensitivity = within("sensitivity_dbm", sensitivity_dbm, -160.0, 0.0, "dBm", "enter a negative number of dBm")
    noise = within("noise_level_dbm", noise_level_dbm, -200.0, 0.0, "dBm", "enter a negative number of dBm")
    ratio = within("required_snr_db", required_snr_db, -30.0, 60.0, "dB")
    return np.asarray(received - np.maximum(sensitivity, noise + ratio))


def link_probability(margin_level_db: Any, sigma_db: Any) -> Array:
    """Return the chance that a link holds.

    Parameters
    ----------
    margin_level_db : array_like
        -1000 to 1000 dB.
    sigma_db : array_like
        Standard deviation of what is left to chance, 0.01 to 50 dB; shapes broadcast.

    Returns
    -------
    ndarray
        0 to 1, broadcast shape.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    Phi(margin / sigma): log-normal location variability, as in ITU-R P.1546 and P.1812.
    """
    margin = within("margin_level_db", margin_level_db, -1000.0, 1000.0, "dB")
    sigma = within("sigma_db", sigma_db, 0.01, 50.0, "dB")
    score = np.asarray(margin / sigma)
    return normal_cdf(score).reshape(score.shape)
