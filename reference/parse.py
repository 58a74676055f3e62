"""Reading a demo design beside general TOML parsers, on the same text in the same run: times and ratios.

The program's reader finds every place in the text, resolves names, units and sections, and gathers messages; the `toml`
crate's bare parse and Python's `tomllib` only build a tree. So the first ratio is what that work costs over a parse in
the same language, the second how far a script stands behind. Run by `cargo xtask compare`.
"""

import json
import time
import tomllib

from program import ROOT, example

RUNS = 15


def main():
    for name in ("gorse", "wren"):
        path = ROOT / "examples" / f"{name}.toml"
        text, times = path.read_text(), []
        told = json.loads(example("parse_times", path))
        for _ in range(RUNS):
            began = time.perf_counter()
            tomllib.loads(text)
            times.append(time.perf_counter() - began)
        theirs = sorted(times)[RUNS // 2]
        print(f"{name}, {len(text)} bytes: read {told['read'] * 1e3:.3f} ms; the toml crate's bare parse {told['toml'] * 1e3:.3f} ms "
              f"({told['read'] / told['toml']:.2f} times faster); tomllib {theirs * 1e3:.2f} ms ({theirs / told['read']:.1f} times slower)")


if __name__ == "__main__":
    main()
