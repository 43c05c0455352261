"""Caseload and what turned out, in the pages: nobody counted who did not agree, faults beside their fields."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import delete, func, select
from starlette.testclient import TestClient

from endfeel import care
from endfeel.assessment import read_case
from endfeel.care import caseload, outcomes
from endfeel.care.caseload import AT_ONCE, caseload_rows, view_caseload
from endfeel.exchange.local_counts import read_site
from endfeel.follow import FollowedVisit, Verdict, follow
from endfeel.records import CountedEpisodeRow
from endfeel.records.caseload import CountedEpisode
from endfeel.records.hands import keep_hands
from endfeel.records.store import transaction
from endfeel.records.tables import AuditRow
from endfeel.vocabulary import CannotRead, Complaint, Finding, Person, Position, Result, Side
from endfeel.vocabulary.confirmed import ConfirmedOutcome, Reference
from endfeel.vocabulary.outcomes import OutcomeAnswer
from endfeel.web.app import make_app
from endfeel.web.pages import caseload as caseload_page

SITE = json.dumps({
    "format": "endfeel local counts", "version": 1, "site": "grey-owl-2", "counted_until": "2026-03",
    "evidence_release": "another", "fewest": 5, "tables": [{
        "procedure": "neer", "outcome": "positive", "contributor": "cuff_pain", "reference": "block",
        "tp": 30, "fp": 12, "fn": 10, "tn": 20}],
})  # fmt: skip
OWN = {"origin": "http://127.0.0.1:8710"}
CHANGES = (-40.0, -30.0, -25.0, -20.0, -19.0, 2.0, 30.0, -50.0)


@pytest.fixture(scope="module")
def crowd(made_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[care.Desk, tuple[str, ...]]]:
    """Eight people who agree, with two visits each, and one who does not; the episodes of all."""
    desk = care.open_desk(str(shutil.copy(made_file, tmp_path_factory.mktemp("crowd") / "records.sqlite")))
    now = desk.clock()
    episodes = []
    for place, change in enumerate((*CHANGES, -40.0)):
        then = replace(desk, clock=lambda: now - timedelta(weeks=5))
        person = care.new_person(then, f"Invented {place}", Person(40 + place, "female", Side.RIGHT), invented=True)
        episode = care.open_episode(then, person, Complaint(side=Side.RIGHT, weeks=10.0))
        for at, total in ((then, 60.0), (desk, 60.0 + change)):
            visit = care.open_visit(at, episode)
            care.record_measure(at, visit, OutcomeAnswer("spadi", at.clock().astimezone().date(), total=total))
        care.turn_person(desk, visit, Position.SUPINE)
        care.record_finding(desk, visit, Finding("neer", side=Side.RIGHT, result=Result.POSITIVE))
        if place < len(CHANGES):
            care.record_consent(desk, person, "shared_counts", True, "a signed form", "A. T.")
        episodes.append(episode)
    yield desk, tuple(episodes)
    desk.engine.dispose()


@pytest.fixture
def page(crowd: tuple[care.Desk, tuple[str, ...]]) -> Iterator[TestClient]:
    with TestClient(make_app(crowd[0]), base_url="http://127.0.0.1:8710", follow_redirects=False) as made:
        yield made


def test_who_is_better_is_whom_the_course_page_calls_better(crowd: tuple[care.Desk, tuple[str, ...]]) -> None:
    desk, _ = crowd
    today = desk.clock().astimezone().date()
    verdicts = []
    for change in CHANGES:
        visits = [FollowedVisit(day, (OutcomeAnswer("spadi", day, total=total),))
                  for day, total in ((today - timedelta(weeks=5), 60.0), (today, 60.0 + change))]  # fmt: skip
        verdicts.append(follow(visits, today, desk.library).trajectories[0].verdict)
    report = view_caseload(desk).report
    assert report is not None
    told = report.improvement
    assert told.rows == ("spadi",)
    better = sum(one is Verdict.BETTER for one in verdicts)
    assert better == 6
    assert told.cells[0] == (None, None, None, 8), "one of them is worse, one unchanged: both are hidden, and one more"


def test_rows_hold_no_label_no_id_and_no_day(crowd: tuple[care.Desk, tuple[str, ...]], tmp_path: Path) -> None:
    desk, episodes = crowd
    rows, on_record = caseload_rows(desk)
    assert on_record == 9
    assert rows["episode"].num_rows == 8
    words = " ".join(str(table.to_pydict()) for table in rows.values())
    assert "Invented" not in words
    assert not any(one in words for one in episodes)
    assert set(rows["visit"].column("turns").to_pylist()) == {0, 1}
    assert set(rows["finding"].column("procedure").to_pylist()) == {"neer"}


def test_nothing_is_counted_before_it_is_asked_for_and_then_what_may_be_told(
    page: TestClient, crowd: tuple[care.Desk, tuple[str, ...]]
) -> None:
    before = page.get("/caseload").text
    assert "<strong>8</strong> people who agreed" in before
    assert "Who improves" not in before
    quick = page.get("/caseload?now=yes").text
    assert "Work it out" in quick
    assert crowd[0].library.catalogue["neer"].name not in quick
    after = page.get("/caseload?now=yes&tests=yes").text
    assert quick.split("Which tests changed")[0] == after.split("Which tests changed")[0], "the rest is the same"
    name = crowd[0].library.catalogue["neer"].name
    for words in (
        "8 episodes of 8 people, of 9 on record",
        "Who improves",
        "hidden",
        "Changes of position",
        name,
        "Source of the rules",
    ):
        assert words in after
    for wrong in ("2", "many", "99999999999"):
        answer = page.get(f"/caseload?now=yes&fewest={wrong}")
        assert answer.status_code == 422
    assert "Too few people" in page.get("/caseload?now=yes&fewest=20").text


def test_an_episode_is_worked_out_once_and_again_when_something_was_recorded_in_it(
    crowd: tuple[care.Desk, tuple[str, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    desk, episodes = crowd
    before, _ = caseload_rows(desk)
    done: list[str] = []
    work_out = caseload._rows_of

    def told(one: CountedEpisode, *about: Any, **more: Any) -> Any:
        done.append(one.id)
        return work_out(one, *about, **more)

    monkeypatch.setattr(caseload, "_rows_of", told)
    again, _ = caseload_rows(desk)
    assert not done
    assert {name: table.to_pylist() for name, table in again.items()} == {
        name: table.to_pylist() for name, table in before.items()
    }
    visit = next(one.visits[-1].id for one in care.list_people(desk) if one.visits[0].episode_id == episodes[2])
    entry = care.record_finding(desk, visit, Finding("hawkins", side=Side.RIGHT, result=Result.NEGATIVE))
    after, _ = caseload_rows(desk)
    assert done == [episodes[2]]
    assert "hawkins" in after["finding"].column("procedure").to_pylist()
    care.undo(desk, visit, entry)
    assert "hawkins" not in caseload_rows(desk)[0]["finding"].column("procedure").to_pylist()
    done.clear()
    caseload_rows(replace(desk, library=replace(desk.library, release="another")))
    assert len(done) == 8, "other evidence, other conclusions"


def test_nothing_is_told_before_all_are_worked_out_and_what_is_kept_goes_with_consent_and_person(
    crowd: tuple[care.Desk, tuple[str, ...]], tmp_path: Path, made_file: Path
) -> None:
    desk = care.open_desk(str(shutil.copy(made_file, tmp_path / "few.sqlite")))
    people = []
    for place in range(AT_ONCE[True] + 2):
        person = care.new_person(desk, f"Invented {place}", Person(50, "male", Side.LEFT), invented=True)
        care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.LEFT, weeks=3.0)))
        care.record_consent(desk, person, "shared_counts", True, "a signed form", "A. T.")
        people.append(person)
    first = view_caseload(desk, seconds=0.0)
    assert (first.report, first.episodes, first.left) == (None, AT_ONCE[True] + 2, 2)
    with TestClient(make_app(desk), base_url="http://127.0.0.1:8710") as page:
        monkeyed = page.get("/caseload?now=yes")
        assert "refresh" not in monkeyed.headers, "a second is enough for two"
    whole = view_caseload(desk, seconds=0.0)
    assert whole.left == 0
    assert whole.report is not None
    assert whole.report.people == AT_ONCE[True] + 2
    assert kept(desk) == AT_ONCE[True] + 2
    care.record_consent(desk, people[0], "shared_counts", False, "said so", "A. T.")
    assert kept(desk) == AT_ONCE[True] + 1
    assert view_caseload(desk).report != whole.report
    care.erase_person(desk, people[1], "wished")
    assert kept(desk) == AT_ONCE[True]
    desk.engine.dispose()


def test_who_takes_consent_back_or_is_erased_while_it_is_worked_out_is_neither_told_nor_kept(
    tmp_path: Path, made_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = care.open_desk(str(shutil.copy(made_file, tmp_path / "meanwhile.sqlite")))
    people = []
    for place in range(3):
        person = care.new_person(desk, f"Invented {place}", Person(50, "male", Side.LEFT), invented=True)
        care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.LEFT, weeks=3.0)))
        care.record_consent(desk, person, "shared_counts", True, "a signed form", "A. T.")
        people.append(person)
    work_out = caseload._rows_of

    def meanwhile(one: CountedEpisode, *about: Any, **more: Any) -> Any:
        if one.person_id == people[0]:
            care.record_consent(desk, people[0], "shared_counts", False, "said so", "A. T.")
        if one.person_id == people[1]:
            care.erase_person(desk, people[1], "wished")
        return work_out(one, *about, **more)

    monkeypatch.setattr(caseload, "_rows_of", meanwhile)
    told = view_caseload(desk, tests=False)
    assert told.report is not None
    assert (told.report.people, told.left) == (1, 0)
    assert kept(desk) == 1
    desk.engine.dispose()


def test_one_sign_done_again_is_no_examination_here_either(desk: care.Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Contributors of an episode are those of the course page, also where one test alone was done in the last visit."""
    case = "side: right\nweeks: 20\n\nhawkins right +\npainful arc right +\nempty can right +\nneer right +\n"
    visit = care.import_case(desk, read_case(case, "x.txt", desk.library))
    person = next(one for one in care.list_people(desk) if one.visits[0].id == visit)
    care.record_consent(desk, person.id, "shared_counts", True, "a signed form", "A. T.")
    before = caseload_rows(desk)[0]["contributor"].to_pylist()
    again = care.open_visit(desk, person.visits[0].episode_id)
    care.record_finding(desk, again, Finding("neer", side=Side.RIGHT, result=Result.NEGATIVE))
    assert caseload_rows(desk)[0]["contributor"].to_pylist() == before
    marks = kept_marks(desk)
    monkeypatch.setattr(caseload, "BY", caseload.BY + 1)
    caseload_rows(desk)
    assert not marks & kept_marks(desk), "reckoned by another rule, it is reckoned anew"


