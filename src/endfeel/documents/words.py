"""How the note says the nouns of the trade."""

from __future__ import annotations

from collections.abc import Iterable
from unicodedata import category

from endfeel.evidence.figures import Provenance
from endfeel.vocabulary import MOBILITY_NAMES, Finding, Side, Unit, level_reached

NOT_RECORDED = "–"
MINUS = "\u2212"
REGIONS = {
    "active_motion": "Active motion and general observation",
    "thoracic": "Mid-thoracic spine and ribs",
    "cervicothoracic": "Neck and cervicothoracic junction",
    "scapulothoracic": "Shoulder blade on the thorax",
    "sternoclavicular": "Sternoclavicular joint",
    "acromioclavicular": "Acromioclavicular joint",
    "glenohumeral": "Glenohumeral joint",
    "cuff_strength": "Rotator cuff and strength",
    "neuro_vascular": "Nerves and vessels",
}
"""Regions in the order a note reads them; unknown regions follow under their own id."""
UNITS = {"deg": "°", "mm": " mm", "cm": " cm", "%": " %"}


def clean(text: str) -> str:
    """Text of a person's record without control characters; everything else stays as it was written."""
    return "".join(one if one == "\n" or category(one) not in ("Cc", "Cs", "Cn") else "\ufffd" for one in text)


def plain(value: float) -> str:
    """`35`, `−40`, `2.5`: with a true minus sign."""
    return f"{value:.4g}".replace("-", MINUS)


def signed(value: float) -> str:
    """`+4.2` or `−3.8`."""
    return f"{value:+.1f}".replace("-", MINUS)


def quantity(value: float, unit: str) -> str:
    """`35°`, `48 N`, `T7`."""
    if unit == Unit.LEVEL:
        return level_reached(value)
    return f"{plain(value)}{UNITS.get(unit, f' {unit}' if unit else '')}"


def apart(value: float, other: float, unit: str) -> str:
    """A value minus the other side's: `−30°`, `3 levels lower`."""
    if unit != Unit.LEVEL:
        return f"difference {quantity(value - other, unit)}"
    steps = int(abs(value - other))
    word = "level" if steps == 1 else "levels"
    return f"{steps} {word} {'lower' if value < other else 'higher'}" if steps else "same level"


def weakest(labels: Iterable[str]) -> str:
    """The label that says least for a figure: practice before memory before read."""
    return max(labels, key=[label.label for label in Provenance].index, default=Provenance.PRACTICE.label)


def sentence(text: str) -> str:
    """With a capital first letter."""
    return text[:1].upper() + text[1:]


def spoken(identifier: str) -> str:
    return "side-lying" if identifier == "side_lying" else identifier.replace("_", " ")


def side_and_level(side: Side | str | None, level: str | None) -> str:
    return " ".join(str(one) for one in (level, side) if one) or "central"


def found_words(finding: Finding) -> str:
    """What a finding says, without pain, end feel and the other side."""
    parts = []
    unit = finding.unit.value if finding.unit else ""
    if finding.value is not None:
        parts.append(quantity(finding.value, unit))
    if finding.mobility is not None:
        parts.append(f"{finding.mobility}/6 {MOBILITY_NAMES[finding.mobility]}")
    if finding.strength is not None:
        parts.append(f"strength {finding.strength}/5")
    if finding.result is not None:
        parts.append(spoken(finding.result))
    if finding.apprehension is not None:
        parts.append("apprehension" if finding.apprehension else "no apprehension")
    if finding.resistance_onset is not None:
        parts.append(f"resistance from {quantity(finding.resistance_onset, unit)}")
    return joined(parts)


def pain_words(finding: Finding) -> str:
    parts = []
    if finding.pain is not None:
        parts.append(f"{plain(finding.pain)}/10")
    if finding.pain_onset is not None:
        parts.append(f"from {quantity(finding.pain_onset, finding.unit.value if finding.unit else '')}")
    return joined(parts, " ")


def yes_no(answer: bool | None) -> str:
    return NOT_RECORDED if answer is None else "yes" if answer else "no"


def joined(parts: Iterable[str], by: str = ", ") -> str:
    return by.join(parts) or NOT_RECORDED
