"""Fetch what one test needs and no current package carries: measured discharges of a pouch cell.

They are in the wheel of pybamm 24.1 and in no later one. pip brings exactly that file from whatever registry it is set
up for; it is held against the digest below before anything is read, and nothing in it is installed or run. The
discharges are left in ``.oracle/``, which git ignores. Run again, it finds them there and does nothing.

The measurements: Rieger and others, J. Electrochem. Soc. 163(8), 2016, A1566; Ai and others, J. Electrochem. Soc.
167(1), 2020, 013512 (open access). A 2.28 Ah LiCoO2 pouch cell, 1 Hz.
"""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
import tempfile
import zipfile
from enum import Enum
from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).resolve().parent.parent / ".oracle"
WHEEL: Final = "pybamm==24.1"
WHEEL_SHA256: Final = "88a68dd796ec8a93884c6002f5ab720c9314ca0793bbe69eb661dd9b0d1c9043"
# The same file on every machine, whatever its Python: only data is taken from it.
PLATFORM: Final = (
    "--only-binary", ":all:", "--platform", "manylinux_2_17_x86_64", "--python-version", "3.11",
    "--implementation", "cp", "--abi", "cp311",
)  # fmt: skip
MEMBER: Final = re.compile(r"pybamm/input/discharge_data/[^/]+/([0-9.]+C)_discharge_([UT])\.txt")
MOST_BYTES: Final = 2_000_000
LONGEST_S: Final = 600


class Kept(Enum):
    """What is kept of a discharge, by the letter of its file."""

    VOLTS = "U"
    WARMTH = "T"


DISCHARGES: Final = {
    ("0.5C", Kept.VOLTS): "9ed8368b2c6149d2a69218e7df6aaade2511c9f7f6fc7932cda153d9a3a10f39",
    ("1C", Kept.VOLTS): "8fc19de45172215d65c56522c224e6fc700ee443db236b814238a829b7a14c3a",
    ("2C", Kept.VOLTS): "7b3c24b5e6df377075002abc2f62bab7c88b27d826812ba5a4c8385a1a12e723",
    ("0.5C", Kept.WARMTH): "2140b2f6bd698135d09a25b1f04c271d35a3a02999ace118b10389e01defa2ae",
    ("1C", Kept.WARMTH): "97308dfd7f7dd6c434e30f6c00fb6707c43c963855bb0800e0336809d5cc3756",
    ("2C", Kept.WARMTH): "4bd688fb7653539701fe3df61857474b4d54e8b142c84fdc4c8b92b9573fa5d0",
}


def path_of(rate: str, kept: Kept) -> Path:
    """Return where a discharge, such as ``"0.5C"``, is kept: two columns, seconds and volts or kelvin above the air."""
    return FOLDER / f"pouch_cell_{rate}_{kept.name.lower()}.txt"


def sha256_of(path: Path) -> str:
    """Return a file's digest."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def complete() -> bool:
    """True where every discharge is in the folder, byte for byte."""
    return all(path_of(*which).is_file() and sha256_of(path_of(*which)) == said for which, said in DISCHARGES.items())


def fetch(target: Path, wheel: str = WHEEL, sha256: str = WHEEL_SHA256) -> Path:
    """Return a wheel, brought by pip into a folder."""
    command = [
        sys.executable, "-m", "pip", "download", "--quiet", "--quiet", "--disable-pip-version-check", "--no-input",
        "--no-deps", *PLATFORM, "--dest", str(target), wheel,
    ]  # fmt: skip
    done = subprocess.run(command, check=False, capture_output=True, text=True, timeout=LONGEST_S)
    found = sorted(target.glob("*.whl"))
    if done.returncode != 0 or len(found) != 1:
        raise SystemExit(
            f"{wheel} could not be fetched; let pip reach a package registry and run `make test` again.\n{done.stderr}"
        )
    return verified(found[0], sha256)


def verified(wheel: Path, sha256: str = WHEEL_SHA256) -> Path:
    """Return the wheel if it is, byte for byte, the one whose digest was written down."""
    if sha256_of(wheel) != sha256:
        raise SystemExit(f"the registry's {wheel.name} is not the file expected (sha256 differs); nothing was read.")
    return wheel


def unpack(wheel: Path) -> None:
    """Write every discharge of a wheel into the folder."""
    FOLDER.mkdir(exist_ok=True)
    with zipfile.ZipFile(wheel) as archive:
        for entry in archive.infolist():
            named = MEMBER.fullmatch(entry.filename)
            which = (named[1], Kept(named[2])) if named is not None else None
            if which not in DISCHARGES or entry.file_size > MOST_BYTES:
                continue
            half = path_of(*which).with_suffix(f".{os.getpid()}")  # two test runs at once do not meet
            half.write_bytes(archive.read(entry))
            half.replace(path_of(*which))


def ensure() -> Path:
    """Return the folder with every discharge in it, fetched if they are not there yet."""
    if not complete():
        with tempfile.TemporaryDirectory() as place:
            unpack(fetch(Path(place)))
        if not complete():
            raise SystemExit("the discharges unpacked are not the ones expected (sha256 differs).")
    return FOLDER


if __name__ == "__main__":
    ensure()
