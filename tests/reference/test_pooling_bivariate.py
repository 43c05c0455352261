"""Pooled accuracy against a published bivariate meta-analysis (Hegedus 2012, read) and a bivariate fit of our own.

The studies are those of the evidence with counts or numbers of people; the reviews had more of them, so near is all
that can be asked.
"""

from __future__ import annotations

import re

import numpy as np
import pytest
from scipy.optimize import minimize

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library, Row
from endfeel.inference import build_model
from endfeel.inference.pooling import Beta, Proportion, pool

REVIEWS = {"hegedus2008", "hegedus2012", "alqunaee2012", "gismervik2017"}
TARGET = "subacromial_impingement_any_stage"
SINGLE, LEAST = 0.6, 0.25
PUBLISHED = {"hawkins_kennedy": "da032", "neer": "da031"}
"""Test to the row of the bivariate meta-analysis."""


def counts(row: Row) -> tuple[float, float, float, float] | None:
    """tp, fp, fn, tn: as printed, or from accuracy with half of the people in either group."""
    text = row.text
    if all(text.get(cell) for cell in ("tp", "fp", "fn", "tn")):
        tp, fp, fn, tn = (float(text[cell]) for cell in ("tp", "fp", "fn", "tn"))
        return tp, fp, fn, tn
    if not text["n_patients"]:
        return None
    half = float(text["n_patients"]) / 2.0
    tp, tn = number(row.figures["sensitivity"]) * half, number(row.figures["specificity"]) * half
    return tp, half - tn, half - tp, tn


def studies(test: str, library: Library) -> list[tuple[float, float, float, float]]:
    found = []
    for row in library.tables["diagnostic_accuracy"]:
        mine = row.text["test_id"] == test and row.text["target"] == TARGET and row.source.id not in REVIEWS
        if mine and {"sensitivity", "specificity"} <= row.figures.keys():
            counted = counts(row)
            found += [counted] if counted else []
    return found


def ours(found: list[tuple[float, float, float, float]]) -> tuple[Beta, Beta]:
    sensitivity = pool([Proportion(tp / (tp + fn), tp + fn) for tp, _, fn, _ in found], SINGLE, LEAST)
    specificity = pool([Proportion(tn / (tn + fp), tn + fp) for _, fp, _, tn in found], SINGLE, LEAST)
    return sensitivity, specificity


def bivariate(found: list[tuple[float, float, float, float]]) -> tuple[float, float]:
    """Maximum likelihood of the bivariate normal-normal model of both logits, by a general optimiser."""
    table = np.array(found) + 0.5
    tp, fp, fn, tn = table.T
    logits = np.stack([np.log(tp / fn), np.log(tn / fp)], axis=1)
    within = np.stack([1 / tp + 1 / fn, 1 / tn + 1 / fp], axis=1)

    def loss(p: np.ndarray) -> float:
        one, other, r = np.exp(p[2]), np.exp(p[3]), np.tanh(p[4])
        between = np.array([[one**2, r * one * other], [r * one * other, other**2]])
        total = 0.0
        for y, v in zip(logits, within, strict=True):
            spread, away = between + np.diag(v), y - p[:2]
            total += 0.5 * float(np.log(np.linalg.det(spread)) + away @ np.linalg.solve(spread, away))
        return total

    tries = [
        minimize(loss, [*logits.mean(axis=0), -1.0, -1.0, start], method="Nelder-Mead",
                 options={"maxiter": 8000, "xatol": 1e-6, "fatol": 1e-9})
        for start in (-0.5, 0.0, 0.5)
    ]  # fmt: skip
    best = min(tries, key=lambda one: one.fun).x[:2]
    share = 1.0 / (1.0 + np.exp(-best))
    return float(share[0]), float(share[1])


