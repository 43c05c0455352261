"""Treating in a visit: what may be offered, one technique recorded as given, the re-test beside it."""

from __future__ import annotations

from dataclasses import dataclass

from endfeel.assessment import DEFAULT_MINUTES, compare_retests
from endfeel.care.desk import Desk
from endfeel.care.visit import VisitView, record_treatment, turn_person, view_visit
from endfeel.measurement import RetestComparison
from endfeel.treatment import Choice, Offer, Preference, choose, technique
from endfeel.treatment.json_form import check_preference
from endfeel.vocabulary import Refused, Treatment


@dataclass(frozen=True, slots=True)
class TreatmentView:
    """A visit with what may be done about it, and what re-tests say by one instrument and rater."""

    visit: VisitView
    choice: Choice
    retests: tuple[RetestComparison, ...]
    instrument: str | None
    rater: str
    preference: Preference


def view_treatment(
    desk: Desk,
    visit_id: str,
    *,
    preference: Preference | None = None,
    instrument: str | None = None,
    rater: str = "intra",
    minutes: float = DEFAULT_MINUTES,
) -> TreatmentView:
    """What may be offered in this visit now. Raises NotFound, CannotRead for an unknown kind or technique."""
    preference = preference or Preference()
    check_preference(preference, desk.library)
    view = view_visit(desk, visit_id, minutes)
    found = view.assessment
    choice = choose(
        found.posterior, found.decision, found.verdict, desk.library, position=view.position, preference=preference,
        instrument=instrument, rater=rater,
    )  # fmt: skip
    return TreatmentView(
        view, choice, compare_retests(found.case, desk.library, instrument, rater), instrument, rater, preference
    )


def give_technique(
    desk: Desk, visit_id: str, technique_id: str, entry_id: str | None = None, *, consented: bool = False
) -> str:
    """Record an offered technique as given, at the dose offered, and turn the person where it is done.

    Raises NotFound for an unknown technique; Refused when it is not on offer, with the reason, or when its screening or
    consent is missing.
    """
    one = technique(desk.library, technique_id)
    agreed = frozenset([technique_id]) if consented else frozenset()
    told = view_treatment(desk, visit_id, preference=Preference(consented=agreed))
    offer = told.choice.named(technique_id)
    if offer is None:
        reasons = [out.reason for out in told.choice.left_out if out.technique.id == technique_id]
        raise Refused(f"{one.name} is not offered here: {reasons[0] if reasons else 'nothing found calls for it'}")
    for locked in told.choice.locked:
        if locked.offer.technique.id == technique_id:
            missing = "its screening is not answered" if locked.questions else "consent to it is not recorded"
            raise Refused(f"{one.name} is not given: {missing}")
    if not offer.stays and one.kind not in ("referral", "education", "wait"):
        turn_person(desk, visit_id, offer.position)
    note = "Explained and agreed to, with a stop signal." if one.needs_consent else ""
    return record_treatment(desk, visit_id, Treatment(offer.name, offer.dose.text, note), entry_id)


def given_offers(told: TreatmentView) -> tuple[Offer, ...]:
    """Offers that were recorded as given in this visit, the last first."""
    names = [entry.treatment.technique for entry in told.visit.entries if entry.treatment]
    by_name = {offer.name: offer for offer in told.choice.everything}
    return tuple(by_name[name] for name in reversed(names) if name in by_name)
