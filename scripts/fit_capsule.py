"""Fit the rest ratios of the capsule's bands, once, to published passive limits; write them to the evidence.

    .venv/bin/python scripts/fit_capsule.py            print the fit
    .venv/bin/python scripts/fit_capsule.py --write    and replace the rest_ratio rows of capsule_bands.csv

The only tuning there is. Unknown: one ratio a band (slack length over the fibre's greatest length at the published
limits). Told: the limits of `passive_limits` with their spread, and how much a capsule may be strained at a firm end
(`end_strain_percent` with its spread). Nothing from the restraint or translation studies is read.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from endfeel.anatomy.sizes import default_sizes
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.evidence.load import load_library
from endfeel.mechanics.motions import published_limits
from endfeel.mechanics.parameters import BANDS, Parameters, read_parameters
from endfeel.mechanics.passive_range import passive_limit
from endfeel.mechanics.population import Traits, mean_traits, repeated
from endfeel.mechanics.shoulder import assembled

FILE = Path(__file__).parents[1] / "src/endfeel/evidence/data/capsule_bands.csv"
ROUNDS = 15
NUDGE = 0.004
LOST_DEG = 60.0
"""Counted when a motion finds no end at all."""


def main(write: bool) -> None:
    library = load_library()
    parameters = read_parameters(library)
    limits = published_limits(library)
    wanted = np.array([np.degrees(limit.angle_rad) for limit in limits.values()])
    spread = np.array([number(limit.sd) for limit in limits.values()])
    expected = -np.log1p(parameters.mean("end_strain_percent") / 100.0)
    prior_sd = parameters.sd("end_strain_percent") / 100.0

    def model(candidates: np.ndarray) -> np.ndarray:
        return limits_deg(library, parameters, candidates)

    def faults(candidates: np.ndarray) -> np.ndarray:
        angles = model(candidates)
        off = np.where(np.isnan(angles), LOST_DEG, angles - wanted) / spread
        return np.concatenate([off, (candidates - expected) / prior_sd], axis=1)

    stands = np.log([parameters.mean(f"{band}.rest_ratio") for band in BANDS])
    found = [descended(faults, start) for start in (np.full(len(BANDS), expected), stands)]
    logs = min(found, key=lambda one: one[0])[1]
    angles = model(logs[None])[0]
    for name, angle, target, sd in zip(limits, angles, wanted, spread, strict=True):
        print(f"  {name:34s} published {target:6.1f} (SD {sd:4.1f})  model {angle:6.1f}")
    for band, ratio in zip(BANDS, np.exp(logs), strict=True):
        print(f"  {band:28s} rest ratio {ratio:.3f}")
    if write:
        write_ratios(np.exp(logs))


def descended(faults: Callable[[np.ndarray], np.ndarray], logs: np.ndarray) -> tuple[float, np.ndarray]:
    """Cost and log ratios where the search from some ratios ends. A motion that nothing stops has no slope, so that
    where a search starts matters: from the strain expected of every band, and from the ratios that stand."""
    damping = 1.0
    for round_ in range(ROUNDS):
        found = faults(np.vstack([logs, logs + NUDGE * np.eye(len(BANDS))]))
        here, slopes = found[0], (found[1:] - found[0]).T / NUDGE
        curve = slopes.T @ slopes
        steps = []
        dampings = damping * np.array([0.1, 1.0, 10.0, 100.0])
        for weight in dampings:
            step = -np.linalg.solve(curve + weight * np.diag(np.diag(curve)), slopes.T @ here)
            steps.append(logs + np.clip(step, -0.03, 0.03))
        costs = np.sum(faults(np.array(steps)) ** 2, axis=1)
        best = int(np.argmin(costs))
        print(f"round {round_:2d}: cost {here @ here:8.3f} -> {costs[best]:8.3f}", flush=True)
        if costs[best] > here @ here - 1e-3:
            break
        logs, damping = steps[best], max(dampings[best], 1e-3)
    return float(here @ here), logs


def limits_deg(library: Library, parameters: Parameters, logs: np.ndarray) -> np.ndarray:
    """The passive limits in degrees, (candidates, motions), of the mean shoulder with these log ratios."""
    mean = mean_traits(library, parameters)
    ratios = {f"{band}.rest_ratio": 1.0 for band in BANDS}
    traits = replace(
        mean, sizes=repeated(default_sizes(library), len(logs)), slack_factor=np.exp(logs), **_as_many(mean, len(logs))
    )
    limits = published_limits(library)
    _, capsule, bed = assembled(library, parameters.with_values(ratios), traits)
    moment = parameters.mean("manual_moment_Nm")
    ends = [passive_limit(capsule, bed, limit.motion, moment, bulk=True) for limit in limits.values()]
    return np.degrees([end.angle_rad for end in ends]).T


def _as_many(traits: Traits, count: int) -> dict[str, np.ndarray]:
    """The other traits of one shoulder, `count` times over."""
    names = ("scale", "inclination_rad", "rim_shift_hours", "neck_shift_hours", "stiffness_factor")
    return {name: np.repeat(getattr(traits, name), count, axis=0) for name in names}


def write_ratios(ratios: np.ndarray) -> None:
    with FILE.open(newline="", encoding="utf-8") as file:
        header, *rows = csv.reader(file)
    kept = [row for row in rows if row[2] != "rest_ratio"]
    first = len(kept) + 1
    note = "slack length over the greatest length at the published passive limits; the only fitted quantity"
    for place, (band, ratio) in enumerate(zip(BANDS, ratios, strict=True)):
        kept.append(
            [
                f"cb{first + place:03d}",
                band,
                "rest_ratio",
                f"{ratio:.4f}",
                "",
                "ratio",
                "",
                "capsule-fit",
                "practice",
                note,
            ]
        )
    with FILE.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file, lineterminator="\n").writerows([header, *kept])


if __name__ == "__main__":
    main("--write" in sys.argv[1:])
