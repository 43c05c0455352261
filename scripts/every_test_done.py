"""How often the first three named are there when every test there is was done: the most that these links allow.

    python scripts/every_test_done.py --people 300 --seed 7

People are drawn as `endfeel calibrate` draws them; nobody could do so many tests in one visit.
"""

from __future__ import annotations

import argparse

import numpy as np

from endfeel.cli.machine import prepare_machine
from endfeel.evidence.load import load_library
from endfeel.inference import build_model, infer
from endfeel.simulate.calibration import A_STORY
from endfeel.simulate.couch import Couch, Story
from endfeel.simulate.examiner import ASSUMED
from endfeel.simulate.people import draw_patient, draw_story

NAMED = 3


def main() -> None:
    """Play and print."""
    prepare_machine()
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=300)
    parser.add_argument("--seed", type=int, default=7)
    options = parser.parse_args()
    library = load_library()
    model = build_model(library)
    generator = np.random.default_rng(options.seed)
    rows, left_out, tests = [], 0.0, 0
    while len(rows) < options.people:
        story = Story.of(draw_story(library, generator), library, model)
        everything = tuple(test.key for test in story.tests)
        for _ in range(A_STORY):
            patient = draw_patient(story.case, model, generator)
            couch = Couch(patient, model, ASSUMED, int(generator.integers(2**31)))
            posterior = infer(couch.case_after(everything), model, with_intervals=False)
            left_out, tests = max(left_out, posterior.left_out_mass), max(tests, len(everything))
            row = [min(NAMED, patient.present.sum()) / NAMED]
            for told in (story.posterior.solution.probability, posterior.solution.probability):
                first = np.argsort(-told, kind="stable")[:NAMED]
                row += [patient.present[first].mean(), patient.present[first].any(), told[first].mean()]
            rows.append(row)
        _say(rows, options.seed, library.release, tests, left_out)


def _say(rows: list[list[float]], seed: int, release: str, tests: int, left_out: float) -> None:
    """So far; it takes a while."""
    share, error = np.mean(rows, axis=0), np.std(rows, axis=0) / np.sqrt(len(rows))
    print(f"{len(rows)} people, seed {seed}, evidence release {release}; up to {tests} tests, "
          f"left out of a sum at most {left_out:.0e}")  # fmt: skip
    print(f"  who knew the truth: {share[0]:.1%} of three there")
    for name, k in (("story alone", 1), ("every test done", 4)):
        print(f"  {name}: {share[k]:.1%} of three there (standard error {error[k]:.1%}; said {share[k + 2]:.1%}), "
              f"one of three in {share[k + 1]:.1%}", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
