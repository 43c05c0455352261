"""Invented people written from published patterns: who must stand high, and how urgent it is. All of them invented.

`basis` names sources of the evidence whose pattern the vignette follows; where a pattern is custom of the trade alone,
it says `practice-custom` and no publication stands behind it.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from endfeel.assessment import Assessment, assess, read_case
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model
from endfeel.safety import Urgency

STORIES = Path(__file__).resolve().parents[3] / "stories"
TOP = 3
VIGNETTES = [
    # story, contributors one of which must be among the first three, basis
    ("frozen", {"capsule_global"}, "frozen1984"),
    ("osteoarthritis", {"gh_osteoarthritis"}, "johnston2016"),
    ("cuff_tear", {"supraspinatus_tear_full"}, "park2005 castoldi2009"),
    ("torn_in_front", {"subscapularis_tear"}, "barth2006-2"),
    ("anterior_laxity", {"lax_aighl"}, "lo2004 farber2006"),
    ("loose_in_every_direction", {"multidirectional_laxity"}, "helmig1990"),
    ("acromioclavicular", {"ac_sprain", "ac_arthropathy"}, "walton2004-2 chronopoulos2004"),
    ("sternoclavicular", {"sc_hypomobility_elevation"}, "practice-custom"),
    ("thoracic", {"segment_stiffness.T5"}, "practice-custom"),
    ("neck_root", {"cervical_radiculopathy"}, "wainner2003"),
    ("winged_blade", {"long_thoracic_palsy"}, "practice-custom"),
    ("thrower_stiff_behind", {"capsule_posterior_middle", "posterior_cuff_short"}, "practice-custom"),
]
DANGEROUS = [
    # story, flag that must be raised, least urgency, basis
    ("danger_apical", "pancoast", Urgency.SAME_DAY, "hou2025 shanmugathas2019"),
    ("danger_fracture", "fracture", Urgency.EMERGENCY, "emond2009"),
    ("danger_locked_posterior", "gh_posterior_dislocation", Urgency.EMERGENCY, "xu2015"),
    ("danger_hot_collarbone", "sc_infection", Urgency.SAME_DAY, "practice-custom"),
    ("danger_heart", "cardiac", Urgency.EMERGENCY, "acute2021"),
    ("danger_clot", "uedvt", Urgency.SAME_DAY, "constans-clinical-decision-score case-throwing-athlete-with"),
    ("danger_neck_artery", "cad", Urgency.EMERGENCY, "rushton2023 keser2022"),
]


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def assessed(name: str, library: Library, model: Model) -> Assessment:
    case = read_case((STORIES / f"{name}.txt").read_text(encoding="utf-8"), name, library)
    assert case.invented
    return assess(case, library, model=model)


def test_every_basis_is_a_source_of_the_evidence(library: Library) -> None:
    for *_, basis in (*VIGNETTES, *DANGEROUS):
        for source in basis.split():
            assert source in library.sources, source
    assert len(VIGNETTES) + len(DANGEROUS) >= 15


@pytest.mark.parametrize(("name", "wanted", "basis"), VIGNETTES, ids=[one[0] for one in VIGNETTES])
def test_the_ranking_holds_what_the_pattern_is_of(
    name: str, wanted: set[str], basis: str, library: Library, model: Model
) -> None:
    found = assessed(name, library, model)
    first = [belief.id for belief in found.posterior.beliefs[:TOP]]
    assert wanted & set(first), first
    assert found.verdict.urgency.rank < Urgency.URGENT.rank
    assert not found.contradictions


def test_a_nerve_that_does_not_conduct_calls_for_a_letter_first(library: Library, model: Model) -> None:
    best = assessed("winged_blade", library, model).decision.worthwhile[0]
    assert (best.kind, best.treatment_class) == ("referral", "refer")


@pytest.mark.parametrize(("name", "flag", "urgency", "basis"), DANGEROUS, ids=[one[0] for one in DANGEROUS])
def test_a_danger_leads_and_withholds_treatment(
    name: str, flag: str, urgency: Urgency, basis: str, library: Library, model: Model
) -> None:
    found = assessed(name, library, model)
    raised = {one.id: one.urgency for one in found.verdict.raised}
    assert flag in raised, raised
    assert raised[flag].rank >= urgency.rank
    assert found.verdict.withholds_treatment
    assert found.decision.worthwhile == ()
    assert found.next_tests == ()
