"""``python -m turnback`` is the command ``turnback``."""

from __future__ import annotations

import sys

from turnback.cli import main

if __name__ == "__main__":
    sys.exit(main())
