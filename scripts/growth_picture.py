"""How the posterior grows with contributors and findings: measured now, drawn to docs/growth.svg.

python scripts/growth_picture.py            the measured points
python scripts/growth_picture.py --write    and the picture
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from bench.inference import anew, case_of_growth, median_ms, noisy_or  # noqa: E402

from endfeel.cli.machine import prepare_machine  # noqa: E402
from endfeel.inference.intervals import intervals  # noqa: E402
from endfeel.inference.solution import solve  # noqa: E402
from endfeel.pictures.line_chart import Axes, Curve  # noqa: E402
from endfeel.pictures.play_sheet import play_picture  # noqa: E402
from endfeel.pictures.restraint_sheet import Words  # noqa: E402

FINDINGS = (5, 10, 20, 40, 60, 80)
CAUSES = (10, 20, 30, 45, 60, 90)
BOX = (0.0, 0.0, 0.0, 0.0)


def main() -> None:
    """Measure, print, and draw when asked."""
    prepare_machine()
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", action="store_true")
    options = parser.parse_args()
    model, networks = case_of_growth(FINDINGS)
    sums, wide = [], []
    for network in networks:
        sums.append(median_ms(lambda network=network: solve(anew(network)), 15))
        wide.append(median_ms(lambda network=network: intervals(solve(anew(network)), model, 200), 7))
    grown, left = [], []
    for causes in CAUSES:
        network = noisy_or(3, causes, 40)
        grown.append(median_ms(lambda network=network: solve(anew(network)), 5))
        left.append(solve(network).left_out_mass)
    for name, xs, ys in (
        ("findings", FINDINGS, sums),
        ("findings, 200 draws", FINDINGS, wide),
        ("causes", CAUSES, grown),
    ):
        print(name, ", ".join(f"{x}: {y:.1f} ms" for x, y in zip(xs, ys, strict=True)))
    print("left out of the sum", ", ".join(f"{c}: {mass:.0e}" for c, mass in zip(CAUSES, left, strict=True)))
    if options.write:
        by_findings = [
            Curve("posterior", np.array(FINDINGS, float), np.array(sums)),
            Curve("with 200 draws", np.array(FINDINGS, float), np.array(wide)),
        ]
        by_causes = [Curve("posterior", np.array(CAUSES, float), np.array(grown))]
        charts = (
            (by_findings, Axes("All contributors of the program", "findings", "milliseconds", BOX, 150.0)),
            (by_causes, Axes("40 findings of a random network", "contributors", "milliseconds", BOX, 120.0)),
        )
        words = Words("How the posterior grows", "exact, one thread; medians on a shared machine", ())
        told = "Milliseconds by findings and by contributors; the numbers stand in docs/performance.md."
        (ROOT / "docs" / "growth.svg").write_text(play_picture(charts, (), words, told), encoding="utf-8")


if __name__ == "__main__":
    main()
