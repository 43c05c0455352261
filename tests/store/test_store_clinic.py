"""A clinic: sign-in and lock-out, rights by role and person, break-glass, counter-signature, consent that gates."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import pyotp
import pytest
from argon2 import PasswordHasher
from sqlalchemy import inspect, text

from endfeel import care
from endfeel.care import way_in as way
from endfeel.care.allowed import ACTS, RIGHT_OF, RIGHTS
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model
from endfeel.records import open_engine
from endfeel.records.audit import audit_of, verify
from endfeel.records.store import reading
from endfeel.vocabulary import CannotRead, Complaint, Finding, NotAllowed, Person, Refused, Side

WORDS = "several long words"
START = datetime(2026, 11, 26, 9, tzinfo=UTC)


@dataclass
class Clinic:
    """A clinic with a clock that is set by hand."""

    desk: care.Desk
    now: datetime = START

    def hire(self, name: str, role: str, supervisor: str = "") -> care.Staff:
        care.add_staff(self.desk, name, role, supervisor)
        return next(one for one in care.list_staff(self.desk) if one.name == name)

    def at(self, staff: care.Staff) -> care.Desk:
        return care.desk_of(self.desk, staff)

    def later(self, **much: float) -> None:
        self.now += timedelta(**much)

    def rows(self, act: str) -> list[tuple[str, str, str]]:
        wanted = text("SELECT who, detail, why FROM audit WHERE act = :act ORDER BY place")
        with self.desk.engine.connect() as connection:
            return [(row[0], row[1], row[2]) for row in connection.execute(wanted, {"act": act})]


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hashing is meant to be slow; one test looks at what it costs in earnest."""
    monkeypatch.setattr(way, "_HASHER", PasswordHasher(time_cost=1, memory_cost=64, parallelism=1))


@pytest.fixture(scope="session")
def model(library: Library) -> Model:
    return build_model(library)


@pytest.fixture
def desk(store_address: str, library: Library, model: Model) -> Iterator[care.Desk]:
    """An empty store; the evidence is loaded once."""
    engine = open_engine(store_address)
    yield care.Desk(engine, library, model, lambda: datetime.now(UTC))
    engine.dispose()


@pytest.fixture
def clinic(desk: care.Desk) -> Clinic:
    made = Clinic(desk)
    made.desk = replace(desk, clock=lambda: made.now)
    made.hire("Ada", "administrator")
    return made


def set_up(clinic: Clinic, name: str = "Tom", role: str = "therapist") -> tuple[care.Staff, str]:
    """Somebody who has chosen a password and set up a generator; its secret."""
    staff_id, once = care.add_staff(clinic.desk, name, role)
    here = care.session_of(clinic.desk, care.sign_in(clinic.desk, name, once))
    assert here is not None
    at = clinic.at(here.staff)
    care.choose_password(at, here, once, WORDS, WORDS)
    secret, address = care.begin_generator(at, here)
    assert secret in address
    assert len(care.confirm_generator(at, here, code(clinic, secret))) == 10
    return next(one for one in care.list_staff(clinic.desk) if one.id == staff_id), secret


def code(clinic: Clinic, secret: str) -> str:
    return pyotp.TOTP(secret).at(clinic.now)


def visit_of(desk: care.Desk, label: str = "Invented one") -> tuple[str, str]:
    person = care.new_person(desk, label, Person(40, "female", Side.RIGHT), invented=True)
    return person, care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT, story="lifting")))


# ---- signing in ----------------------------------------------------------------------------------------------------


def test_one_therapist_has_no_sign_in_until_the_first_administrator_is_made(desk: care.Desk) -> None:
    assert not care.clinic_is_on(desk)
    with pytest.raises(CannotRead, match="first one keeps the list"):
        care.add_staff(desk, "Tom", "therapist")
    care.add_staff(desk, "Ada", "administrator")
    assert care.clinic_is_on(desk)
    with pytest.raises(CannotRead, match="somebody of that name"):
        care.add_staff(desk, "ADA", "lead")
    with pytest.raises(CannotRead, match="a student has a supervisor"):
        care.add_staff(desk, "Stu", "student")


