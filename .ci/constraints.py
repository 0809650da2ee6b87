"""Writes the versions of the two locks, without their hashes, as constraints for pip:

    python .ci/constraints.py .cache/constraints.txt

The hashes are of what is installed on Linux with the oldest Python. Elsewhere packages ask for others that no
lock names (colorama, on Windows); what the locks name is the same version everywhere.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

LOCKS = ("requirements-build.lock", "requirements.lock")

if __name__ == "__main__":
    root = Path(__file__).resolve().parents[1]
    texts = [(root / lock).read_text("utf-8") for lock in LOCKS]
    pinned = [line for text in texts for line in re.findall(r"^[a-z0-9-]+==[^\s;\\]+", text, re.M)]
    target = Path(sys.argv[1])
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text("\n".join(pinned) + "\n", "utf-8")
