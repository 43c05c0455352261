"""A whole visit that follows the plan: the person is turned as seldom as the plan promises."""

from __future__ import annotations

from itertools import pairwise

from starlette.testclient import TestClient

from endfeel import care
from endfeel.vocabulary import OutcomeKind

FOLLOWED = 24
MOST_TURNS = 3
MINUTES = 45
UNEVENTFUL = {
    OutcomeKind.GLIDE: {"mobility": "3", "pain": "0"},
    OutcomeKind.STRESS: {"mobility": "3", "pain": "0"},
    OutcomeKind.ANGULAR: {"end_feel": "firm_capsular", "pain": "0"},
    OutcomeKind.LENGTH: {"end_feel": "firm_muscular", "pain": "0"},
    OutcomeKind.ACTIVE: {"pain": "0"},
    OutcomeKind.TEST: {"result": "negative"},
    OutcomeKind.RESISTED: {"strength": "5", "pain": "0"},
    OutcomeKind.PALPATION: {"pain": "0"},
    OutcomeKind.NEURO: {"result": "normal"},
    OutcomeKind.VITAL: {"result": "normal"},
    OutcomeKind.OBSERVATION: {"result": "normal"},
}
"""What is recorded of each kind when nothing is found."""


def test_following_the_first_planned_step_turns_the_person_at_most_three_times(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    unasked = care.view_visit(desk, visit_id).assessment.verdict.unanswered
    care.set_screen(desk, visit_id, dict.fromkeys(unasked, False))
    places = [care.view_visit(desk, visit_id).position]
    followed = 0
    for _ in range(FOLLOWED):
        steps = care.view_visit(desk, visit_id, MINUTES).assessment.plan.steps
        if not steps:
            break
        step = steps[0]
        given = {"procedure": step.procedure, "side": str(step.side or ""), "level": step.level or ""}
        given |= UNEVENTFUL[desk.library.catalogue[step.procedure].outcomes] | {"position": str(step.position)}
        answer = client.post(f"/visits/{visit_id}/findings", data=given)
        assert answer.status_code == 303, answer.text
        followed += 1
        places.append(care.view_visit(desk, visit_id).position)
    turns = sum(one != other for one, other in pairwise(places))
    assert followed == FOLLOWED
    assert turns <= MOST_TURNS, places
