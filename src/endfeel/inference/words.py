"""Findings and figures in plain words."""

from __future__ import annotations

from endfeel.vocabulary import MOBILITY_NAMES, Catalogue, Finding, Unit, level_reached


def percent(probability: float) -> str:
    """Whole per cent; never a flat 0 or 100, which no examination can give."""
    if probability > 0.99:
        return ">99%"
    return "<1%" if probability < 0.01 else f"{probability:.0%}"


def finding_words(finding: Finding, catalogue: Catalogue) -> str:
    """One finding as a short phrase: procedure, place, what was found."""
    place = " ".join(part for part in (finding.side.value if finding.side else "", finding.level or "") if part)
    name = catalogue[finding.procedure].name
    found = ", ".join(_parts(finding)) or (f"noted: {finding.note}" if finding.note else "nothing recorded")
    return f"{name}{f' ({place})' if place else ''}: {found}"


def _parts(finding: Finding) -> list[str]:
    unit = finding.unit.value if finding.unit else ""
    said = []
    if finding.result is not None:
        said.append(finding.result.value.replace("_", " "))
    if finding.mobility is not None:
        said.append(f"grade {finding.mobility}, {MOBILITY_NAMES[finding.mobility]}")
    if finding.value is not None:
        if finding.unit is Unit.LEVEL:
            other = f" against {level_reached(finding.other)}" if finding.other is not None else ""
            said.append(f"as high as {level_reached(finding.value)}{other}")
        else:
            other = f" against {finding.other:g}" if finding.other is not None else ""
            said.append(f"{finding.value:g}{other} {unit}".rstrip())
    if finding.end_feel is not None:
        said.append(f"end feel {finding.end_feel.value.replace('_', ' ')}")
    if finding.strength is not None:
        said.append(f"strength {finding.strength} of 5")
    if finding.pain is not None:
        said.append(f"pain {finding.pain:g}")
    if finding.familiar is not None:
        said.append("familiar symptom" if finding.familiar else "symptom not the familiar one")
    if finding.apprehension is not None:
        said.append("apprehension" if finding.apprehension else "no apprehension")
    return said
