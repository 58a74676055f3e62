"""Where the built program and the repository are, and how the crates' examples are run."""

import os
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
PROGRAM = TARGET / "release" / "tubewright"


def built(name):
    """An example's program, built with the whole workspace's features as its tests are, so that nothing is compiled twice."""
    subprocess.run(["cargo", "build", "--release", "--quiet", "--workspace", "--example", name], check=True, cwd=ROOT)
    return TARGET / "release" / "examples" / name


def example(name, *words, given=None):
    """What an example prints."""
    run = [built(name), *map(str, words)]
    return subprocess.run(run, check=True, stdout=subprocess.PIPE, input=given, text=True, cwd=ROOT).stdout
