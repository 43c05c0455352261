"""A verdict kept from before is the one that would be reckoned anew, and is forgotten when it has to be."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from endfeel import care, safety
from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.safety import verdict
from endfeel.safety import verdict as judge
from endfeel.vocabulary import Case, Finding, Side

STORIES = [one for one in sorted((Path(__file__).parents[3] / "stories").glob("*.txt")) if one.stem != "twenty_faults"]


def read(path: Path, library: Library) -> Case:
    return read_case(path.read_text(encoding="utf-8"), path.name, library)


@pytest.mark.parametrize("path", STORIES, ids=lambda path: path.stem)
def test_finding_by_finding_it_is_what_it_is_anew(path: Path, library: Library) -> None:
    case = read(path, library)
    grown = [replace(case, findings=case.findings[:many]) for many in range(len(case.findings) + 1)]
    kept = [judge(one, library) for one in grown]
    for one, before in zip(grown, kept, strict=True):
        safety.forget()
        assert judge(one, library) == before


def test_what_only_a_finding_shows_is_seen_beside_flags_that_are_kept(library: Library) -> None:
    case = read(STORIES[0], library)
    verdict(case, library)
    loose = replace(case, findings=(*case.findings, Finding("gh_ant", Side.RIGHT, mobility=6)))
    assert verdict(loose, library).precautions != verdict(case, library).precautions


def test_another_library_of_the_same_release_is_asked_itself(library: Library) -> None:
    case = replace(read(STORIES[0], library), screen={"trauma_recent": True})
    rules = dict(library.documents["safety_rules"])
    rules["cue"] = [{**one, "question": f"Asked otherwise: {one['question']}"} for one in rules["cue"]]
    other = replace(library, documents={**library.documents, "safety_rules": rules})
    assert verdict(case, library).unanswered == verdict(case, other).unanswered
    raised = [reason for flag in (*verdict(case, other).raised, *verdict(case, other).not_excluded)
              for reason in flag.reasons]  # fmt: skip
    assert raised
    assert all(one.question.startswith("Asked otherwise") for one in raised)


def test_an_erased_person_stays_in_no_verdict(tmp_path: Path, library: Library) -> None:
    from endfeel.safety.verdict import _flags_of, _verdict_of

    desk = care.open_desk(str(tmp_path / "records.sqlite"), unencrypted=True)
    care.view_visit(desk, care.import_case(desk, read(STORIES[0], library)))
    assert _flags_of.cache_info().currsize
    (person,) = care.list_people(desk)
    care.delete_person(desk, person.id)
    assert _flags_of.cache_info().currsize == _verdict_of.cache_info().currsize == 0
    desk.engine.dispose()
