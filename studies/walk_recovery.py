"""How well a fitted range walk finds a truth that is known: the figures of docs/models/range-walk.md.

Walks are made by ``tests/assess/walk_truth.py``, which shares no code with the fit. Run
``python -m studies.walk_recovery``; it takes a few minutes and prints the tables.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Final

import numpy as np
from tests.assess.walk_truth import Made, Truth, dropping, least_squares, recover, rms, share_of

RUNS: Final = 500
WITHIN_DB: Final = 1.5
ROWS: Final[tuple[tuple[str, Truth, Callable[[Made], tuple[np.ndarray, np.ndarray]], int], ...]] = (
    ("independent, 5.5 dB", Truth(sigma_db=5.5), least_squares, RUNS),
    ("over 25 m, 6 dB", Truth(correlation_m=25.0), least_squares, RUNS),
    ("over 8 m, 6 dB", Truth(correlation_m=8.0), least_squares, 200),
    ("over 70 m, 6 dB", Truth(correlation_m=70.0), least_squares, 200),
    ("over 25 m, 400 readings", Truth(correlation_m=25.0, readings=400), least_squares, 200),
    ("12 % wrong by 25 dB, 4 dB", Truth(sigma_db=4.0, wrong_share=0.12), least_squares, 200),
    ("30 % at the floor, 6 dB", Truth(censored_share=0.3), dropping, 200),
)


def said(held: np.ndarray) -> str:
    """Return a share with its interval, in per cent."""
    return "{:.1f} ({:.1f} to {:.1f})".format(*(100.0 * value for value in share_of(held)))


def main() -> None:
    """Print one block a kind of walk."""
    for name, truth, peer, runs in ROWS:
        found = recover(truth, runs, 31, peer)
        lines = [f"{name}; n = {runs}"]
        for which, what in enumerate(("offset", "exponent")):
            lines += [
                f"  {what}: error, root mean square: fit {rms(found.error[:, which]):.2f}, regression "
                f"{rms(found.peer_error[:, which]):.2f}, uncorrected {rms(found.bare_error[:, which]):.2f}; mean: fit "
                f"{np.mean(found.error[:, which]):+.2f}, regression {np.mean(found.peer_error[:, which]):+.2f}",
                f"  {what}: 90 % band holds, in per cent of runs: fit {said(found.held[:, which])}, regression "
                f"{said(found.peer_held[:, which])}",
            ]
        errors = (found.error, found.peer_error, found.bare_error)
        near = ", ".join(said(np.abs(error[:, 0]) <= WITHIN_DB) for error in errors)
        lines.append(f"  offset within {WITHIN_DB} dB, in per cent of runs: fit, regression, uncorrected: {near}")
        worth = np.median([[fit.effective, fit.correlation_m] for fit in found.fits], axis=0)
        lines.append(f"  worth {worth[0]:.0f} independent readings; repeats over {worth[1]:.0f} m (medians)")
        sys.stdout.write("\n".join(lines) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
