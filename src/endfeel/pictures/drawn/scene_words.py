"""The picture in words, for those who cannot see it: how the person lies, what is held, what moves, what is taut."""

from __future__ import annotations

from endfeel.mechanics.band_names import band_name
from endfeel.pictures.drawn.drawn_scene import DrawnScene
from endfeel.pictures.strain_scale import SLACK, StrainScale
from endfeel.pictures.svg import joined
from endfeel.vocabulary import Position

_LIES = {
    Position.SIDE_LYING: "The person lies on the other side, the {side} shoulder up",
    Position.SUPINE: "The person lies on the back; the {side} shoulder is drawn",
    Position.PRONE: "The person lies face down; the {side} shoulder is drawn",
    Position.SITTING: "The person sits; the {side} shoulder is drawn",
    Position.STANDING: "The person stands; the {side} shoulder is drawn",
}
_ROLES = {
    "fixes": "holds",
    "moves": "moves",
    "resists": "resists",
    "feels": "feels",
}
_TAUT_NAMED = 4


def role_words(role: str) -> str:
    """What is written beside a hand."""
    return _ROLES[role]


def scene_words(scene: DrawnScene, scale: StrainScale) -> str:
    """A few sentences."""
    said = [_LIES[scene.position].format(side=scene.side.value)]
    at = f" at {scene.level}" if scene.level else ""
    for hand in scene.hands:
        if hand.role == "fixes":
            said.append(f"One hand holds: {hand.words}{_below(scene, hand.role)}")
        elif hand.role == "resists":
            said.append("The other hand gives resistance" if len(scene.hands) > 1 else "The hand gives resistance")
        elif hand.role == "moves":
            other = "The other hand" if len(scene.hands) > 1 else "One hand"
            said.append(f"{other} moves: {hand.words}{at}")
        else:
            said.append(f"A hand feels the place{at}")
    if scene.arrows and scene.direction != "none":
        word = "The person pushes" if scene.kind == "hold" else "The arrow shows the way"
        on_curve = any(one.role == "fossa" for one in scene.arrows) and "curved" not in scene.direction
        said.append(f"{word}: {scene.direction}{' along the curve of the socket' if on_curve else ''}")
    said.append(_taut(scene, scale))
    if scene.asked_force_n > scene.force_n:
        said.append(
            f"The glide is drawn under {scene.force_n:g} N: under {scene.asked_force_n:g} N the model's head slips "
            "over the rim, which a living one does not"
        )
    if scene.lit:
        told = [f"{one.name} {100.0 * one.probability:.0f} %" for one in scene.lit]
        said.append(f"Lit as contributors: {joined(told)}")
    return ". ".join(part for part in said if part) + "."


def taut_bands(scene: DrawnScene, scale: StrainScale) -> list[tuple[str, float]]:
    """Bands with a fibre taut at the end of the movement, the tightest first: name and strain in per cent."""
    tightest: dict[str, float] = {}
    for fibre in scene.end_fibres:
        if scale.step(fibre.strain_percent) is not SLACK:
            tightest[fibre.band] = max(tightest.get(fibre.band, 0.0), fibre.strain_percent)
    return sorted(tightest.items(), key=lambda one: -one[1])


def _taut(scene: DrawnScene, scale: StrainScale) -> str:
    tight = taut_bands(scene, scale)
    if not tight:
        return "No drawn band is taut"
    told = [f"{band_name(band)} ({scale.step(strain).word})" for band, strain in tight[:_TAUT_NAMED]]
    more = f" and {len(tight) - _TAUT_NAMED} more" if len(tight) > _TAUT_NAMED else ""
    return f"Taut at the end, by the model: {joined(told)}{more}"


def _below(scene: DrawnScene, role: str) -> str:
    return f" below {scene.level}" if role == "fixes" and scene.level and scene.fixed.endswith("vertebra") else ""