def test_password_then_code_and_no_code_serves_twice(clinic: Clinic) -> None:
    staff, secret = set_up(clinic)
    half = care.sign_in(clinic.desk, "tom", WORDS)
    halfway = care.session_of(clinic.desk, half)
    assert halfway is not None
    assert not halfway.is_whole
    with pytest.raises(Refused):
        care.give_code(clinic.desk, half, code(clinic, secret))  # it was used when the generator was set up
    clinic.later(seconds=30)
    whole = care.give_code(clinic.desk, half, code(clinic, secret))
    here = care.session_of(clinic.desk, whole)
    assert here is not None
    assert here.is_whole
    assert here.staff.id == staff.id
    assert care.session_of(clinic.desk, half) is None, "the token of halfway is gone"
    again = care.sign_in(clinic.desk, "Tom", WORDS)
    with pytest.raises(Refused):
        care.give_code(clinic.desk, again, code(clinic, secret))
    care.sign_out(clinic.desk, whole)
    assert care.session_of(clinic.desk, whole) is None


def test_nothing_secret_is_kept_as_it_was_given(clinic: Clinic) -> None:
    set_up(clinic)
    token = care.sign_in(clinic.desk, "Tom", WORDS)
    with clinic.desk.engine.connect() as connection:
        for table in ("staff", "sign_in", "recovery_code", "audit"):
            told = repr(connection.execute(text(f"SELECT * FROM {table}")).all())  # noqa: S608
            assert WORDS not in told
            assert token not in told
        password = connection.execute(text("SELECT password FROM staff WHERE name = 'Tom'")).scalar()
    assert str(password).startswith("$argon2id$")


