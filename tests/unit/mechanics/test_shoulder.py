"""The shoulder as a laboratory handles it: pose, push, cut, tighten; directions and signs checked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.anatomy.rotations import angles_from_rotation, turn_about
from endfeel.evidence.library import Library
from endfeel.mechanics import (
    Shoulders,
    arm,
    arm_on_thorax,
    cut,
    default_shoulder,
    draw_population,
    lengthened,
    shortened,
    stiffened,
)
from endfeel.mechanics.contact import contact_slopes
from endfeel.mechanics.cuff import gauge_m
from endfeel.mechanics.glenohumeral import fibre_lengths_m, resisting_moment_nm, total_energy_j
from endfeel.mechanics.motions import find_motion, in_scapula, published_limits, reference_rotations
from endfeel.mechanics.parameters import BANDS
from endfeel.vocabulary import NotFound


@pytest.fixture(scope="module")
def person(library: Library) -> Shoulders:
    return default_shoulder(library)


@pytest.fixture(scope="module")
def people(library: Library) -> Shoulders:
    return draw_population(library, 12, seed=2)


def test_arm_counts_rotation_from_a_pure_swing() -> None:
    """Raised forward without turning, the arm turns about the z axis alone; hanging, the plane does not matter."""
    assert arm(70, 90, 0) == pytest.approx(turn_about("Z", np.deg2rad(70.0)))
    assert arm(0, 50, 20) == pytest.approx(arm(0, 0, 20))
    assert np.rad2deg(angles_from_rotation(arm(60, 30, 25), "YXY")) == pytest.approx([30, -60, -5])


def test_nothing_is_taut_in_the_middle_of_the_range(person: Shoulders) -> None:
    bands = person.in_laboratory().bands_at(arm(30, 0, -30))
    assert (bands.elongation_mm[:, : len(BANDS)] < 0).all()
    assert not bands.tension_n.any()
    assert not bands.share.any()


def test_shares_sum_to_one_where_something_is_taut(person: Shoulders) -> None:
    bands = person.bands_at(arm(0, 0, -105))
    assert bands.share.sum() == pytest.approx(1.0)
    assert bands.of("middle_GHL").strain_percent[0, 0] > 0
    assert bands.of("posterior_capsule_middle").strain_percent[0, 0] < 0


def test_force_is_held_by_bands_and_socket_together(people: Shoulders) -> None:
    """In the direction of the force the bands' shares and the socket's come to one: the head is at rest."""
    pose, force = arm(60, 0, -90), 25.0
    glide = people.translation(pose, "anterior", force)
    sure = glide.converged & glide.seated
    assert sure.sum() > 8
    way = people.socket.axes[:, :, 0]
    rests = [people.at_rest(pose, pushed * way).centre_m for pushed in (0.0, force)]
    pushes = [-np.einsum("ni,ni->n", contact_slopes(people.bed, centre)[1], way) for centre in rests]
    of_socket = (pushes[0] - pushes[1]) / force
    assert (glide.resistance.sum(axis=1) + of_socket)[sure] == pytest.approx(1.0, abs=1e-6)
    assert glide.resistance[sure].max() > 0.05


def test_the_stiffness_curve_rises_and_matches_single_glides(person: Shoulders) -> None:
    pose = arm(0, 0, -100)
    curve = person.stiffness_curve(pose, "anterior", [0, 5, 10, 20, 40])[0]
    assert curve[0] == pytest.approx(0.0, abs=1e-6)
    assert (np.diff(curve) > 0).all()
    assert curve[3] == pytest.approx(person.translation(pose, "anterior", 20).along_mm[0], abs=1e-4)


@pytest.mark.parametrize("direction", ["anterior", "posterior", "inferior", "superior", "lateral", "anteroinferior"])
def test_the_head_goes_where_it_is_pushed(person: Shoulders, direction: str) -> None:
    glide = person.translation(arm(30, 0, -30), direction, 10)
    assert glide.converged.all()
    assert glide.along_mm[0] > 0


def test_the_moment_is_the_slope_of_the_energy(person: Shoulders, library: Library) -> None:
    """Work done on a turn equals moment times angle, the head at rest at both ends."""
    motion = find_motion(library, "external rotation, arm at side")
    angle, step = np.deg2rad([72.0]), 1e-4
    rests = [person.at_rest(motion.humerus(angle + way * step)) for way in (-1, 0, 1)]
    energies = [
        total_energy_j(person.capsule, person.bed, motion.humerus(angle + way * step), rest.centre_m, np.zeros((1, 3)))
        for way, rest in zip((-1, 0, 1), rests, strict=True)
    ]
    moment = resisting_moment_nm(person.capsule, motion.humerus(angle), rests[1].centre_m, motion.axis(angle))
    assert moment[0] > 0.5
    assert (energies[2] - energies[0]) / (2 * step) == pytest.approx(moment, rel=1e-4)


@pytest.mark.parametrize(
    "name",
    ["abduction", "flexion", "external rotation at 90", "horizontal adduction", "horizontal abduction", "extension"],
)
def test_axes_of_motion_are_those_of_the_turn(library: Library, name: str) -> None:
    motion, at, step = find_motion(library, name), np.array(0.7), 1e-6
    turn = (motion.humerus(at + step) @ motion.humerus(at - step).T - np.eye(3)) / (2 * step)
    assert [turn[2, 1], turn[0, 2], turn[1, 0]] == pytest.approx(motion.axis(at), abs=1e-5)


def test_a_limit_is_where_the_moment_is_reached(people: Shoulders, library: Library) -> None:
    motion = find_motion(library, "external rotation at 90")
    end = people.passive_limit(motion, moment_nm=0.8)
    assert end.converged.mean() > 0.8
    angle = np.deg2rad(end.angle_deg[end.converged])
    capsule = people.capsule
    rest = people.at_rest(motion.humerus(np.deg2rad(end.angle_deg)))
    moment = resisting_moment_nm(
        capsule, motion.humerus(np.deg2rad(end.angle_deg)), rest.centre_m, motion.axis(np.deg2rad(end.angle_deg))
    )
    assert len(angle) == (np.abs(moment[end.converged] - 0.8) < 0.02).sum()
    assert end.stopping[end.converged].sum(axis=1) == pytest.approx(1.0)


def test_more_moment_goes_further(people: Shoulders) -> None:
    little, much = (people.passive_limit("extension", moment) for moment in (0.5, 1.5))
    both = little.converged & much.converged
    assert both.mean() > 0.8
    assert (much.angle_deg[both] > little.angle_deg[both]).all()


def test_a_short_posterior_capsule_costs_inward_rotation(person: Shoulders) -> None:
    """At 90 of the capsule alone: in the living person the pouch and the cuff stop that turn first."""
    tight = person.changed(shortened("posterior_capsule", ratio=0.9))
    for motion, whole, less in (
        ("internal rotation, arm at side", person, tight),
        ("internal rotation at 90", person.in_laboratory(), tight.in_laboratory()),
    ):
        assert less.passive_limit(motion).angle_deg[0] < whole.passive_limit(motion).angle_deg[0] - 3
    out = "external rotation, arm at side"
    assert tight.passive_limit(out).angle_deg[0] == pytest.approx(person.passive_limit(out).angle_deg[0], abs=0.5)


def test_a_lax_or_cut_band_lets_more_through(person: Shoulders) -> None:
    motion = "external rotation, arm at side"
    whole = person.passive_limit(motion).angle_deg[0]
    lax = person.changed(lengthened("middle_GHL", by_mm=2.0)).passive_limit(motion).angle_deg[0]
    stiff = person.changed(stiffened("middle_GHL", 2.0)).passive_limit(motion).angle_deg[0]
    assert stiff < whole < lax
    divided = person.changed(cut("middle_GHL")).passive_limit(motion)
    assert not divided.converged[0] or divided.angle_deg[0] > lax


def test_a_motion_that_nothing_stops_has_no_end(person: Shoulders) -> None:
    end = person.in_laboratory().changed(cut("whole_capsule")).passive_limit("flexion")
    assert np.isnan(end.angle_deg[0])
    assert not end.converged[0]


def test_a_cut_band_carries_nothing(person: Shoulders) -> None:
    gone = person.changed(cut("coracohumeral")).bands_at(arm(0, 0, -110))
    assert gone.of("coracohumeral_anterior").tension_n[0, 0] == 0
    assert gone.of("coracohumeral_posterior").tension_n[0, 0] == 0


def test_short_muscles_stop_the_motions_that_stretch_them(person: Shoulders) -> None:
    for muscle, motion in (
        ("cuff_subscapularis", "external rotation, arm at side"),
        ("cuff_back", "internal rotation at 90"),
        ("latissimus_teres_major", "flexion"),
    ):
        short = person.changed(shortened(muscle, by_mm=12.0))
        assert short.passive_limit(motion).angle_deg[0] < person.passive_limit(motion).angle_deg[0] - 3


def test_a_ratio_of_a_muscle_of_the_cuff_is_one_of_its_fibres(person: Shoulders, library: Library) -> None:
    """Of the whole belly, not of the part over the joint; the capsule stays. What is left over the joint is never
    nothing."""
    short = person.changed(shortened("cuff_subscapularis", ratio=0.9))
    strands = person.capsule.band_of_fibre == person.band_names.index("cuff_subscapularis")
    fibre_m = gauge_m(person.capsule, library, person.parameters)
    lost = person.capsule.slack_m - short.capsule.slack_m
    assert lost[:, strands] == pytest.approx(0.1 * fibre_m[:, strands])
    assert (lost[:, ~strands] == 0.0).all()
    assert (person.changed(shortened("cuff_back", ratio=0.3)).capsule.slack_m > 0.0).all()


def test_a_muscle_that_is_not_short_changes_no_published_limit(person: Shoulders, library: Library) -> None:
    """Just slack at every published limit with the head seated, and no longer than that at one of them."""
    capsule = person.changed(stiffened("latissimus_teres_major", 1.0)).capsule
    turns = reference_rotations(published_limits(library))
    beyond = [fibre_lengths_m(capsule, turn[None], np.zeros((1, 3)))[0, -1] - capsule.slack_m[0, -1] for turn in turns]
    assert max(beyond) == pytest.approx(0.0, abs=1e-12)


def test_imposed_turns_carry_the_head(person: Shoulders) -> None:
    """In mid range the head stays, past the person's own end it is carried backward."""
    end = person.passive_limit("extension").angle_deg[0]
    path = person.obligate_translation("extension", [0, end * 0.6, end, end + 10.0])
    assert path.shape == (1, 4, 3)
    assert path[0, 0] == pytest.approx([0, 0, 0])
    assert abs(path[0, 1]).max() < abs(path[0, -1]).max() / 3
    assert path[0, -1, 0] < -0.3