@pytest.mark.parametrize("test", PUBLISHED)
def test_the_pool_comes_near_a_published_bivariate_meta_analysis(test: str, library: Library) -> None:
    row = library.tables["diagnostic_accuracy"].rows[PUBLISHED[test]]
    assert row.source.id == "hegedus2012"
    assert row.provenance.label == "read"
    found = studies(test, library)
    assert len(found) >= 5
    sensitivity, specificity = ours(found)
    assert sensitivity.mean == pytest.approx(number(row.figures["sensitivity"]), abs=0.05)
    assert specificity.mean == pytest.approx(number(row.figures["specificity"]), abs=0.05)


@pytest.mark.parametrize(("test", "procedure"), [("hawkins_kennedy", "hawkins"), ("neer", "neer")])
def test_what_the_product_uses_comes_near_the_meta_analysis_and_does_not_contain_it(
    test: str, procedure: str, library: Library
) -> None:
    """The pool of the model itself, and the rows it is compared with are not among its inputs."""
    model = build_model(library)
    spec = model.binaries[procedure, "positive"]
    link = next(link for i, _, link in spec.causes if model.contributors[i].id == "cuff_pain")
    row = library.tables["diagnostic_accuracy"].rows[PUBLISHED[test]]
    assert not any(PUBLISHED[test] in figure for figure in link.figures)
    assert link.present.mean == pytest.approx(number(row.figures["sensitivity"]), abs=0.03)
    assert 1.0 - link.absent.mean == pytest.approx(number(row.figures["specificity"]), abs=0.03)


def test_nobody_is_in_a_pool_twice(library: Library) -> None:
    """Every published link of the product: one row of a study's people, and no review beside single studies."""
    model = build_model(library)
    rows = library.tables["diagnostic_accuracy"].rows
    pools = [link for spec in model.binaries.values() for _, _, link in spec.causes if link.published]
    assert len(pools) > 30
    for link in pools:
        names = dict.fromkeys(f.split(".")[1] for f in link.figures if f.startswith("diagnostic_accuracy."))
        used = [rows[name] for name in names]
        people = [(re.sub(r"-\d+$", "", row.source.id), row.text["n_patients"]) for row in used]
        assert len(people) == len(set(people)), link.key
        if len(used) > 1:
            assert not {row.source.id for row in used} & REVIEWS, link.key


@pytest.mark.parametrize("test", [*PUBLISHED, "painful_arc"])
def test_taking_both_logits_together_changes_little(test: str, library: Library) -> None:
    """What a bivariate model adds, correlation between studies, moves a pooled share by 0.03 at most here."""
    found = studies(test, library)
    sensitivity, specificity = ours(found)
    both = bivariate(found)
    assert sensitivity.mean == pytest.approx(both[0], abs=0.03)
    assert specificity.mean == pytest.approx(both[1], abs=0.03)


@pytest.mark.parametrize("test", [*PUBLISHED, "painful_arc"])
def test_recalled_figures_widen_what_is_pooled(test: str, library: Library) -> None:
    shares = [(tp / (tp + fn), tp + fn) for tp, _, fn, _ in studies(test, library)]
    read, half, recalled = (
        pool([Proportion(*one, trust) for one, trust in zip(shares, trusts, strict=True)], SINGLE, LEAST)
        for trusts in ([1.0] * len(shares), [1.0, *[0.5] * (len(shares) - 1)], [0.5] * len(shares))
    )
    assert recalled.mean == pytest.approx(read.mean)
    assert recalled.weight <= half.weight
    assert recalled.weight <= read.weight
    assert (recalled.weight + 1.0) / (read.weight + 1.0) == pytest.approx(0.5) or recalled.weight == 1.0


def test_one_recalled_study_alone_is_twice_as_wide() -> None:
    read, recalled = (pool([Proportion(0.8, 100, trust)], SINGLE, LEAST) for trust in (1.0, 0.5))
    assert (recalled.weight + 1.0) == pytest.approx((read.weight + 1.0) / 2.0)


def test_customary_links_weigh_less_than_the_pooled_studies_of_a_common_test(library: Library) -> None:
    sensitivity, _ = ours(studies("hawkins_kennedy", library))
    weights = [number(row.figures["weight"]) for row in library.tables["links"] if "weight" in row.figures]
    assert max(weights) < sensitivity.weight
