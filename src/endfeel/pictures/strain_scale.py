"""How strain is drawn: six steps, each with a colour, a width and a pattern of its own, so that colour is not needed.

The steps end where the evidence puts them: slack, taking up slack (the toe), taut, firm (beyond the strain of a firm
passive end), beyond the least strain at which a capsule was seen to fail, beyond that at which bands fail in the mean.
Strain is that of whole fibres from bone to bone; what was measured in the middle of a band is told of the whole by the
ratio of the two in the one study that has both.
"""

from __future__ import annotations

from dataclasses import dataclass

from endfeel.anatomy.units import Floats
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.mechanics.parameters import Parameters
from endfeel.pictures.svg import PAPER, Value, line, polyline


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the scale."""

    word: str
    colour: str
    width: float
    dashes: str
    cored: bool = False
    """A white line in the middle: drawn double."""


SLACK = Step("slack", "#98a2a8", 1.3, "1.5 4")
TAKING_UP = Step("taking up slack", "#5aa9cf", 2.2, "7 4")
TAUT = Step("taut", "#2470a6", 2.8, "")
FIRM = Step("firm", "#8f3413", 5.2, "")
VERY_FIRM = Step("very firm", "#5e1d0c", 6.0, "15 3")
BEYOND = Step("past failure", "#16181a", 6.4, "", cored=True)
STEPS = (SLACK, TAKING_UP, TAUT, FIRM, VERY_FIRM, BEYOND)


@dataclass(frozen=True, slots=True)
class StrainScale:
    """Where the steps end, in percent of slack length."""

    toe: float
    firm: float
    first_fails: float
    failure: float

    def step(self, strain_percent: float) -> Step:
        """The step that a strain falls in."""
        bounds = (0.0, self.toe, self.firm, self.first_fails, self.failure)
        return STEPS[sum(strain_percent > bound for bound in bounds)]

    def range_words(self, step: Step) -> str:
        """ "3 to 5 %"."""
        return {
            SLACK: "none",
            TAKING_UP: f"0 to {self.toe:.0f} %",
            TAUT: f"{self.toe:.0f} to {self.firm:.0f} %",
            FIRM: f"{self.firm:.0f} to {self.first_fails:.0f} %",
            VERY_FIRM: f"{self.first_fails:.0f} to {self.failure:.0f} %",
            BEYOND: f"over {self.failure:.0f} %",
        }[step]


CAPSULE_FAILS_MIDDLE, BAND_FAILS_MIDDLE = "ligament_geometry.lg040.value", "ligament_geometry.lg033.value"
"""Strain in the middle when the capsule fails in the apprehension position, and when a band is pulled till it fails."""


def scale_of(library: Library, parameters: Parameters) -> StrainScale:
    """The steps where the evidence has them."""
    toe, firm, failure = (parameters.mean(f"{name}_strain_percent") for name in ("toe", "end", "tissue_failure"))
    first, middle = (number(library.figure(name)) for name in (CAPSULE_FAILS_MIDDLE, BAND_FAILS_MIDDLE))
    return StrainScale(toe, firm, first * failure / middle, failure)


def stroke(points: Floats, step: Step, opacity: float = 1.0, halo: bool = True) -> str:
    """A fibre through points (k, 2), drawn after its step; a pale halo sets it off from bone."""
    shown: dict[str, Value] = {"stroke_linejoin": "round", "opacity": opacity}
    under = ""
    if halo and step is not SLACK:
        under = polyline(points, stroke=PAPER, stroke_width=step.width + 2.0, **{**shown, "opacity": 0.7 * opacity})
    dashes: dict[str, Value] = {"stroke_dasharray": step.dashes} if step.dashes else {"stroke_linecap": "round"}
    over = polyline(points, stroke=step.colour, stroke_width=step.width, **shown, **dashes)
    core = polyline(points, stroke=PAPER, stroke_width=step.width / 3.0, **shown) if step.cored else ""
    return under + over + core


def sample(x: float, y: float, length: float, step: Step) -> str:
    """A short level piece of the pattern, for legends and tables."""
    dashes = {"stroke_dasharray": step.dashes} if step.dashes else {}
    over = line(x, y, x + length, y, step.colour, step.width, **dashes)
    return over + (line(x, y, x + length, y, PAPER, step.width / 3.0) if step.cored else "")