def test_a_free_blade_lets_the_arm_go_further(person: Shoulders) -> None:
    """Not far, sideways without turning out: raised so, an arm stops early in life too."""
    held = person.passive_limit("abduction")
    free = person.passive_limit("abduction", scapula_follows="bone_pins")
    assert free.converged[0]
    assert free.angle_deg[0] > held.angle_deg[0] + 5
    with pytest.raises(NotFound):
        person.passive_limit("abduction", scapula_follows="a waltz")


def test_the_arm_on_the_thorax_is_the_arm_in_the_blade_that_follows(library: Library) -> None:
    """Raised 90 sideways by the bone-pin means the humerus stands about 60 degrees up in the scapula."""
    raised = np.rad2deg(angles_from_rotation(arm_on_thorax(library, 90, 0, 0), "YXY"))
    assert -75 < raised[1] < -45


def test_motions_may_be_counted_in_the_scapula(library: Library) -> None:
    motion = in_scapula(find_motion(library, "external rotation at 90"))
    assert motion.humerus(0.0) == pytest.approx(arm(90, 0, 0))


def test_a_region_share_sums_its_bands(person: Shoulders) -> None:
    end = person.passive_limit("external rotation at 90")
    whole = person.band_share(end.stopping, "whole_capsule")
    assert whole + person.band_share(end.stopping, "rotator_cuff") == pytest.approx(1.0)
    assert person.band_share(end.stopping, "IGHL_complex")[0] > 0.3


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (lambda who: who.translation(arm(0), "sideways", 5), "anteroinferior"),
        (lambda who: who.passive_limit("somersault"), "flexion"),
        (lambda who: who.changed(cut("deltoid")), "posterior_capsule"),
    ],
)
def test_unknown_names_say_what_there_is(person: Shoulders, asked: object, said: str) -> None:
    with pytest.raises(NotFound, match=said):
        asked(person)  # type: ignore[operator]


@pytest.mark.parametrize(
    "wrong", [lambda: shortened("x", 1.2), lambda: lengthened("x", 0.9), lambda: stiffened("x", -1)]
)
def test_impossible_changes_are_refused(wrong: object) -> None:
    with pytest.raises(ValueError):
        wrong()  # type: ignore[operator]


def test_a_fibre_cannot_lose_its_whole_length(person: Shoulders) -> None:
    with pytest.raises(ValueError, match="slack_m"):
        person.changed(shortened("middle_GHL", by_mm=80.0))
