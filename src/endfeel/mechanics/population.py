"""People differ: sizes, attachments, slack lengths and stiffness of n shoulders, drawn or at their means.

A drawn population is decided by its seed alone. Bones come from `anatomy`, where lengths share a factor of body size;
slack varies partly for all bands of a person at once (general laxity) and partly for each; attachments and stiffness
vary on their own. Spreads come from the evidence. Scores are cut off at three standard deviations.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from endfeel.anatomy.sizes import Sex, Sizes, default_sizes, drawn_sizes
from endfeel.anatomy.units import Floats, rad_from_deg
from endfeel.evidence.library import Library
from endfeel.mechanics.parameters import BANDS, Parameters

CUT_OFF_SD = 3.0


@dataclass(frozen=True, slots=True)
class Traits:
    """What makes n shoulders different."""

    sizes: Sizes
    """Every size of shape (n,)."""
    scale: Floats
    """(n,) head radius over that of the mean person."""
    inclination_rad: Floats
    """(n,) upward tilt of the face of the socket, labrum included."""
    rim_shift_hours: Floats
    neck_shift_hours: Floats
    """(n, bands) displacement of a band's attachment round the clock."""
    slack_factor: Floats
    stiffness_factor: Floats
    """(n, bands) ratio to the mean person."""
    body_score: Floats
    laxity_score: Floats
    """(n,) standard scores of what a person's lengths, and his or her slack, have in common."""


def mean_traits(library: Library, parameters: Parameters, sex: Sex | None = None) -> Traits:
    """One shoulder with every trait at its mean, of either sex or of one."""
    return _traits(
        library,
        parameters,
        repeated(default_sizes(library, sex), 1),
        np.zeros(1),
        np.zeros((4, 1, len(BANDS))),
        np.zeros((2, 1)),
    )


def draw_traits(library: Library, parameters: Parameters, count: int, seed: int, sex: Sex | None = None) -> Traits:
    """`count` shoulders; the same seed gives the same shoulders. Raises ValueError for a count below one."""
    if count < 1 or count != int(count):
        raise ValueError(f"a population has at least one shoulder and no part of one, not {count}")
    generator = np.random.default_rng(seed)
    body = generator.standard_normal(count)
    sizes = drawn_sizes(library, count, generator, sex, body)
    tilt = generator.standard_normal(count)
    own = generator.standard_normal((4, count, len(BANDS)))
    loose = parameters.mean("slack_common_share")
    laxity = generator.standard_normal((count, 1))
    own[2] = np.sqrt(loose) * laxity + np.sqrt(1 - loose) * own[2]
    return _traits(library, parameters, sizes, _cut(tilt), _cut(own), np.stack([body, laxity[:, 0]]))


def repeated(sizes: Sizes, count: int) -> Sizes:
    """The sizes of one person `count` times over."""
    names = [field.name for field in fields(Sizes) if field.name != "basis"]
    arrays = {name: np.asarray(getattr(sizes, name)) for name in names}
    many = {name: np.broadcast_to(values, (count, *values.shape)) for name, values in arrays.items()}
    return Sizes(**many, basis=sizes.basis)


def _traits(
    library: Library, parameters: Parameters, sizes: Sizes, tilt: Floats, own: Floats, common: Floats
) -> Traits:
    """Traits from sizes (n,) and standard scores: tilt (n,), rim, neck, slack and stiffness (4, n, bands), and what is
    common to a person, body size and laxity (2, n)."""
    clock, slack, stiffness = (parameters.mean(name) for name in ("clock_sd", "slack_sd_ratio", "stiffness_sd_ratio"))
    log_variance = np.log1p(stiffness**2)
    inclination_deg = parameters.mean("glenoid_inclination_deg") + parameters.sd("glenoid_inclination_deg") * tilt
    return Traits(
        sizes,
        sizes.head_radius_m / default_sizes(library).head_radius_m,
        rad_from_deg(inclination_deg),
        clock * own[0],
        clock * own[1],
        np.exp(slack * own[2]),
        np.exp(np.sqrt(log_variance) * own[3]),
        common[0],
        common[1],
    )


def _cut(scores: Floats) -> Floats:
    return np.clip(scores, -CUT_OFF_SD, CUT_OFF_SD)
