"""`python -m fuzz [--seconds 180] [TARGET ...]`: each target in a process of its own, with a limit of time and memory.

A crash or a hang ends the run with the text that did it; put that text into tests/unit/test_hostile_text.py first.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

from fuzz.targets import ROOT, TARGETS, seeds, words

SLOWEST_SECONDS, MEMORY_MB, LONGEST = 20, 3000, 20_000


def main() -> int:
    """0 when nothing was found."""
    parser = argparse.ArgumentParser(prog="python -m fuzz", description=__doc__)
    parser.add_argument("targets", nargs="*", choices=[*TARGETS, []], help="all of them unless named")
    parser.add_argument("--seconds", type=int, default=180, help="for each target")
    options = parser.parse_args()
    failed = []
    for name in options.targets or TARGETS:
        print(f"{name}: {options.seconds} seconds", flush=True)
        if _one(name, options.seconds):
            failed.append(name)
    print(f"Found something in: {', '.join(failed)}" if failed else "Nothing found.")
    return 1 if failed else 0


def _one(name: str, seconds: int) -> int:
    found = ROOT / "var" / "fuzz" / name
    found.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        begin, known = Path(folder) / "seeds", Path(folder) / "words"
        begin.mkdir()
        for number, text in enumerate(seeds(name)):
            (begin / str(number)).write_text(text, encoding="utf-8")
        quoted = ('"' + "".join(f"\\x{byte:02x}" for byte in word.encode()) + '"' for word in words(name))
        known.write_text("\n".join(quoted) + "\n", encoding="ascii")
        command = [
            sys.executable, "-m", "fuzz.one", name, f"-max_total_time={seconds}", f"-timeout={SLOWEST_SECONDS}",
            f"-rss_limit_mb={MEMORY_MB}", f"-max_len={LONGEST}", f"-dict={known}", f"-artifact_prefix={found}/",
            "-print_final_stats=1", "-verbosity=1", str(begin),
        ]  # fmt: skip
        return subprocess.run(command, cwd=ROOT, check=False).returncode  # noqa: S603 (our own words)


if __name__ == "__main__":
    sys.exit(main())
