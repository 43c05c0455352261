"""What `restraint` and `play` say alike: how the joint is held, who is counted, where the numbers come from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from endfeel.cli.shoulder_options import HELD, Asked, pose_json, rhythm_of
from endfeel.cli.terminal import say, style
from endfeel.vocabulary import SHORT_CAUTION

if TYPE_CHECKING:
    import numpy as np

    from endfeel.anatomy.figures import Basis
    from endfeel.anatomy.units import Floats
    from endfeel.evidence.library import Library
    from endfeel.mechanics import Bands, Shoulders


FEWEST_PART = 0.5
"""Of the people drawn: where fewer are counted no range is told, for those left are not like the rest."""
FEWEST_PEOPLE = 10
"""A range of fewer people is none."""


def enough(counted: np.ndarray | None) -> bool:
    """Whether the people counted, (n,), may speak for those drawn."""
    return counted is not None and bool(counted.sum() >= max(FEWEST_PEOPLE, FEWEST_PART * len(counted)))


def held_json(mean: Shoulders, asked: Asked) -> dict[str, Any]:
    """What presses the joint together."""
    return {"as": asked.held, "compression_N": round(float(mean.bed.compression_n[0]), 1), "words": HELD[asked.held]}


def past_failure(mean: Shoulders, bands: Bands) -> list[str]:
    """That no hand gets there, where bands of the mean person's capsule are stretched past failure; else nothing."""
    from endfeel.evidence.cite import cite
    from endfeel.evidence.figures import number
    from endfeel.mechanics.band_names import band_name
    from endfeel.mechanics.cuff import of_cuff

    failure = mean.parameters.figures["tissue_failure_strain_percent"]
    past = (bands.strain_percent[0] > number(failure)) & (bands.tension_n[0] > 0.0)
    names = [band_name(name) for name, is_past in zip(bands.names, past, strict=True) if is_past and not of_cuff(name)]
    if not names:
        return []
    beyond = f"{', '.join(names)} beyond the strain at which tissue fails, {cite(failure)}"
    return [f"No hand takes the mean person here: {beyond}."]


def people_json(asked: Asked, counted: np.ndarray | None) -> dict[str, Any] | None:
    """How many people were drawn and how many are counted."""
    if counted is None:
        return None
    return {"drawn": asked.people, "seed": asked.seed, "counted": int(counted.sum())}


def figures_json(basis: Basis, library: Library) -> list[dict[str, Any]]:
    """Every figure behind the numbers with its source."""
    figures = (library.figure(figure_id) for figure_id in basis.figures)
    return [
        {
            "id": figure.id, "value": figure.text, "unit": figure.unit, "source": figure.source.citation,
            "provenance": figure.provenance.label,
        }
        for figure in figures
    ]  # fmt: skip


def spread_of(values: Floats, digits: int = 2) -> dict[str, float] | None:
    """Median and 90 % range of values (n,); None where there are none."""
    import numpy as np

    if not len(values):
        return None
    low, middle, high = (round(float(value), digits) + 0.0 for value in np.percentile(values, [5, 50, 95]))
    return {"median": middle, "low": low, "high": high}


def where_words(pose: Floats, mean: Shoulders, asked: Asked) -> str:
    """What the angles count from, and what presses the joint."""
    on = pose_json(asked, pose)["on_scapula"]
    held = f"{HELD[asked.held]}, {mean.bed.compression_n[0]:.0f} N"
    if asked.frame == "scapula":
        trunk = raised_on_trunk(asked, mean)
        about = "farther than any arm on the trunk goes" if trunk is None else f"on the trunk about {trunk:.0f}°"
        return f"Angles on the shoulder blade: {about} (--frame thorax counts from there); {held}."
    turned = f"{abs(on['rotation_deg']):.0f}° {'inward' if on['rotation_deg'] > 0 else 'outward'}"
    raised = f"raised {on['elevation_deg']:.0f}° in the plane {on['plane_deg']:.0f}°".replace("-", "−")
    return f"Angles on the trunk, the blade following ({asked.rhythm}); on the blade {raised}, turned {turned}; {held}."


def raised_on_trunk(asked: Asked, mean: Shoulders) -> float | None:
    """Degrees by which the arm is raised on the trunk where it is raised so far on the blade and the blade follows."""
    import numpy as np

    from endfeel.anatomy.frames import swing_of_humerus
    from endfeel.anatomy.girdle import girdle_pose
    from endfeel.anatomy.rhythm import plane_deg
    from endfeel.anatomy.units import deg_from_rad, rad_from_deg
    from endfeel.mechanics.blade_axes import in_blade

    plane = asked.plane_deg + plane_deg(mean.library, "scapular")
    elevations = np.arange(0.0, 181.0, 5.0)
    arms = np.stack([np.full_like(elevations, plane), elevations, np.zeros_like(elevations)], axis=-1)
    girdle = girdle_pose(rad_from_deg(arms), rhythm_of(mean.library, asked), mean.traits.sizes)
    on_blade = in_blade(mean.library, girdle)
    raised = deg_from_rad(swing_of_humerus(on_blade))[:, 1]
    lowest = int(np.argmin(raised))
    if asked.elevation_deg > raised[lowest:].max():
        return None
    return float(np.interp(asked.elevation_deg, np.maximum.accumulate(raised[lowest:]), elevations[lowest:]))


def print_caveats(basis: Basis) -> None:
    """What is to be known of the pose, beside what the model leaves out anyway."""
    for caveat in basis.caveats[1:]:
        say(f"Note: {caveat}", kind="warn")


def print_sources(basis: Basis, library: Library, *, everything: bool) -> None:
    """How far the numbers may be trusted, and where they come from."""
    from endfeel.cli.share import source_lines
    from endfeel.evidence.cite import LEGEND

    count = len(basis.figures)
    more = "" if everything else "; --sources names them"
    say(
        f"Computed from {count} figures, the weakest of them {basis.provenance.label}{more}. {sentence(basis)}.",
        kind="dim",
    )
    if everything:
        print(style("Sources", "bold"))
        for line in source_lines(basis.figures, library):
            say(line, "  ", "dim")
        say(LEGEND, kind="dim")


def foot_of(basis: Basis, library: Library) -> list[str]:
    """The last lines of a picture: how far to trust it, the evidence, the caution."""
    from endfeel import __version__

    figures = f"{len(basis.figures)} figures behind it, the weakest of them {basis.provenance.label}"
    return [
        f"A computed picture, {figures}. {sentence(basis)}.",
        f"Evidence release {library.release}, endfeel {__version__}. {SHORT_CAUTION}",
    ]


def clavicle_of(library: Library, asked: Asked, mean: Shoulders) -> Floats:
    """Which way the clavicle points, seen from the scapula, (3,): at rest, or with the arm as asked on the trunk."""
    import numpy as np

    from endfeel.anatomy.girdle import girdle_pose
    from endfeel.anatomy.units import rad_from_deg

    angles = [asked.plane_deg, asked.elevation_deg, asked.rotation_deg] if asked.frame == "thorax" else [0.0, 0.0, 0.0]
    pose = girdle_pose(rad_from_deg([angles]), rhythm_of(library, asked), mean.traits.sizes)
    direction: Floats = np.asarray(pose.clavicle_from_scapula[0, 2])
    return direction


def sentence(basis: Basis) -> str:
    """What the model leaves out, as a sentence."""
    first = basis.caveats[0]
    return first[0].upper() + first[1:]
