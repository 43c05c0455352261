"""One body: the joints of a drawn person share size and laxity, nothing else, and the shoulders stay what they were."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.mechanics import People, draw_people, draw_population
from endfeel.mechanics.acromioclavicular import drawn_joints, translate
from endfeel.mechanics.girdle_ligaments import read_girdle
from endfeel.mechanics.parameters import read_parameters


@pytest.fixture(scope="module")
def people(library: Library) -> People:
    return draw_people(library, 3000, seed=5)


def test_the_shoulders_are_those_of_the_same_seed(library: Library) -> None:
    alone, whole = draw_population(library, 7, seed=11), draw_people(library, 7, seed=11)
    for one, other in (
        (alone.capsule.slack_m, whole.shoulders.capsule.slack_m),
        (alone.capsule.neck_m, whole.shoulders.capsule.neck_m),
        (alone.socket.axes, whole.shoulders.socket.axes),
    ):
        np.testing.assert_array_equal(one, other)
    again = draw_people(library, 7, seed=11)
    np.testing.assert_array_equal(again.sternoclavicular.fibres.slack_m, whole.sternoclavicular.fibres.slack_m)
    assert len(whole) == 7


def test_lengths_go_together_in_every_joint(people: People, library: Library) -> None:
    """kinematics.ki542; lengths whose ends vary besides go together less, never more."""
    sizes = people.shoulders.traits.sizes
    conoid = _length_m(people, "conoid")
    between_bones = np.corrcoef(sizes.clavicle_length_m, sizes.scapula_spine_m)[0, 1]
    assert between_bones == pytest.approx(read_girdle(library).mean("body.size_correlation"), abs=0.05)
    assert float(np.corrcoef(sizes.clavicle_length_m, conoid)[0, 1]) == pytest.approx(between_bones, abs=0.05)


def test_slack_goes_together_in_every_joint_as_within_one(people: People, library: Library) -> None:
    """mechanics_parameters.mp028, judgement: the same between joints as between bands of one."""
    share = read_parameters(library).mean("slack_common_share")
    loose = [
        np.log(people.shoulders.traits.slack_factor[:, 1]),
        np.log(_slack_ratio(people.acromioclavicular, "conoid")),
        np.log(_slack_ratio(people.sternoclavicular, "interclavicular")),
    ]
    for one, other in ((0, 1), (0, 2), (1, 2)):
        assert np.corrcoef(loose[one], loose[other])[0, 1] == pytest.approx(share, abs=0.06)


def test_nothing_else_is_shared(people: People) -> None:
    """Draws of single joints from one seed begin with the same random numbers; those of whole people do not."""
    fibres = people.acromioclavicular.fibres
    conoid = [place for place, name in enumerate(fibres.bands) if name == "conoid"]
    starts = fibres.moving_m[:, conoid].mean(axis=1)[:, 2]
    assert starts.std() > 0.001
    traits = people.shoulders.traits
    for other in (traits.sizes.head_radius_m, traits.sizes.retroversion_rad, traits.rim_shift_hours[:, 0]):
        assert abs(np.corrcoef(starts, other)[0, 1]) < 0.06


def test_whole_people_can_be_pushed(library: Library) -> None:
    few = draw_people(library, 12, seed=2)
    glide = translate(few.acromioclavicular, "posterior", 70.0)
    assert glide.along_mm.shape == (12,)
    assert glide.converged.all()
    np.testing.assert_allclose(glide.along_mm, 1000.0 * glide.along_m)


def test_nobody_cannot_be_drawn(library: Library) -> None:
    for draw in (draw_people, drawn_joints):
        with pytest.raises(ValueError, match="at least one"):
            draw(library, 0)
    assert repr(draw_people(library, 2)).startswith("People(2 with shoulders")


def _length_m(people: People, band: str) -> np.ndarray:
    fibres = people.acromioclavicular.fibres
    here = [place for place, name in enumerate(fibres.bands) if name == band]
    lengths = np.linalg.norm(fibres.moving_m - fibres.fixed_m, axis=-1)[:, here]
    return np.asarray(lengths.mean(axis=1))


def _slack_ratio(joint: object, band: str) -> np.ndarray:
    fibres = joint.fibres  # type: ignore[attr-defined]
    here = fibres.bands.index(band)
    return np.asarray(
        fibres.slack_m[:, here] / np.linalg.norm(fibres.moving_m[:, here] - fibres.fixed_m[:, here], axis=-1)
    )
