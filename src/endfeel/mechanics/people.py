"""Whole people: the shoulder joint, the AC and the SC joint of one body each."""

from __future__ import annotations

from dataclasses import dataclass

from endfeel.anatomy.sizes import Sex
from endfeel.evidence.library import Library
from endfeel.mechanics import acromioclavicular, sternoclavicular
from endfeel.mechanics.girdle_ligaments import Bodies
from endfeel.mechanics.ligament_springs import SpringJoint
from endfeel.mechanics.shoulder import Shoulders, draw_population


@dataclass(frozen=True, slots=True, repr=False)
class People:
    """n people; whoever is first in one joint is first in the others."""

    shoulders: Shoulders
    acromioclavicular: SpringJoint
    sternoclavicular: SpringJoint

    def __repr__(self) -> str:
        return f"People({len(self)} with shoulders, acromioclavicular and sternoclavicular of one body each)"

    def __len__(self) -> int:
        return len(self.shoulders)


def draw_people(library: Library, count: int = 1000, seed: int = 0, sex: Sex | None = None) -> People:
    """`count` people with all three joints; the same seed gives the same people, their shoulders those of
    `draw_population`.

    Lengths of all joints share one factor of body size (kinematics.ki542), slack of all joints one of general laxity
    (mechanics_parameters.mp028): what holds between two bands of one joint is taken to hold between joints. Both are
    judgement, for no study of it was found. All else is drawn for each joint on its own. With `sex` the bones of
    the shoulder are those of that sex; no figure of the AC and SC joints tells the sexes apart.
    """
    shoulders = draw_population(library, count, seed, sex)
    bodies = Bodies(shoulders.traits.body_score, shoulders.traits.laxity_score)
    return People(
        shoulders,
        acromioclavicular.joints_of(library, bodies, seed),
        sternoclavicular.joints_of(library, bodies, seed),
    )
