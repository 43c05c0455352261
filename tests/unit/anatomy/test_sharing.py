"""Sharing a loss among joints: cases worked by hand, published ones, and what is refused."""

from __future__ import annotations

import pytest

from endfeel.anatomy.contributions import (
    ACROMIOCLAVICULAR,
    GLENOHUMERAL,
    SCAPULAR,
    STERNOCLAVICULAR,
    THORACIC,
    Known,
    acromioclavicular_ratio,
    clavicle_rise_per_degree,
    default_error,
    elevation_parts,
    share_of_elevation,
    share_of_turning,
    turning_parts,
)
from endfeel.anatomy.figures import Basis
from endfeel.anatomy.sharing import Part, Reading, share_loss
from endfeel.evidence.figures import Provenance
from endfeel.evidence.library import Library

BASIS = Basis(("hand.worked",), Provenance.PRACTICE)


def by_hand(readings: list[Reading], error: float = 1e-6):  # type: ignore[no-untyped-def]
    """Two joints that give exactly 60 and 40; 30 of the 100 are lost; variance of loss 10 a degree."""
    parts = [Part("b", 40.0, 0.0, BASIS)]
    normal, now = Reading("normal", {}, 100.0, 0.0), Reading("now", {}, 70.0, error)
    return share_loss("a", parts, normal, now, readings, 10.0, BASIS)


def test_nothing_known_shares_in_proportion_to_what_each_gives() -> None:
    shares = by_hand([])
    assert [part.lost_deg for part in shares.parts] == pytest.approx([18.0, 12.0])  # 30 × 600/1000, 30 × 400/1000
    # variance of each after the sum is known: 600 × 400 / 1000 = 240
    assert [part.lost_sd_deg for part in shares.parts] == pytest.approx([240**0.5] * 2)
    assert [part.share_ratio for part in shares.parts] == pytest.approx([0.6, 0.4])
    assert shares.lost_deg == pytest.approx(30.0)


def test_one_joint_measured_exactly_leaves_the_rest_to_the_other() -> None:
    shares = by_hand([Reading("a", {"a": 1.0}, 35.0, 1e-6)])
    assert shares.part("a").lost_deg == pytest.approx(25.0)
    assert shares.part("b").lost_deg == pytest.approx(5.0)
    assert shares.part("b").lost_sd_deg < 1e-3


def test_error_of_the_total_by_hand() -> None:
    """Loss seen with variance 250 against a prior of 1000: four fifths of it is believed, 200 stays uncertain."""
    shares = by_hand([], error=250**0.5)
    assert shares.lost_deg == pytest.approx(24.0)
    assert shares.lost_sd_deg == pytest.approx(200**0.5)
    assert shares.part("a").share_ratio is None  # 24 is less than 1.96 × 14.1: no share of it is claimed


def test_a_joint_that_gives_more_than_usual_has_a_negative_loss() -> None:
    shares = by_hand([Reading("a", {"a": 1.0}, 20.0, 1e-6)])
    assert shares.part("a").lost_deg == pytest.approx(40.0)
    assert shares.part("b").lost_deg == pytest.approx(-10.0)


def test_a_reading_of_an_unknown_joint_is_refused() -> None:
    with pytest.raises(ValueError, match="no part c; there are: a, b"):
        by_hand([Reading("c", {"c": 1.0}, 20.0, 1.0)])


def test_readings_that_cannot_all_be_true_are_noticed() -> None:
    fitting = by_hand([Reading("a", {"a": 1.0}, 45.0, 2.0), Reading("b", {"b": 1.0}, 25.0, 2.0)], error=2.0)
    clashing = by_hand([Reading("a", {"a": 1.0}, 45.0, 2.0), Reading("b", {"b": 1.0}, 55.0, 2.0)], error=2.0)
    assert fitting.surprise_sd < 1.0
    assert clashing.surprise_sd > 4.0