def test_hashing_costs_what_the_library_holds_for_right(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    cost = PasswordHasher()
    assert (cost.memory_cost, cost.time_cost) == (way._HASHER.memory_cost, way._HASHER.time_cost)
    assert cost.memory_cost >= 64 * 1024, "kibibytes; the second choice of RFC 9106"
    kept = way.hashed("Straße of several words")
    assert way.is_password(kept, "Straße of several words")
    assert not way.is_password(kept, "Strasse of several words")
    assert not way.is_password("", "Straße of several words")


def test_repeated_failure_locks_for_longer_and_longer_and_is_told(clinic: Clinic) -> None:
    set_up(clinic)
    for _ in range(way.TRIES):
        with pytest.raises(Refused, match="not right"):
            care.sign_in(clinic.desk, "Tom", "wrong words for it")
    with pytest.raises(Refused, match="not right"):
        care.sign_in(clinic.desk, "Tom", WORDS)  # right, but locked, in the same words
    first = clinic.now + way.FIRST_PAUSE
    assert next(one for one in care.list_staff(clinic.desk) if one.name == "Tom").locked_until == first
    clinic.now = first
    with pytest.raises(Refused):
        care.sign_in(clinic.desk, "Tom", "wrong words for it")
    assert (
        next(one for one in care.list_staff(clinic.desk) if one.name == "Tom").locked_until
        == first + 2 * way.FIRST_PAUSE
    )
    clinic.now = first + 2 * way.FIRST_PAUSE
    assert care.sign_in(clinic.desk, "Tom", WORDS)
    told = clinic.rows("sign-in failed")
    assert len(told) == way.TRIES + 2
    assert {who for who, _, _ in told} == {"Tom"}
    assert sum("locked until" in detail for _, detail, _ in told) == 3


def test_wrong_codes_count_and_a_right_password_between_does_not_wipe_them(clinic: Clinic) -> None:
    set_up(clinic)
    for _ in range(way.TRIES):
        half = care.sign_in(clinic.desk, "Tom", WORDS)
        with pytest.raises(Refused):
            care.give_code(clinic.desk, half, "000000")
    with pytest.raises(Refused):
        care.sign_in(clinic.desk, "Tom", WORDS)


def test_an_unknown_name_is_told_without_it_and_takes_no_less_work(
    clinic: Clinic, monkeypatch: pytest.MonkeyPatch
) -> None:
    checked = []
    real = way.is_password
    monkeypatch.setattr(way, "is_password", lambda kept, given: checked.append(kept) or real(kept, given))
    with pytest.raises(Refused, match="not right"):
        care.sign_in(clinic.desk, "my password typed here", WORDS)
    assert checked == [""]
    assert clinic.rows("sign-in failed") == [("nobody signed in", "a name that is not known here", "password")]


def test_a_recovery_code_serves_once(clinic: Clinic) -> None:
    _, once = care.add_staff(clinic.desk, "Tom", "therapist")
    here = care.session_of(clinic.desk, care.sign_in(clinic.desk, "Tom", once))
    assert here is not None
    at = clinic.at(here.staff)
    secret, _ = care.begin_generator(at, here)
    paper = care.confirm_generator(at, here, code(clinic, secret))[0]
    half = care.sign_in(clinic.desk, "Tom", once)
    assert care.give_code(clinic.desk, half, paper.lower().replace("-", " "))
    half = care.sign_in(clinic.desk, "Tom", once)
    with pytest.raises(Refused):
        care.give_code(clinic.desk, half, paper)
    assert clinic.rows("recovery code used") == [("Tom", "9 left", "second factor")]


def test_a_session_ends_when_idle_and_ends_at_last(clinic: Clinic) -> None:
    _, secret = set_up(clinic)
    clinic.later(minutes=1)
    token = care.give_code(clinic.desk, care.sign_in(clinic.desk, "Tom", WORDS), code(clinic, secret))
    for _ in range(24):
        clinic.later(minutes=29)
        assert care.session_of(clinic.desk, token, touch=True) is not None
    clinic.later(minutes=29)
    assert care.session_of(clinic.desk, token, touch=True) is None, "twelve hours are over"
    token = care.give_code(clinic.desk, care.sign_in(clinic.desk, "Tom", WORDS), code(clinic, secret))
    clinic.later(minutes=20)
    assert care.session_of(clinic.desk, token) is not None, "a look without a touch"
    clinic.later(minutes=11)
    assert care.session_of(clinic.desk, token) is None
    assert [why for _, _, why in clinic.rows("signed out")].count("the time was over") == 2
    half = care.sign_in(clinic.desk, "Tom", WORDS)
    clinic.later(minutes=11)
    with pytest.raises(Refused, match="too long"):
        care.give_code(clinic.desk, half, code(clinic, secret))


def test_who_leaves_or_is_made_anew_is_out_at_once(clinic: Clinic) -> None:
    staff, secret = set_up(clinic)
    clinic.later(minutes=1)
    token = care.give_code(clinic.desk, care.sign_in(clinic.desk, "Tom", WORDS), code(clinic, secret))
    once = care.reset_sign_in(clinic.desk, staff.id)
    assert care.session_of(clinic.desk, token) is None
    with pytest.raises(Refused):
        care.sign_in(clinic.desk, "Tom", WORDS)
    here = care.session_of(clinic.desk, care.sign_in(clinic.desk, "Tom", once))
    assert here is not None
    assert (here.staff.must_choose, here.staff.has_second, here.is_whole) == (True, False, False)
    care.end_staff(clinic.desk, staff.id)
    with pytest.raises(Refused):
        care.sign_in(clinic.desk, "Tom", once)
    ada = next(one for one in care.list_staff(clinic.desk) if one.name == "Ada")
    with pytest.raises(Refused, match="last administrator"):
        care.end_staff(clinic.desk, ada.id)


@pytest.mark.parametrize("poor", ["short", "aaaaaaaaaaaaaaaa", "several other words"])
def test_a_poor_password_is_not_taken(clinic: Clinic, poor: str) -> None:
    _, once = care.add_staff(clinic.desk, "Tom", "therapist")
    here = care.session_of(clinic.desk, care.sign_in(clinic.desk, "Tom", once))
    assert here is not None
    with pytest.raises(CannotRead):
        care.choose_password(
            clinic.at(here.staff), here, once, poor, f"{poor}" if len(set(poor)) < 9 else "not the same"
        )
    with pytest.raises(CannotRead, match="not the password you have"):
        care.choose_password(clinic.at(here.staff), here, "wrong", WORDS, WORDS)


# ---- rights --------------------------------------------------------------------------------------------------------


def test_a_role_may_what_is_listed_and_nothing_else(clinic: Clinic) -> None:
    tom = clinic.hire("Tom", "therapist")
    person, visit = visit_of(clinic.at(tom))
    staff = {role: clinic.hire(role, role) for role in ("assistant", "lead")}
    staff["student"] = clinic.hire("Stu", "student", tom.id)
    staff["administrator"] = next(one for one in care.list_staff(clinic.desk) if one.name == "Ada")
    for one in (staff["assistant"], staff["student"]):
        care.assign(clinic.at(tom), person, one.id)
    acts: dict[str, Callable[[care.Desk], object]] = {
        "look": lambda at: care.view_visit(at, visit),
        "record": lambda at: care.record_line(at, visit, "gh post glide 2"),
        "open": lambda at: care.new_person(at, "somebody new"),
        "sign": lambda at: care.override_verdict(at, visit, "", ""),
        "give": lambda at: care.export_person(at, person),
        "lead": lambda at: care.erase_person(at, person, ""),
        "staff": care.list_staff,
    }
    allowed = {
        "therapist": {"look", "record", "open", "sign", "give"},
        "assistant": {"look", "record"},
        "student": {"look", "record", "open"},
        "lead": {"look", "record", "open", "sign", "give", "lead"},
        "administrator": {"staff"},
    }
    for role, may in allowed.items():
        at = clinic.at(staff.get(role, tom))
        for name, act in acts.items():
            if name in may:
                try:
                    act(at)
                except NotAllowed:
                    pytest.fail(f"{role} may {name}")
                except (CannotRead, Refused):
                    pass  # another reason than the right
            elif name == "lead":
                with pytest.raises(NotAllowed):
                    care.who_agrees(at, "teaching")
            else:
                with pytest.raises(NotAllowed):
                    act(at)
    refused = clinic.rows("not allowed")
    assert {who for who, _, _ in refused} == {"Tom", "assistant", "Stu", "lead", "Ada"}
    assert ("Ada", "view visit", "care") in refused


def test_an_act_that_is_not_listed_is_nobodys(clinic: Clinic) -> None:
    lead = clinic.hire("Lea", "lead")
    with pytest.raises(NotAllowed), clinic.at(lead).transaction() as session:
        care.visit.queries.audit(session, clinic.now, "Lea", "an act of tomorrow", None)
    assert "an act of tomorrow" not in RIGHT_OF
    assert set().union(*RIGHTS.values()) == set(ACTS), "every right is somebody's"


def test_nobody_sees_a_person_who_is_not_assigned_but_a_lead(clinic: Clinic) -> None:
    tom, tia, lea = clinic.hire("Tom", "therapist"), clinic.hire("Tia", "therapist"), clinic.hire("Lea", "lead")
    before, _ = visit_of(clinic.desk, "Before the clinic")
    person, visit = visit_of(clinic.at(tom), "Of Tom")
    assert [one.label for one in care.list_people(clinic.at(tom))] == ["Of Tom"]
    assert care.list_people(clinic.at(tia)) == ()
    assert {one.label for one in care.list_people(clinic.at(lea))} == {"Of Tom", "Before the clinic"}
    for look in (care.view_visit, care.stand_visits, care.documents_of):
        with pytest.raises(NotAllowed, match="not assigned"):
            look(clinic.at(tia), [visit] if look is care.stand_visits else visit)  # type: ignore[operator]
    with pytest.raises(NotAllowed):
        care.assign(clinic.at(tia), person, tia.id)
    care.assign(clinic.at(lea), person, tia.id)
    assert care.view_visit(clinic.at(tia), visit).label == "Of Tom"
    care.unassign(clinic.at(lea), person, tia.id)
    with pytest.raises(NotAllowed):
        care.view_visit(clinic.at(tia), visit)
    with pytest.raises(Refused, match="somebody has to care"):
        care.unassign(clinic.at(lea), person, tom.id)
    with pytest.raises(Refused, match="cares for nobody"):
        care.assign(clinic.at(lea), before, next(one.id for one in care.list_staff(clinic.desk) if one.name == "Ada"))


def test_break_glass_needs_a_reason_is_told_and_ends_by_itself(clinic: Clinic) -> None:
    tom, tia, lea = clinic.hire("Tom", "therapist"), clinic.hire("Tia", "therapist"), clinic.hire("Lea", "lead")
    stu = clinic.hire("Stu", "student", tom.id)
    person, visit = visit_of(clinic.at(tom), "Of Tom")
    for label, reason in (("Of Tom", "short"), ("Of", "Tom is ill, the person is here in pain")):
        with pytest.raises(CannotRead):
            care.break_glass(clinic.at(tia), label, reason)
    with pytest.raises(NotAllowed):
        care.break_glass(clinic.at(stu), "Of Tom", "I would like to see it")
    why = "Tom is ill, the person is here in pain"
    assert care.break_glass(clinic.at(tia), "of tom", why) == person
    assert care.view_visit(clinic.at(tia), visit).label == "Of Tom"
    assert [one.label for one in care.list_people(clinic.at(tia))] == ["Of Tom"]
    glass = care.list_glass(clinic.at(lea))
    assert [(one.who, one.label, one.reason, one.noted_by) for one in glass] == [("Tia", "Of Tom", why, None)]
    care.note_glass(clinic.at(lea), glass[0].number)
    assert care.list_glass(clinic.at(lea))[0].noted_by == "Lea"
    with pytest.raises(NotAllowed):
        care.list_glass(clinic.at(tia))
    with clinic.desk.transaction() as session:
        looks = [row for row in audit_of(session, person) if row.who == "Tia" and row.act == "view visit"]
    assert [row.why for row in looks] == [f"break-glass: {why}"]
    clinic.later(hours=2)
    with pytest.raises(NotAllowed):
        care.view_visit(clinic.at(tia), visit)
    with reading(clinic.desk.engine) as session:
        assert verify(session).is_sound


# ---- supervision ---------------------------------------------------------------------------------------------------


def test_what_a_student_signs_counts_when_the_supervisor_has_counter_signed(clinic: Clinic) -> None:
    tom, tia = clinic.hire("Tom", "therapist"), clinic.hire("Tia", "therapist")
    stu = clinic.hire("Stu", "student", tom.id)
    person, visit = visit_of(clinic.at(stu), "Of Stu")
    assert [one.label for one in care.list_people(clinic.at(tom))] == ["Of Stu"], (
        "the supervisor comes with the student"
    )
    with pytest.raises(NotAllowed):
        care.sign_note(clinic.at(stu), visit, "Stu")
    first = care.present(clinic.at(stu), visit, "note")
    assert care.present(clinic.at(stu), visit, "note") == first
    assert care.view_visit(clinic.at(stu), visit).signed is None
    assert [one.id for one in care.list_presented(clinic.at(tom))] == [first]
    assert care.list_presented(clinic.at(tia)) == ()
    with pytest.raises(CannotRead):
        care.give_back(clinic.at(tom), first, " ")
    care.give_back(clinic.at(tom), first, "Ask for the screen first.")
    assert [(one.outcome, one.remark) for one in care.presented_in(clinic.at(stu), visit)] == [
        ("returned", "Ask for the screen first.")
    ]
    second = care.present(clinic.at(stu), visit, "note")
    _, paper, mark = care.view_presented(clinic.at(tom), second)
    assert "Of Stu" in paper
    care.record_line(clinic.at(stu), visit, "gh post glide 2")
    with pytest.raises(Refused, match="changed since you read it"):
        care.counter_sign(clinic.at(tom), second, mark)
    mark = care.view_presented(clinic.at(tom), second)[2]
    with pytest.raises(NotAllowed):
        care.counter_sign(clinic.at(stu), second, mark)
    with pytest.raises(NotAllowed):
        care.counter_sign(clinic.at(tia), second, mark)
    care.counter_sign(clinic.at(tom), second, mark)
    signed = care.view_visit(clinic.at(tom), visit).signed
    assert signed is not None
    assert signed.signed_by == "Stu, student; counter-signed by Tom"
    with pytest.raises(Refused, match="already"):
        care.counter_sign(clinic.at(tom), second, mark)
    rows = care.export_person(clinic.at(tom), person)["rows"]
    assert [row["outcome"] for row in rows["presented"]] == ["returned", "signed"]


def test_a_students_letter_is_signed_in_both_names(clinic: Clinic) -> None:
    tom = clinic.hire("Tom", "therapist")
    stu = clinic.hire("Stu", "student", tom.id)
    _, visit = visit_of(clinic.at(stu), "Of Stu")
    words = {"to": "Dr B. Example", "told": "That you will write back.", "asked": "An opinion."}
    one = care.present(clinic.at(stu), visit, "referral", words)
    assert care.documents_of(clinic.at(stu), visit) == ()
    care.counter_sign(clinic.at(tom), one, care.view_presented(clinic.at(tom), one)[2])
    kept = care.documents_of(clinic.at(stu), visit)
    assert [(row.kind, row.recipient, row.signed_by) for row in kept] == [
        ("referral", "Dr B. Example", "Stu, student; counter-signed by Tom")
    ]


def test_in_a_clinic_the_name_below_is_of_who_is_signed_in(clinic: Clinic) -> None:
    tom = clinic.hire("Tom", "therapist")
    person, visit = visit_of(clinic.at(tom))
    care.record_consent(clinic.at(tom), person, "care", True, "said so", "Somebody else")
    care.sign_note(clinic.at(tom), visit, "Somebody else")
    care.add_addendum(clinic.at(tom), visit, "more", "Somebody else")
    signed = care.view_visit(clinic.at(tom), visit).signed
    assert signed is not None
    assert (signed.signed_by, signed.addenda[0][1]) == ("Tom", "Tom")
    assert care.view_rights(clinic.at(tom), person).consents[0].by == "Tom"


# ---- consent -------------------------------------------------------------------------------------------------------


def test_without_consent_to_care_nothing_more_is_recorded_and_what_was_can_be_closed(desk: care.Desk) -> None:
    person, visit = visit_of(desk)
    assert care.view_visit(desk, visit).care_agreed is None
    entry = care.record_line(desk, visit, "gh post glide 2")
    care.record_consent(desk, person, "care", False, "wants to stop", "A. Therapist")
    assert care.view_visit(desk, visit).care_agreed is False
    for act in (
        lambda: care.record_line(desk, visit, "hawkins +"),
        lambda: care.record_treatment(desk, visit, care.visit.Treatment("glide")),
        lambda: care.open_visit(desk, care.episode_of_visit(desk, visit)),
        lambda: care.open_episode(desk, person, Complaint()),
        lambda: care.set_screen(desk, visit, {}),
    ):
        with pytest.raises(Refused, match="does not agree"):
            act()
    assert care.undo(desk, visit, entry) == entry
    care.record_consent(desk, person, "care", True, "changed her mind", "A. Therapist")
    assert care.record_line(desk, visit, "hawkins +")
    care.record_consent(desk, person, "care", False, "wants to stop", "A. Therapist")
    assert care.sign_note(desk, visit, "A. Therapist")


def test_teaching_gets_only_who_agreed_and_never_label_or_words(desk: care.Desk) -> None:
    person, visit = visit_of(desk, "Zora Label")
    care.record_finding(desk, visit, Finding("gh_post", Side.RIGHT, mobility=2, note="told Zora"))
    with pytest.raises(Refused, match="not agreed to teaching"):
        care.teaching_case(desk, person)
    care.record_consent(desk, person, "teaching", True, "form", "A. Therapist")
    told = care.teaching_case(desk, person)
    assert "gh_post" in told or "glide" in told
    assert "Zora" not in told
    assert "lifting" not in told
    care.record_consent(desk, person, "teaching", False, "no longer", "A. Therapist")
    with pytest.raises(Refused):
        care.teaching_case(desk, person)


def test_of_who_is_erased_no_table_but_the_audit_tells(clinic: Clinic) -> None:
    tom = clinic.hire("Tom", "therapist")
    stu, tia, lea = clinic.hire("Stu", "student", tom.id), clinic.hire("Tia", "therapist"), clinic.hire("Lea", "lead")
    person, visit = visit_of(clinic.at(stu))
    label = care.view_visit(clinic.desk, visit).label
    care.present(clinic.at(stu), visit, "note")
    care.break_glass(clinic.at(tia), label, "Tom is ill, the person is here")

    def tables() -> set[str]:
        with clinic.desk.engine.connect() as connection:
            names = inspect(clinic.desk.engine).get_table_names()
            rows = {name: connection.execute(text(f'SELECT * FROM "{name}"')).all() for name in names}  # noqa: S608
        return {name for name, told in rows.items() if any({person, visit} & {str(one) for one in row} for row in told)}

    assert {"assignment", "break_glass", "presented"} < tables()
    care.erase_person(clinic.at(lea), person, "their wish")
    assert tables() == {"audit"}
