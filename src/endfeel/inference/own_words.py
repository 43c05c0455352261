"""What one's own agreement changes in the reading of a case, in plain words."""

from __future__ import annotations

from endfeel.evidence.library import Library
from endfeel.inference.examiner import Examiner, Hands, Place, hands_of
from endfeel.inference.model import Model
from endfeel.inference.observations import observe
from endfeel.vocabulary import Case

_WORDS = {"hypo": "stiff", "hyper": "slack"}


def own_words(case: Case, library: Library, model: Model, examiner: Examiner) -> tuple[str, ...]:
    """Whose hands, then a phrase for each outcome or angle of the case whose weight they changed, as found. `model` is
    the one of the usual hands."""
    hands = hands_of(library, model.parameters, examiner)
    seen = observe(case, model)
    said = [_outcome(one.key, model, hands) for one in seen.binaries]
    said += [_angle(one.procedure, model, hands) for one in seen.angles]
    phrases = tuple(dict.fromkeys(phrase for phrase in said if phrase))
    head = f"read with your own hands' agreement ({examiner.name}):"
    return (head, *phrases) if phrases else (f"{head} it changes none of these findings",)


def _outcome(key: Place, model: Model, hands: Hands) -> str:
    """`model` is the usual one: it knows outcomes of which these hands leave nothing, too."""
    own = hands.own(key)
    if own is None:
        return ""
    studied = all(link.published for _, _, link in model.binaries[key].causes)
    usual, here, lean = hands.published_kappa(key)[0], max(0.0, hands.kappa(key)), hands.lean(key)
    said = []
    if here < usual or (here > usual and not studied):
        word = "less" if here < usual else "more"
        word = f"counts for {word}" if here else "tells nothing"
        said.append(f"{word} (kappa {here:.2f}, usual {usual:.2f}, your own {own.kappa:.2f})")
    if lean and here:
        word = "sooner than others, so that finding it says less and missing it more"
        if lean < 0:
            word = "later than others, so that finding it says more and missing it less"
        said.append(f"you report it {word} (lean {lean:+.2f})")
    if not said:
        return ""
    name = model.catalogue[key[0]].name
    outcome = _WORDS.get(key[1], key[1].replace(":", " ").replace("_", " "))
    return f"{name}, {outcome}: {'; '.join(said)}; {own.subjects} people"


def _angle(procedure: str, model: Model, hands: Hands) -> str:
    own = hands.errors.get(procedure)
    if own is None:
        return ""
    used = hands.error_sd_deg(procedure, model.angles[procedure].error_sd_deg)
    return (
        f"{model.catalogue[procedure].name}: error {used:.1f} degrees (your own {own.sd_deg:.1f}, {own.subjects} "
        "people, moved towards the usual)"
    )