def rows_of_counts(desk: care.Desk, act: str = "count caseload") -> int:
    with desk.engine.connect() as connection:
        return connection.scalar(select(func.count()).where(AuditRow.act == act)) or 0


def kept_marks(desk: care.Desk) -> set[str]:
    with desk.engine.connect() as connection:
        return set(connection.scalars(select(CountedEpisodeRow.mark)))


def kept(desk: care.Desk) -> int:
    with desk.engine.connect() as connection:
        return connection.scalar(select(func.count()).select_from(CountedEpisodeRow)) or 0


def test_the_page_says_how_far_it_is_and_goes_on_by_itself(
    page: TestClient, crowd: tuple[care.Desk, tuple[str, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    desk, _ = crowd
    with desk.engine.begin() as connection:
        connection.execute(delete(CountedEpisodeRow))
    monkeypatch.setattr(caseload_page, "SECONDS", 0.0)
    before = rows_of_counts(desk)
    answer = page.get("/caseload?now=yes&tests=yes&fewest=6")
    assert f"{AT_ONCE[True]} of 8 episodes" in answer.text
    assert "Who improves" not in answer.text
    for _ in range(8 // AT_ONCE[True] - 1):
        assert rows_of_counts(desk) == before + 1, "it began; what tells nothing is no row"
        _, address = answer.headers["refresh"].split("; url=")
        assert address == "/caseload?now=yes&on=yes&tests=yes&fewest=6"
        assert address.replace("&", "&amp;") in answer.text
        answer = page.get(address)
    assert rows_of_counts(desk) == before + 2, "and it was told"
    assert "refresh" not in answer.headers
    assert "Who improves" in answer.text


def test_what_turned_out_is_told_taken_back_and_counted_beside_the_published(
    page: TestClient, crowd: tuple[care.Desk, tuple[str, ...]]
) -> None:
    desk, episodes = crowd
    address = f"/episodes/{episodes[0]}/outcomes"
    assert address in page.get("/").text
    half = {"contributor": "cuff_pain", "side": "right", "confirmed": "", "reference": "block",
            "known_on": "2026-13-01", "words": "two days free of pain", "by": "A. T."}  # fmt: skip
    answer = page.post(address, data=half, headers=OWN)
    assert answer.status_code == 422
    for words in ("confirmed or ruled out", "not a day", "two days free of pain"):
        assert words in answer.text.lower()
    today = desk.clock().astimezone().date().isoformat()
    answer = page.post(address, data={**half, "confirmed": "yes", "known_on": today}, headers=OWN)
    assert (answer.status_code, answer.headers["location"]) == (303, address)
    assert "two days free of pain" in page.get(address).text
    here = page.get("/evidence/here").text
    for words in ("1 of 1 with it positive", "published, pooled", "both together", "diagnostic block"):
        assert words in here
    figure = next(one for one in desk.model.binaries["neer", "positive"].causes if one[2].contributor == "cuff_pain")
    beside = page.get(f"/evidence/{figure[2].figures[0]}").text
    assert "Counted in these records" in beside
    assert "Counted in these records" not in page.get("/evidence/caseload.fewest_people").text
    from endfeel.care.outcomes import outcomes_of

    kept = outcomes_of(desk, episodes[0])[0]
    assert page.post(f"{address}/{kept.id}/take-back", data={"back_by": ""}, headers=OWN).status_code == 422
    assert page.post(f"{address}/{kept.id}/take-back", data={"back_by": "A. T."}, headers=OWN).status_code == 303
    assert "Nothing is counted yet" in page.get("/evidence/here").text
    assert page.get("/episodes/nothing/outcomes").status_code == 404


def test_counts_here_and_of_another_site_stand_beside_the_published_for_the_person_in_front(
    page: TestClient, crowd: tuple[care.Desk, tuple[str, ...]]
) -> None:
    desk, episodes = crowd
    people = {one.visits[0].episode_id: one for one in care.list_people(desk)}
    visit = next(one.id for one in people[episodes[3]].visits if one.entries)
    assert "/local" not in page.get(f"/visits/{visit}/why").text, "nothing was counted yet"
    assert "Nothing to set beside it" in page.get(f"/visits/{visit}/local").text
    day = desk.clock().astimezone().date()
    told = [ConfirmedOutcome("cuff_pain", Side.RIGHT, False, Reference.BLOCK, day, "", "A. T.") for _ in range(4)]
    for episode, one in zip(episodes, told, strict=False):
        outcomes.record_outcome(desk, episode, one)
    published = care.view_visit(desk, visit).assessment
    assert f"/visits/{visit}/local" in page.get(f"/visits/{visit}/why").text
    figures = outcomes.figures_for(desk, published.case, people[episodes[3]].id)
    (test,) = figures.tests
    assert test.counts.cells == (0, 3, 0, 0), "the person's own outcome is left out"
    (row,) = [one for one in figures.rows if one.published.id == "cuff_pain" and one.published.side is Side.RIGHT]
    assert row.here is not None
    assert row.here.probability < row.published.probability, "it was found here without the contributor"
    assert row.sites is None
    html = page.get(f"/visits/{visit}/local").text
    assert "with here" in html
    assert "with sites" not in html

    answer = page.post(
        "/evidence/here/sites", files={"file": ("x.json", SITE.replace('"tp": 30', '"tp": 3'))}, headers=OWN
    )
    assert answer.status_code == 422
    assert "of too few people" in answer.text
    for _ in range(2):
        answer = page.post("/evidence/here/sites", files={"file": ("x.json", SITE)}, headers=OWN)
        assert answer.status_code == 303
    before = rows_of_counts(desk, "count outcomes")
    listed = page.get("/evidence/here").text
    assert rows_of_counts(desk, "count outcomes") == before + 2, "counts from here and of sites, each read once"
    assert listed.count("<b>grey-owl-2</b>") == 1
    assert "of 2 sites" in listed
    both = outcomes.figures_for(desk, published.case, people[episodes[3]].id)
    (row,) = [one for one in both.rows if one.published.id == "cuff_pain" and one.published.side is Side.RIGHT]
    assert row.sites is not None
    assert row.here is not None
    assert row.sites.probability not in (row.here.probability, row.published.probability)
    assert "with sites" in page.get(f"/visits/{visit}/local").text
    after = care.view_visit(desk, visit).assessment
    assert [one.probability for one in after.posterior.beliefs] == [
        one.probability for one in published.posterior.beliefs
    ], "nothing replaces the published figures"

    sent = page.post("/evidence/here/send", data={"site": "blue-heron-7"}, headers=OWN)
    assert sent.headers["content-disposition"].startswith('attachment; filename="counts-blue-heron-7-')
    assert sent.json()["tables"] == [], "fewer than five"
    assert page.post("/evidence/here/send", data={"site": "x"}, headers=OWN).status_code == 422
    assert page.post("/evidence/here/send", data={"site": "grey-owl-2"}, headers=OWN).status_code == 422
    again = page.post("/evidence/here/sites", files={"file": ("x.json", sent.text)}, headers=OWN)
    assert again.status_code == 422
    assert "sent from here" in again.text
    assert page.post("/evidence/here/sites", files={"file": ("x.json", "")}, headers=OWN).status_code == 422
    assert page.post("/evidence/here/sites/grey-owl-2/remove", headers=OWN).status_code == 303
    assert "grey-owl-2" not in page.get("/evidence/here").text


def test_what_counts_change_is_read_by_the_usual_hands(client: TestClient, desk: care.Desk) -> None:
    """Own hands moved the published reading alone, and the page showed the difference as what the counts change."""
    person = care.new_person(desk, "Invented", Person(50, "female", Side.RIGHT), invented=True)
    visit = care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT, weeks=20.0)))
    care.record_line(desk, visit, "neer right +")
    outcomes.take_counts(desk, SITE)

    def read() -> float:
        found = care.view_visit(desk, visit).assessment.posterior.belief("cuff_pain", Side.RIGHT)
        assert found is not None
        return found.probability

    usual, shown = read(), client.get(f"/visits/{visit}/local").text
    with transaction(desk.engine) as session:
        told = (
            'name = "Anna"\n\n[[agreement]]\nprocedure = "neer"\noutcome = "positive"\nkappa = 0.05\nsubjects = 200\n'
        )
        keep_hands(session, "", desk.clock(), told)
    assert abs(read() - usual) > 0.02
    again = client.get(f"/visits/{visit}/local").text
    assert "read by your own hands" in again
    assert "read by your own hands" not in shown
    tables = [re.search(r"<tbody>.*?</tbody>", html, re.DOTALL) for html in (shown, again)]
    assert tables[0] is not None
    assert tables[1] is not None
    assert tables[0].group() == tables[1].group()


def test_what_was_sent_holds_back_small_growth_by_itself(made_file: Path, tmp_path: Path) -> None:
    desk = care.open_desk(str(shutil.copy(made_file, tmp_path / "sent.sqlite")))

    def one_more(place: int) -> str:
        person = care.new_person(desk, f"Invented {place}", Person(50, "male", Side.RIGHT), invented=True)
        episode = care.open_episode(desk, person, Complaint(side=Side.RIGHT, weeks=3.0))
        visit = care.open_visit(desk, episode)
        care.record_finding(desk, visit, Finding("neer", side=Side.RIGHT, result=Result.POSITIVE))
        care.record_consent(desk, person, "shared_counts", True, "a signed form", "A. T.")
        day = desk.clock().astimezone().date()
        told = ConfirmedOutcome("cuff_pain", Side.RIGHT, True, Reference.IMAGING, day, "", "A. T.")
        outcomes.record_outcome(desk, episode, told)
        return person

    def sent(fewest: int | None = None) -> list[int]:
        made = outcomes.counts_to_share(desk, "blue-heron-7", fewest=fewest)
        return [one["tp"] for one in made.document["tables"]]

    people = [one_more(place) for place in range(5)]
    assert sent() == [5]
    one_more(5)
    assert sent() == [5], "six would tell of the one who came"
    assert sent(fewest=50) == []
    assert sent() == [5], "what was told once is told no other way after a file without it"
    for person in people[:3]:
        care.record_consent(desk, person, "shared_counts", False, "said so", "A. T.")
    assert sent() == [5], "it became small; what was told cannot be called back"
    for person in people[:3]:
        care.record_consent(desk, person, "shared_counts", True, "said so", "A. T.")
    assert sent() == [5]
    for place in range(6, 10):
        one_more(place)
    assert sent() == [10]
    own = read_site(json.dumps(outcomes.counts_to_share(desk, "blue-heron-7").document))
    case = read_case("side: right\n\nneer right +\n", "x.txt", desk.library)
    with pytest.raises(CannotRead, match="sent from here"):
        outcomes.figures_for(desk, case, more=[own])
    (merged,) = outcomes.figures_for(desk, case, more=[read_site(SITE)]).merged
    assert (merged.counts.people, merged.sites) == (72, 1), "by a block there, by a scan here: never added"
    with pytest.raises(CannotRead, match="another code"):
        outcomes.counts_to_share(desk, "red-kite-1")
    desk.engine.dispose()
