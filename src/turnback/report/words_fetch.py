"""What is said of ground that was fetched."""

from __future__ import annotations

from turnback.readers.terrain_fetch import Fetched
from turnback.report.language import plural, text


def fetched_text(found: Fetched, path: str, lat_deg: float, lon_deg: float) -> str:
    """Return what was fetched, and what a plan writes to use it.

    Parameters
    ----------
    found : Fetched
    path : str
        Where it was written.
    lat_deg, lon_deg : float
        The launch point.
    """
    lines = [
        text("The ground is in {path}: {columns} by {rows} pixels.", path=path, columns=found.columns, rows=found.rows)
    ]
    fresh = found.pieces - found.kept
    if fresh:
        lines.append(
            plural(
                "{count} piece came from {host}, which has learned the place you asked about.",
                "{count} pieces came from {host}, which has learned the place you asked about.",
                fresh, host=found.host,
            )
        )  # fmt: skip
    if found.kept:
        lines.append(
            plural(
                "{count} piece was kept from before: nobody was asked for it.",
                "{count} pieces were kept from before: nobody was asked for them.",
                found.kept,
            )
        )
    if found.missing:
        lines.append(
            plural(
                "{count} tile is not in that service: ground is missing there.",
                "{count} tiles are not in that service: ground is missing there.",
                found.missing,
            )
        )
    lines += [text("Bare ground or with trees and roofs: look at what the service says of its heights."),
              text("In the plan write:"), "", "[site]", f'terrain = "{path}"', f"latitude_deg = {lat_deg:g}",
              f"longitude_deg = {lon_deg:g}"]  # fmt: skip
    return "\n".join(lines) + "\n"
