"""Work out how every way of putting an aircraft together flies, and keep it beside the module that reads it.

Run it after a change of ``assess/assembly_flown.py``, ``physics/allocation.py`` or the margins in ``rules/bench.py``; a
test says when. The file has no date in it: the same table is the same bytes.
"""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import numpy as np

from turnback.assess import assembly_table

MOMENT = (1980, 1, 1, 0, 0, 0)


def main() -> None:
    """Write the table."""
    made = assembly_table.made()
    pairs, _ = assembly_table.margins()
    target = Path(assembly_table.__file__).with_name(assembly_table.KEPT)
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, array in (("pairs", pairs), ("row", made.row), ("flown", made.flown)):
            buffer = io.BytesIO()
            np.save(buffer, array)
            archive.writestr(zipfile.ZipInfo(f"{name}.npy", MOMENT), buffer.getvalue(), zipfile.ZIP_DEFLATED)
    print(f"{target.name}: {len(made.flown)} different rows, {target.stat().st_size} bytes")


if __name__ == "__main__":
    main()
