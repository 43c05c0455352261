"""Local 2×2 counts: what is counted, what they make of the published, merged over sites; the file that leaves."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema_rs
import numpy as np
import pytest
from scipy.stats import beta
from statsmodels.stats.meta_analysis import combine_effects

from endfeel.cli.main import main
from endfeel.evidence.library import Library
from endfeel.exchange.local_counts import outgoing, read_site
from endfeel.inference import Model, build_model, infer
from endfeel.inference.local_counts import Counts, Followed, beside, count_tests, merge, spread
from endfeel.inference.local_figures import local_figures
from endfeel.inference.pooling import Proportion
from endfeel.vocabulary import CannotRead, Case, Complaint, Finding, Person, Result, Side
from endfeel.vocabulary.confirmed import ConfirmedOutcome, Reference

KEY = (("empty_can", "positive"), "supraspinatus_tear_full", Reference.SURGERY)
OTHER = (("neer", "positive"), "cuff_pain", Reference.BLOCK)
DAY = date(2026, 3, 9)
SCHEMA = Path(__file__).resolve().parents[3] / "docs" / "local_counts.schema.json"


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def followed(person: str, *visits: tuple[date, Result, Side], confirmed: bool = True) -> Followed:
    told = ConfirmedOutcome(KEY[1], Side.RIGHT, confirmed, KEY[2], DAY, "", "A. T.")
    cases = tuple(
        (day, Case(Person(50), Complaint(Side.RIGHT), findings=(Finding("empty_can", side=side, result=result),)))
        for day, result, side in visits
    )
    return Followed(person, cases, (told,))


def test_the_first_finding_on_that_side_before_the_day_counts_each_person_once(model: Model) -> None:
    early, late = date(2026, 3, 1), date(2026, 3, 20)
    people = [
        followed("a", (early, Result.POSITIVE, Side.RIGHT), (DAY, Result.NEGATIVE, Side.RIGHT)),
        followed("b", (early, Result.POSITIVE, Side.LEFT), (DAY, Result.NEGATIVE, Side.RIGHT)),
        followed("c", (late, Result.POSITIVE, Side.RIGHT)),
        followed("d", (early, Result.UNCLEAR, Side.RIGHT)),
        followed("e", (early, Result.POSITIVE, Side.RIGHT), confirmed=False),
        followed("a", (early, Result.NEGATIVE, Side.RIGHT)),
    ]
    assert count_tests(people, model)[KEY] == Counts(tp=1, fp=1, fn=1, tn=0)


def test_beta_counts_add_to_what_is_published(model: Model) -> None:
    counts = Counts(18, 3, 2, 27)
    told = beside({KEY: counts}, model)[0]
    link = next(link for _, _, link in model.binaries[KEY[0]].causes if link.contributor == KEY[1])
    assert told.is_published
    assert told.here[0].value == pytest.approx(18.5 / 21)
    assert (told.here[1].low, told.here[1].high) == pytest.approx(tuple(beta.ppf([0.05, 0.95], 27.5, 3.5)))
    assert told.together is not None
    assert told.together[0].value == pytest.approx((link.present.alpha + 18) / (link.present.weight + 20))
    assert told.together[1].value == pytest.approx((link.absent.beta + 27) / (link.absent.weight + 30))
    assert told.published is not None
    for known, both in zip(told.published, told.together, strict=True):
        assert both.high - both.low < known.high - known.low


def test_spread_between_sites_is_that_of_another_program() -> None:
    counts = [(18, 20), (11, 25), (30, 34), (9, 22), (40, 61)]
    sites = [Proportion(hits / people, people) for hits, people in counts]
    shares = np.array([(hits + 0.5) / (people + 1) for hits, people in counts])
    logits = np.log(shares / (1 - shares))
    variances = 1 / (np.array([people for _, people in counts]) * shares * (1 - shares))
    other = combine_effects(logits, variances, method_re="dl")
    assert spread(sites) ** 2 == pytest.approx(other.tau2, rel=1e-9)
    assert spread(sites[:1]) == 0.0


def test_more_sites_know_more_and_sites_that_differ_know_less(model: Model) -> None:
    alike, unlike = Counts(40, 10, 10, 40), Counts(10, 40, 40, 10)
    one, three, apart = (merge(sites, model)[0] for sites in (
        [{KEY: alike}], [{KEY: alike}] * 3, [{KEY: alike}, {KEY: alike}, {KEY: unlike}]))  # fmt: skip
    assert three.counts == alike + alike + alike
    assert three.sensitivity.high - three.sensitivity.low < one.sensitivity.high - one.sensitivity.low
    assert apart.spread_sensitivity > 0.5 > three.spread_sensitivity
    assert apart.sensitivity.high - apart.sensitivity.low > three.sensitivity.high - three.sensitivity.low
    assert merge([{KEY: Counts(5, 0, 5, 0)}], model) == ()


def sent(counts: dict[Any, Counts], earlier: dict[str, Any] | None = None) -> Any:
    before = read_site(json.dumps(earlier)) if earlier else None
    return outgoing(counts, "site-one", "2026-03", "abc", 5, before)


def test_a_table_with_a_small_count_stays_and_the_file_holds_to_its_schema() -> None:
    told = sent({KEY: Counts(20, 6, 5, 0), OTHER: Counts(20, 6, 4, 30)})
    assert [one["procedure"] for one in told.document["tables"]] == ["empty_can"]
    assert (told.small, told.little_growth) == (1, 0)
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    assert jsonschema_rs.is_valid(schema, told.document)
    assert not jsonschema_rs.is_valid(schema, {**told.document, "people": []})
    assert read_site(json.dumps(told.document)).tables == {KEY: Counts(20, 6, 5, 0)}


@pytest.mark.parametrize(
    ("now", "leaves"),
    [
        (Counts(21, 6, 5, 0), Counts(20, 6, 5, 0)),
        (Counts(25, 6, 5, 0), Counts(25, 6, 5, 0)),
        (Counts(25, 6, 6, 0), Counts(20, 6, 5, 0)),
        (Counts(19, 6, 5, 0), Counts(20, 6, 5, 0)),
        (Counts(14, 6, 5, 0), Counts(20, 6, 5, 0)),
        (Counts(20, 6, 5, 0), Counts(20, 6, 5, 0)),
    ],
)
def test_nobody_can_be_told_from_the_difference_of_two_files(now: Counts, leaves: Counts) -> None:
    first = sent({KEY: Counts(20, 6, 5, 0)}).document
    assert read_site(json.dumps(sent({KEY: now}, first).document)).tables == {KEY: leaves}


def test_no_two_of_many_files_differ_by_few() -> None:
    """Also those that do not follow each other: by one more and one less in turns, the first and third could."""
    told, seen = None, []
    for people in (20, 26, 21, 27, 19, 31, 40):
        made = sent({KEY: Counts(people, 6, 5, 0)}, told)
        told = made.told
        seen.append(read_site(json.dumps(made.document)).tables[KEY].tp)
    assert seen == [20, 26, 26, 26, 26, 31, 40]
    assert all(abs(one - other) >= 5 for one in seen for other in seen if one != other)


@pytest.mark.parametrize("between", [({KEY: Counts(21, 6, 5, 0)}, 50), ({KEY: Counts(20, 6, 4, 0)}, 5), ({}, 5)])
def test_what_was_told_once_is_remembered_when_a_file_goes_without_it(between: tuple[dict[Any, Counts], int]) -> None:
    """A higher limit, a count that became small, everybody gone: the table leaves unchanged afterwards all the same."""
    first, (now, fewest) = sent({KEY: Counts(20, 6, 5, 0)}), between
    second = outgoing(now, "site-one", "2026-04", "abc", fewest, read_site(json.dumps(first.told)))
    assert read_site(json.dumps(second.document)).tables == ({} if fewest == 50 else {KEY: Counts(20, 6, 5, 0)})
    third = sent({KEY: Counts(21, 6, 5, 0)}, second.told)
    assert read_site(json.dumps(third.document)).tables == {KEY: Counts(20, 6, 5, 0)}
    grown = sent({KEY: Counts(25, 6, 5, 0)}, second.told)
    assert read_site(json.dumps(grown.document)).tables == {KEY: Counts(25, 6, 5, 0)}


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"format": "another"}, "another format"),
        ({"site": "Dr"}, "site"),
        ({"counted_until": "2026-13"}, "counted_until"),
        ({"fewest": True}, "fewest"),
        ({"tables": {}}, "tables"),
        ({"tables": [{"procedure": "x"}]}, "no count"),
        ({"tables": ["x"]}, "no table"),
    ],
)
def test_a_file_that_is_none_is_refused_with_every_fault(change: dict[str, Any], says: str) -> None:
    document = {**sent({KEY: Counts(20, 6, 5, 0)}).document, **change}
    with pytest.raises(CannotRead, match=says):
        read_site(json.dumps(document), "their.json")


def test_a_file_with_a_count_of_too_few_people_or_a_table_twice_is_not_taken() -> None:
    document = sent({KEY: Counts(20, 6, 5, 0)}).document
    table = document["tables"][0]
    with pytest.raises(CannotRead, match="too few people"):
        read_site(json.dumps({**document, "tables": [{**table, "fp": 3}]}))
    with pytest.raises(CannotRead, match="twice"):
        read_site(json.dumps({**document, "tables": [table, table]}))
    with pytest.raises(CannotRead, match="not JSON"):
        read_site("{")
    with pytest.raises(CannotRead, match="code of a site"):
        outgoing({}, "a name", "2026-03", "abc", 5)
    with pytest.raises(CannotRead, match="another code"):
        outgoing({}, "site-two", "2026-03", "abc", 5, read_site(json.dumps(document)))


def test_the_command_merges_files_and_refuses_the_same_site_twice(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = []
    for name, counts in (("site-one", Counts(20, 6, 5, 30)), ("site-two", Counts(16, 5, 8, 24))):
        path = tmp_path / f"{name}.json"
        path.write_text(json.dumps(outgoing({KEY: counts}, name, "2026-03", "abc", 5).document), encoding="utf-8")
        files.append(str(path))
    assert main(["counts", "--merge", *files]) == 0
    said = capsys.readouterr().out
    assert "2 sites, 1 test\n" in said
    assert "114 people of 2 sites" in said
    assert main(["counts", "--merge", files[0], files[0]]) == 1
    assert "the same site twice" in capsys.readouterr().err


def test_the_command_writes_what_may_leave(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    store, out = str(tmp_path / "records.sqlite"), tmp_path / "out.json"
    assert main(["counts", "--store", store, "--out", str(out), "--site", "site-one"]) == 0
    assert json.loads(out.read_text(encoding="utf-8"))["tables"] == []
    assert main(["counts", "--store", store, "--out", str(out), "--site", "site-one", "--fewest", "2"]) == 1
    assert "fewer people may not be shown" in capsys.readouterr().err
    assert main(["counts", "--store", store]) == 0
    assert "Nothing is counted yet" in capsys.readouterr().out


def test_counts_add(model: Model) -> None:
    assert Counts(1, 2, 3, 4) + Counts(4, 3, 2, 1) == Counts(5, 5, 5, 5)
    assert replace(Counts(), tp=3).ill == 3


CASE = Case(
    Person(60, "male", Side.RIGHT), Complaint(Side.RIGHT, weeks=20.0),
    findings=(Finding("empty_can", side=Side.RIGHT, result=Result.POSITIVE),),
)  # fmt: skip


def tear(belief: Any) -> float:
    assert belief is not None
    return float(belief.probability)


def test_counts_move_the_person_in_front_as_their_likelihood_ratio_does(model: Model, library: Library) -> None:
    """Many counts outweigh what is published: odds move as the counted ratio says against the published one."""
    published = infer(CASE, model)
    many = Counts(tp=90_000, fp=10_000, fn=10_000, tn=90_000)
    useless = Counts(tp=50_000, fp=50_000, fn=50_000, tn=50_000)
    before = infer(replace(CASE, findings=()), model).belief(KEY[1], Side.RIGHT)
    for counts in (many, useless):
        told = local_figures(published, library, {KEY: counts}, ())
        (row,) = [one for one in told.rows if one.published.id == KEY[1]]
        assert told.tests[0].counts == counts
        if counts is useless:
            assert tear(row.here) == pytest.approx(tear(before), abs=0.01), "a test that tells nothing changes nothing"
        else:
            assert tear(row.here) > tear(row.published)
    assert [one.probability for one in infer(CASE, model).beliefs] == [one.probability for one in published.beliefs]


def test_what_was_not_tested_or_has_no_link_changes_nothing(model: Model, library: Library) -> None:
    published = infer(CASE, model)
    unknown = (("empty_can", "positive"), "no_such_thing", Reference.IMAGING)
    for counts in ({OTHER: Counts(9, 9, 9, 9)}, {unknown: Counts(9, 9, 9, 9)}, {}):
        told = local_figures(published, library, counts, ())
        assert (told.rows, told.tests, told.merged) == ((), (), ())


def test_one_site_alone_counts_less_than_the_same_people_here(model: Model, library: Library) -> None:
    """A further site is another population: what one site saw is worth less elsewhere than where it was seen."""
    published, counts = infer(CASE, model), Counts(tp=60, fp=40, fn=40, tn=60)
    told = local_figures(published, library, {KEY: counts}, [{KEY: counts}])
    (row,) = [one for one in told.rows if one.published.id == KEY[1]]
    alone = local_figures(published, library, {}, [{KEY: counts}])
    (elsewhere,) = [one for one in alone.rows if one.published.id == KEY[1]]
    assert elsewhere.here is None
    assert tear(row.here) < tear(elsewhere.sites) < tear(row.published)
    (merged,) = told.merged
    assert merged.learnt.with_it < merged.counts.ill
    assert merged.learnt.positive_with / merged.learnt.with_it == pytest.approx(merged.sensitivity.value)


def test_the_command_reads_a_person_beside_the_published(
    tmp_path: Path, store_file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    case = tmp_path / "case.txt"
    case.write_text("age: 60\nsex: male\nside: right\nweeks: 20\n\nempty can + \n", encoding="utf-8")
    assert main(["counts", "--store", store_file, "--for", str(case)]) == 0
    assert "nothing to set beside" in capsys.readouterr().out
    table = {"procedure": "empty_can", "outcome": "positive", "contributor": KEY[1], "reference": "imaging",
             "tp": 40, "fp": 5, "fn": 10, "tn": 60}  # fmt: skip
    site = tmp_path / "site.json"
    site.write_text(json.dumps({
        "format": "endfeel local counts", "version": 1, "site": "grey-owl-2", "counted_until": "2026-03",
        "evidence_release": "x", "fewest": 5, "tables": [table]}), encoding="utf-8")  # fmt: skip
    assert main(["counts", "--store", store_file, "--for", str(case), "--merge", str(site), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    (row,) = [one for one in told["contributors"] if one["contributor"] == KEY[1]]
    assert row["sites"]["probability"] != row["published"]["probability"]
    assert "here" not in row
    assert main(["counts", "--store", store_file, "--for", str(case), "--merge", str(site)]) == 0
    assert "goes by the published figures" in capsys.readouterr().out
