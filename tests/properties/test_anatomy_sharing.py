"""Laws of sharing: the parts add up, knowing more never widens, order and names do not matter."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from endfeel.anatomy.contributions import GLENOHUMERAL, Known, share_of_elevation
from endfeel.anatomy.figures import Basis
from endfeel.anatomy.girdle import girdle_pose
from endfeel.anatomy.rhythm import find_rhythm
from endfeel.anatomy.sharing import Part, Reading, Shares, share_loss
from endfeel.anatomy.sizes import default_sizes
from endfeel.evidence.figures import Provenance
from endfeel.evidence.library import Library
from endfeel.vocabulary import Side

BASIS = Basis(("law.figure",), Provenance.PRACTICE)
NAMES = ("a", "b", "c", "d")
error = st.floats(0.5, 20.0)


@st.composite
def problems(draw: st.DrawFn) -> tuple[list[Part], Reading, Reading, list[Reading]]:
    parts = [Part(name, draw(st.floats(1, 60)), draw(st.floats(0.1, 15)), BASIS) for name in NAMES[1:]]
    normal = Reading("normal", {}, draw(st.floats(60, 190)), draw(error))
    now = Reading("now", {}, draw(st.floats(10, 190)), draw(error))
    readings = [
        Reading(name, {name: draw(st.floats(0.2, 1.0))}, draw(st.floats(-10, 150)), draw(error))
        for name in draw(st.lists(st.sampled_from(NAMES), max_size=4))
    ]
    return parts, normal, now, readings


def solved(parts: list[Part], normal: Reading, now: Reading, readings: list[Reading]) -> Shares:
    return share_loss("a", parts, normal, now, readings, 25.0, BASIS, {"b and c": ("b", "c")})


@given(problems())
def test_shares_add_up_to_the_loss(problem: tuple[list[Part], Reading, Reading, list[Reading]]) -> None:
    shares = solved(*problem)
    assert sum(part.lost_deg for part in shares.parts) == pytest.approx(shares.lost_deg, abs=1e-8)
    assert sum(part.now_deg for part in shares.parts) == pytest.approx(shares.now_deg, abs=1e-8)
    assert shares.normal_deg - shares.now_deg == pytest.approx(shares.lost_deg, abs=1e-8)
    assert shares.part("b and c").lost_deg == pytest.approx(shares.part("b").lost_deg + shares.part("c").lost_deg)
    ratios = [part.share_ratio for part in shares.parts]
    if None not in ratios:
        assert sum(ratio for ratio in ratios if ratio is not None) == pytest.approx(1.0)


@given(problems(), st.sampled_from(NAMES), st.floats(-10, 150), error)
def test_knowing_more_never_widens(
    problem: tuple[list[Part], Reading, Reading, list[Reading]], name: str, value: float, reading_error: float
) -> None:
    parts, normal, now, readings = problem
    before = solved(parts, normal, now, readings)
    after = solved(parts, normal, now, [*readings, Reading(name, {name: 1.0}, value, reading_error)])
    for one, other in zip((*before.parts, *before.groups), (*after.parts, *after.groups), strict=True):
        assert other.lost_sd_deg <= one.lost_sd_deg + 1e-7
    assert after.lost_sd_deg <= before.lost_sd_deg + 1e-7


@given(problems(), st.permutations(range(3)))
def test_the_order_of_joints_and_readings_does_not_matter(
    problem: tuple[list[Part], Reading, Reading, list[Reading]], order: list[int]
) -> None:
    parts, normal, now, readings = problem
    straight, shuffled = solved(*problem), solved([parts[at] for at in order], normal, now, readings[::-1])
    for name in (*NAMES, "b and c"):
        assert shuffled.part(name).lost_deg == pytest.approx(straight.part(name).lost_deg, abs=1e-6)
        assert shuffled.part(name).lost_sd_deg == pytest.approx(straight.part(name).lost_sd_deg, abs=1e-6)


@given(problems())
def test_conditioning_equals_weighted_least_squares(
    problem: tuple[list[Part], Reading, Reading, list[Reading]],
) -> None:
    """Outside check: the same beliefs as one stacked least-squares problem, solved by NumPy's `lstsq`."""
    parts, normal, now, readings = problem
    left = max(normal.value_deg - sum(part.mean_deg for part in parts), 1.0)
    loss_sd = np.sqrt(25.0 * np.maximum([left, *(part.mean_deg for part in parts)], 1.0))
    rows, told = [], []
    for place, (mean, sd) in enumerate(
        [
            (normal.value_deg, normal.error_deg),
            *((part.mean_deg, part.sd_deg) for part in parts),
            *((0.0, sd) for sd in loss_sd),
        ]
    ):
        rows.append(np.eye(8)[place] / sd)
        told.append(mean / sd)
    now_of = {"a": np.array([1, -1, -1, -1, -1, 0, 0, 0.0])}
    now_of |= {name: np.eye(8)[1 + at] - np.eye(8)[5 + at] for at, name in enumerate(NAMES[1:])}
    for reading in [Reading("now", dict.fromkeys(NAMES, 1.0), now.value_deg, now.error_deg), *readings]:
        rows.append(sum(weight * now_of[name] for name, weight in reading.weights.items()) / reading.error_deg)
        told.append(reading.value_deg / reading.error_deg)
    best = np.linalg.lstsq(np.array(rows), np.array(told), rcond=None)[0]
    shares = solved(*problem)
    np.testing.assert_allclose([part.lost_deg for part in shares.parts], best[4:], atol=1e-5)


@settings(max_examples=15, deadline=None)
@given(st.floats(0, 90), st.floats(60, 160), st.floats(20, 100))
def test_more_left_in_the_glenohumeral_joint_means_less_lost_there(
    library: Library, plane: float, total: float, held: float
) -> None:
    stiff, free = (
        share_of_elevation(library, Known(total, normal_deg=165.0, glenohumeral=(value, 3.0)), plane).part(GLENOHUMERAL)
        for value in (held, held + 15.0)
    )
    assert free.lost_deg < stiff.lost_deg


@settings(max_examples=15, deadline=None)
@given(st.floats(0, 90), st.floats(0, 160))
def test_left_and_right_give_the_same_contributions(library: Library, plane: float, elevation: float) -> None:
    sizes, rhythm = default_sizes(library), find_rhythm(library, "fluoroscopy")
    arm = np.radians([plane, elevation, 0.0])
    right, left = (girdle_pose(arm, rhythm, sizes, side=side) for side in Side)
    np.testing.assert_allclose(left.scapulothoracic_rad, right.scapulothoracic_rad, atol=1e-10)
