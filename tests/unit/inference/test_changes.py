"""What would change the order: what is named is so when it is put in, and may be done."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from endfeel.assessment import assess, read_case
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer

STORIES = Path(__file__).resolve().parents[3] / "stories"
CALM = sorted(p.stem for p in STORIES.glob("*.txt") if not p.stem.startswith(("danger", "twenty")))


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


@pytest.mark.parametrize("early", [False, True])
@pytest.mark.parametrize("story", CALM)
def test_every_outcome_named_puts_the_named_one_first_and_may_be_done(
    story: str, early: bool, library: Library, model: Model
) -> None:
    case = read_case((STORIES / f"{story}.txt").read_text(encoding="utf-8"), story, library)
    case = replace(case, findings=case.findings[: len(case.findings) // 2]) if early else case
    found = assess(case, library, model=model)
    for change in found.what_would_change:
        if change.kind != "test":
            continue
        assert change.finding is not None
        assert change.procedure not in found.barred
        assert change.procedure not in found.verdict.forbidden
        seen = replace(case, findings=(*case.findings, change.finding))
        leader = infer(seen, model, with_intervals=False).beliefs[0]
        assert leader.id == change.new_leader
        assert leader.id != found.posterior.beliefs[0].id or leader.side != found.posterior.beliefs[0].side


def test_some_outcome_is_named_and_none_while_safety_stops_the_examination(library: Library, model: Model) -> None:
    named = 0
    for story in ("first_visit", "thoracic", "neck_root", "acromioclavicular"):
        case = read_case((STORIES / f"{story}.txt").read_text(encoding="utf-8"), story, library)
        early = replace(case, findings=case.findings[:3])
        named += sum(one.kind == "test" for one in assess(early, library, model=model).what_would_change)
    assert named > 3
    case = read_case((STORIES / "danger_apical.txt").read_text(encoding="utf-8"), "danger", library)
    assert not any(one.kind == "test" for one in assess(case, library, model=model).what_would_change)
