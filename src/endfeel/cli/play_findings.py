"""What `endfeel play` finds out: one shape of answer for the shoulder joint and for the two joints of the clavicle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from endfeel.anatomy.units import Floats, mm_from_m
from endfeel.cli.shoulder_options import TAUT, Asked, basis_of_shoulders, mean_and_people, pose_of, spelt, taut_n
from endfeel.mechanics.band_names import band_name

if TYPE_CHECKING:
    from endfeel.anatomy.figures import Basis
    from endfeel.evidence.library import Library
    from endfeel.mechanics import Glide, Shoulders
    from endfeel.mechanics.girdle_glides import Glide as GirdleGlide
    from endfeel.mechanics.ligament_springs import SpringJoint

LEAST_SHARE = 0.01
"""Of the force: what bears less is not named in words; JSON has it all."""
HALVINGS = 7


@dataclass(frozen=True, slots=True)
class Holder:
    """One band of the mean person, and what it does in the people drawn."""

    id: str
    name: str
    share: float
    tension_n: float
    strain_percent: float
    elongation_mm: float
    people_share: Floats | None
    """(m,) of the people counted."""
    taut_part: float | None


@dataclass(frozen=True, slots=True)
class Play:
    """How far a bone went and what held it."""

    joint: str
    direction: str
    force_n: float
    along_mm: float
    aside_mm: float
    out_mm: float
    seated: bool
    converged: bool
    bands: tuple[Holder, ...]
    """The one that bears most first."""
    surface_share: float
    surface_word: str
    people_mm: Floats | None
    """(m,) of the people counted."""
    counted: np.ndarray | None
    """(n,)."""
    basis: Basis
    taut_n: float
    mean: Shoulders | None = None
    pose: Floats | None = None
    seated_up_to_n: float | None = None
    """Where the head slips over the rim: the force up to which it does not."""

    @property
    def speaks(self) -> bool:
        """Whether the numbers of the mean person mean anything."""
        return self.seated and self.converged

    @property
    def loaded(self) -> tuple[Holder, ...]:
        """The bands worth naming: none where the head has slipped out or no rest was found, for then their shares say
        nothing."""
        if not self.speaks:
            return ()
        return tuple(one for one in self.bands if abs(one.share) >= LEAST_SHARE or one.tension_n > self.taut_n)


def head_play(
    library: Library, asked: Asked, joint: str, direction: str, force_n: float, *, with_changes: bool = True
) -> Play:
    """The head of the humerus pushed along its socket."""
    mean, people = mean_and_people(library, asked, with_changes=with_changes)
    pose = pose_of(library, asked, mean)
    glide = mean.translation(pose, direction, force_n)
    drawn = None if people is None else people.translation(pose_of(library, asked, people), direction, force_n)
    counted = None if drawn is None else drawn.converged & drawn.seated
    taut = taut_n(library)
    holders = [_holder_of(glide, drawn, counted, place, taut) for place in range(len(glide.bands.names))]
    return Play(
        joint, direction, force_n,
        float(glide.along_mm[0]), float(glide.aside_mm[0]), float(glide.out_mm[0]),
        bool(glide.seated[0]), bool(glide.converged[0]),
        _sorted(holders), 1.0 - float(glide.resistance[0].sum()), _socket_word(asked),
        None if drawn is None or counted is None else drawn.along_mm[counted], counted,
        basis_of_shoulders(library, asked, mean), taut, mean, pose,
        None if glide.seated[0] else _seated_up_to_n(mean, pose, direction, force_n),
    )  # fmt: skip


def _socket_word(asked: Asked) -> str:
    """What holds besides the bands, by what presses the joint; the labrum is part of the socket."""
    return "socket and compression" if asked.held == "vented" else "socket, compression and suction"


def _seated_up_to_n(mean: Shoulders, pose: Floats, direction: str, force_n: float) -> float:
    """The force up to which the head of the mean person stays over its socket, found by halving; zero at rest."""
    low, high = 0.0, force_n
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        if mean.translation(pose, direction, middle).seated[0]:
            low = middle
        else:
            high = middle
    return low


def _holder_of(glide: Glide, drawn: Glide | None, counted: np.ndarray | None, place: int, taut: float) -> Holder:
    bands = glide.bands
    share, part = None, None
    if drawn is not None and counted is not None and counted.any():
        share = drawn.resistance[counted, place]
        part = float((drawn.bands.tension_n[counted, place] > taut).mean())
    return Holder(
        bands.names[place], band_name(bands.names[place]), float(glide.resistance[0, place]),
        float(bands.tension_n[0, place]), float(bands.strain_percent[0, place]), float(bands.elongation_mm[0, place]),
        share, part,
    )  # fmt: skip


def girdle_play(
    library: Library, asked: Asked, joint: str, direction: str, force_n: float, *, with_changes: bool = True
) -> Play:
    """The acromion pushed on the clavicle, or the inner end of the clavicle on the breastbone."""
    mean, people = girdle_joints(library, asked, joint, with_changes=with_changes)
    glide = pushed(mean, joint, direction, force_n)
    drawn = None if people is None else pushed(people, joint, direction, force_n)
    counted = None if drawn is None else np.asarray(drawn.converged)
    taut = taut_n(library)
    holders = []
    for band in mean.bands:
        share = part = None
        if drawn is not None and counted is not None and counted.any():
            share = np.asarray(drawn.share[band])[counted]
            part = float((np.asarray(drawn.tension_n[band])[counted] > taut).mean())
        holders.append(
            Holder(
                band,
                band_name(band),
                float(glide.share[band]),
                float(glide.tension_n[band]),
                100.0 * float(glide.strain[band]),
                float(mm_from_m(glide.elongation_m[band])),
                share,
                part,
            )
        )
    along = float(mm_from_m(glide.along_m))
    whole = float(np.linalg.norm(mm_from_m(glide.shift_m)))
    aside = float(np.sqrt(max(whole**2 - along**2, 0.0)))
    return Play(
        joint, direction, force_n, along, aside, 0.0, True, bool(np.all(glide.converged)), _sorted(holders),
        float(glide.share["contact"] + glide.share["loose"]), "joint surfaces and soft parts",
        None if drawn is None or counted is None else np.asarray(mm_from_m(drawn.along_m))[counted], counted,
        _girdle_basis(library, mean), taut,
    )  # fmt: skip


def girdle_joints(
    library: Library, asked: Asked, joint: str, *, with_changes: bool = True
) -> tuple[SpringJoint, SpringJoint | None]:
    """The joint of the mean person and of the people drawn, changed. Raises CannotRead, NotFound."""
    from endfeel.mechanics.girdle_ligaments import changed
    from endfeel.vocabulary import CannotRead, Fault

    module = _module(joint)
    mean = module.default_joint(library)
    people = module.drawn_joints(library, asked.people, asked.seed) if asked.people else None
    try:
        for change in asked.changes if with_changes else ():
            meant = [spelt(change, (*mean.bands, *mean.groups, mean.surface))]
            mean = changed(mean, meant)
            people = None if people is None else changed(people, meant)
    except ValueError as error:
        words = ", ".join(asked.change_words)
        raise CannotRead(
            [Fault("nothing would be left of a fibre", words, "a smaller change", field="change")]
        ) from error
    return mean, people


def pushed(joint: SpringJoint, name: str, direction: str, force_n: float) -> GirdleGlide:
    """One push of one bone on the other."""
    glide: GirdleGlide = _module(name).translate(joint, direction, force_n)
    return glide


def _module(joint: str) -> Any:
    from endfeel.mechanics import acromioclavicular, sternoclavicular

    return acromioclavicular if joint == "ac" else sternoclavicular


def _girdle_basis(library: Library, joint: SpringJoint) -> Basis:
    from endfeel.anatomy.figures import basis_of
    from endfeel.mechanics.girdle_ligaments import read_girdle

    figures = read_girdle(library).behind(*joint.bands, joint.surface)
    return basis_of(
        [*figures, library.figure(TAUT)], ["a model of straight fibres and joint surfaces: no muscle, no failure"]
    )


def _sorted(holders: list[Holder]) -> tuple[Holder, ...]:
    return tuple(sorted(holders, key=lambda one: (-one.share, -one.tension_n)))
