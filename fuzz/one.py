"""One target under atheris, in this process: `python -m fuzz.one TARGET [what libFuzzer takes]`."""

from __future__ import annotations

import sys

import atheris

READERS = [
    "endfeel.vocabulary", "endfeel.exchange", "endfeel.instruments", "endfeel.measurement.agreement",
    "endfeel.inference.hands_file", "endfeel.care.intake", "endfeel.care.checks",
]  # fmt: skip
"""What reads; the rest is loaded as it is, which begins sooner."""

with atheris.instrument_imports(include=READERS):
    from fuzz import targets

if __name__ == "__main__":
    target = targets.TARGETS[sys.argv[1]]
    targets.library()

    def once(data: bytes) -> None:
        """Any bytes as text: what is no UTF-8 becomes what a browser would send instead."""
        targets.run(target, data.decode("utf-8", "replace"))

    atheris.Setup([sys.argv[0], *sys.argv[2:]], once)
    atheris.Fuzz()