def test_normal_contributions_add_up_and_come_from_the_publications(library: Library) -> None:
    parts = {part.name: part for part in elevation_parts(library, 143.0, 90.0)}
    # sagittal plane, 140 on the thorax: upward rotation 43.7 (SD 6.3), Henninger 2020, read; rest carried on: 1.1 down
    together = parts[STERNOCLAVICULAR].mean_deg + parts[ACROMIOCLAVICULAR].mean_deg
    assert together == pytest.approx(43.7 + 1.1, abs=0.05)
    assert (parts[STERNOCLAVICULAR].sd_deg ** 2 + parts[ACROMIOCLAVICULAR].sd_deg ** 2) ** 0.5 == pytest.approx(6.3)
    # scapular plane 30 to 120: AC 7.0 of 28.0; clavicle rises 5.4 for the other 21.0, Ludewig 2009, read
    assert acromioclavicular_ratio(library, 40.0)[0] == pytest.approx(7.0 / 28.0)
    assert clavicle_rise_per_degree(library, 40.0) == pytest.approx(5.4 / 21.0)
    assert parts[THORACIC].mean_deg == pytest.approx(3.0)


def test_a_frozen_shoulder_as_published_is_mostly_glenohumeral(library: Library) -> None:
    """Rundquist 2003, 10 people, read: abduction 98.4 on the trunk with 46.4 on the scapula."""
    total, held = (library.figure(f"kinematics.{row}.value") for row in ("ki508", "ki515"))
    known = Known(float(total.text), glenohumeral=(float(held.text), None))
    shares = share_of_elevation(library, known, 0.0)
    assert shares.part(GLENOHUMERAL).share_ratio is not None
    assert shares.part(GLENOHUMERAL).share_ratio > 0.75
    assert abs(shares.part(SCAPULAR).lost_deg) < 1.96 * shares.part(SCAPULAR).lost_sd_deg


def test_turning_is_shared_between_glenohumeral_joint_and_scapula(library: Library) -> None:
    known = Known(50.0, normal_deg=100.0)
    shares = share_of_turning(library, known, "external_rotation", "abducted")
    (scapula,) = turning_parts(library, 100.0, "abducted")
    assert scapula.mean_deg == pytest.approx(12.5, abs=0.2)  # Koishi 2011, read: 12.5 percent
    assert shares.part(SCAPULAR).normal_deg == pytest.approx(scapula.mean_deg, abs=scapula.sd_deg)
    ratio = shares.part(GLENOHUMERAL).share_ratio
    assert ratio is not None
    assert 0.875 < ratio < 1.0  # it gives seven eighths of the turn: most of a loss of unknown place, not all


def test_without_the_other_side_the_norm_serves_and_there_is_not_always_one(library: Library) -> None:
    # Gill 2020, read: abduction 151.5 men, 149.7 women, both together 150.6
    shares = share_of_elevation(library, Known(100.0), 0.0)
    assert shares.normal_deg == pytest.approx(150.6, abs=2.0)
    assert any("other side is better" in caveat for caveat in shares.basis.caveats)
    with pytest.raises(ValueError, match="other side"):
        share_of_turning(library, Known(40.0), "internal_rotation", "side")


def test_default_errors_are_the_published_ones(library: Library) -> None:
    # Kolber 2011, read: minimal detectable change 8 at 90 percent: 8 / (1.645 × √2)
    assert default_error(library, "total")[0] == pytest.approx(8 / (1.6449 * 2**0.5), abs=1e-3)
    assert default_error(library, GLENOHUMERAL)[0] == 7.07  # de Winter 2004, read
    assert default_error(library, "clavicle")[0] == 4.0  # upper end of 2 to 4, Ludewig 2004, read
    assert default_error(library, THORACIC)[1].provenance is Provenance.PRACTICE


def test_both_arms_ask_more_of_the_thorax(library: Library) -> None:
    one, both = (share_of_elevation(library, Known(120.0, normal_deg=165.0), 40.0, arms) for arms in (1, 2))
    assert both.part(THORACIC).normal_deg > one.part(THORACIC).normal_deg + 5.0
