"""How much: grade 1 says more than grade 2, strength 1 of 5 more than 4.

An outcome that has degrees gets a second one inside it, asked only where the first was seen: `very_stiff` in what is
stiff, `very_slack` in what is slack, `very_weak` in what is weak. In a resisted test that weakness or pain makes
positive, `weak_within` says that it was weak and, inside that, `painless` that it was weak without pain. Shares are
custom, by kind of cause.
"""

from __future__ import annotations

from collections.abc import Mapping

from endfeel.inference.contributors import Contributor
from endfeel.inference.examiner import Hands
from endfeel.inference.links import BinarySpec, Key, Link
from endfeel.inference.parameters import Parameters
from endfeel.inference.pooling import Beta

WEAK_WITHIN = "weak_within"
PAINLESS = "painless"
DEGREES: Mapping[str, str] = {
    "hypo": "very_stiff",
    "hyper": "very_slack",
    "weak": "very_weak",
    "positive": WEAK_WITHIN,
}
"""Outcome to the one inside it; inside a positive only where weakness or pain makes it so."""
WITHIN = frozenset({*DEGREES.values(), PAINLESS})
_BY_KIND = ("very_weak", WEAK_WITHIN, PAINLESS)


def degree_specs(
    specs: Mapping[Key, BinarySpec],
    contributors: tuple[Contributor, ...],
    parameters: Parameters,
    hands: Hands,
) -> dict[Key, BinarySpec]:
    """The outcomes inside those that have degrees, with the same causes, weakened by the same hand."""
    made: dict[Key, BinarySpec] = {}
    resisted = [key for key in specs if key[0] in parameters.weakness_or_pain and key[1] == "positive"]
    inside_weak = [(procedure, WEAK_WITHIN, inner) for procedure, _ in resisted for inner in ("very_weak", PAINLESS)]
    for procedure, outcome, inner in [*((*key, DEGREES.get(key[1])) for key in specs), *inside_weak]:
        spec = made.get((procedure, outcome)) or specs.get((procedure, outcome))
        if inner is None or spec is None or (inner == WEAK_WITHIN and (procedure, outcome) not in resisted):
            continue
        key = procedure, inner
        name = f"{inner}_by_chance_share"
        leak = Beta(parameters[name], parameters["model_weight"])
        carried, kappa_figure = hands.carried_share((procedure, "positive" if outcome == WEAK_WITHIN else outcome))
        causes = []
        for index, _, link in spec.causes:
            told = f"{inner}_{_kind(contributors[index])}_share" if inner in _BY_KIND else f"{inner}_share"
            shown = leak.mean + carried * (parameters[told] - leak.mean)
            present = Beta(shown, parameters["model_weight"])
            q = (present.mean - leak.mean) / (1.0 - leak.mean)
            if q > 0.0:
                own = f"inference.{told}", f"inference.{name}", *((kappa_figure,) if kappa_figure else ())
                figures = tuple(dict.fromkeys((*link.figures, *own)))
                causes.append((index, q, Link(link.contributor, key, present, leak, figures, "practice")))
        if causes:
            made[key] = BinarySpec(key, leak, tuple(causes), "none" if inner == PAINLESS else spec.loading)
    return made


def _kind(contributor: Contributor) -> str:
    """A nerve that does not conduct, a torn tendon, or anything else."""
    if contributor.tissue == "nerve":
        return "nerve"
    return "tear" if contributor.id.endswith(("_tear", "_tear_full")) else "other"
