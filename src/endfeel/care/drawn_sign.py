"""Which sign of a visit is drawn in its note, and its picture, made once and kept."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from threading import Lock

from endfeel.evidence.library import Library
from endfeel.vocabulary import Finding, Result, Side

KEPT = 16
NORMAL_MOBILITY = 3
BY_HAND = ("glide", "stress", "passive_angular", "special")
_pictures: OrderedDict[tuple[str, ...], DrawnSign] = OrderedDict()
_lock = Lock()


@dataclass(frozen=True, slots=True)
class DrawnSign:
    """A picture of one procedure, with its caption and its words."""

    caption: str
    picture: str
    words: str


def leading_sign(library: Library, findings: Sequence[Finding]) -> Finding | None:
    """The first finding by hand that gave the familiar symptom, else the first not normal, of what can be drawn."""
    from endfeel.pictures.drawn import why_not_drawn

    drawn = [
        one
        for one in findings
        if one.side
        and library.catalogue[one.procedure].technique in BY_HAND
        and not why_not_drawn(library, one.procedure)
    ]
    for is_sign in (lambda one: one.familiar, _is_not_normal):
        for finding in drawn:
            if is_sign(finding):
                return finding
    return None


def drawn_sign(library: Library, finding: Finding, language: str = "") -> DrawnSign:
    """The still picture of a finding's procedure on its side. Takes about a second when it is first asked for.

    `language`: that of a sheet the person takes home, whose picture has few and plain words; none for the clinician.
    """
    from endfeel.documents import catalogue
    from endfeel.pictures.drawn import drawn_scene, model_of, scene_words, still_picture, surfaces
    from endfeel.pictures.strain_scale import scale_of

    side = finding.side or Side.RIGHT
    key = (library.release, finding.procedure, side.value, finding.level or "", language)
    say = catalogue(language) if language else {}
    with _lock:
        if key not in _pictures:
            model = model_of(library)
            scale = scale_of(library, model.shoulders.parameters)
            scene = drawn_scene(model, finding.procedure, side, finding.level or "")
            caption = f"{scene.name}, {' '.join(filter(None, (side.value, finding.level)))}"
            title = f"{say['sign_title']}, {say[side.value]}" if say else caption
            picture = still_picture(scene, surfaces(model, side), scale, title=title, plain=say.get("hands"))
            _pictures[key] = DrawnSign(caption, picture, scene_words(scene, scale))
        _pictures.move_to_end(key)
        while len(_pictures) > KEPT:
            _pictures.popitem(last=False)
        return _pictures[key]


def _is_not_normal(finding: Finding) -> bool:
    return finding.result is Result.POSITIVE or finding.mobility not in (None, NORMAL_MOBILITY)
