"""Where the built program and the repository are."""

import os
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
PROGRAM = TARGET / "release" / "tubewright"
