"""What reads text that others wrote, one function each. It may raise the program's own clear errors, nothing else."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from endfeel.assessment import cue_ids, read_case, shorthand_of
from endfeel.care.desk import Desk, open_desk
from endfeel.care.intake import take_over
from endfeel.evidence.library import Library
from endfeel.evidence.load import load_library
from endfeel.exchange import read_intake
from endfeel.inference.hands_file import read_hands
from endfeel.instruments.readings import guess, readings
from endfeel.instruments.table_text import decoded, read_table
from endfeel.measurement.agreement import read_ratings
from endfeel.vocabulary import EndfeelError, Side
from endfeel.vocabulary.followed_files import read_visits
from endfeel.vocabulary.shorthand import finding_text, parse_finding

NOW = datetime(2026, 1, 5, 12, tzinfo=UTC)
ROOT = Path(__file__).resolve().parents[1]
SEEDS_READ = 20_000
"""Letters of a seed file that are used."""


@cache
def library() -> Library:
    """The evidence, loaded once."""
    return load_library()


@cache
def _desk() -> Desk:
    return open_desk(":memory:", unencrypted=True, clock=lambda: NOW)


def shorthand(text: str) -> None:
    """A line of shorthand; what was read can be written and read again, and is the same."""
    known = shorthand_of(library())
    finding = parse_finding(text, known, Side.RIGHT)
    written = finding_text(finding)
    again = parse_finding(written, known, Side.RIGHT)
    if again != finding:
        raise AssertionError(f"{text!r} was read as {finding}, written as {written!r} and read as {again}")


def case(text: str) -> None:
    """A case file in either of its forms."""
    read_case(text, "case.txt", library())


def ratings(text: str) -> None:
    """Ratings of several examiners."""
    read_ratings(text)


def table(text: str) -> None:
    """A pasted table of an instrument."""
    found = read_table(decoded(text.encode("utf-8", "surrogatepass")))
    readings(found, guess(found, shorthand_of(library())), shorthand_of(library()), Side.RIGHT)


def visits(text: str) -> None:
    """Visits of an episode with their outcome measures."""
    read_visits(text, "visits.csv")
    read_visits(text, "visits.json")


def hands(text: str) -> None:
    """Agreement of one's own hands."""
    read_hands(text, "hands.toml", library())


def fhir(text: str) -> None:
    """Resources of other programs."""
    read_intake(text, library(), NOW)


def fhir_kept(text: str) -> None:
    """The same into a store, twice: the second time nothing is new."""
    kept = take_over(_desk(), text)
    if kept.count("new") and take_over(_desk(), text).count("new"):
        raise AssertionError("what was kept is new again")


TARGETS: Mapping[str, Callable[[str], None]] = {
    one.__name__: one for one in (shorthand, case, ratings, table, visits, hands, fhir, fhir_kept)
}


def run(target: Callable[[str], None], text: str) -> None:
    """One try: the program's own errors are what should come of bad text, and each can be said."""
    try:
        target(text)
    except EndfeelError as error:
        if not str(error).strip():
            raise AssertionError("an error that says nothing") from error


@cache
def seeds(name: str) -> list[str]:
    """Text to begin with: what the tests and stories of this repository hold."""
    stories = [path.read_text(encoding="utf-8")[:SEEDS_READ] for path in sorted((ROOT / "stories").glob("*.t*"))]
    if name == "shorthand":
        return sorted({line for one in stories for line in one.splitlines() if line.strip()})
    if name.startswith("fhir"):
        return _resources()
    if name == "case":
        return stories
    if name == "hands":
        row = 'procedure = "gh_post"\noutcome = "hypo"\nkappa = 0.42\nsubjects = 40\nlean = 0.6\n'
        return [f'name = "A"\n[[agreement]]\n{row}\n[[angle]]\nprocedure = "gh_er_0"\nsd_deg = 4.1\nsubjects = 25\n']
    if name == "visits":
        return [
            "date,measure,answers,total\n2026-01-05,spadi,,60\n2026-02-16,spadi,,30\n",
            '[{"date": "2026-01-05", "measures": [{"measure": "spadi", "total": 60}]}]',
        ]
    return ["person,anna,ben\n1,2,3\n2,firm,3\n", "test;side;value;unit\ner;right;12,5;deg\nflex\tleft\t120°\n"]


@cache
def _resources() -> list[str]:
    """The invented example as resources, one by one and all together, and an observation as others write it."""
    from endfeel import care

    desk = open_desk(":memory:", unencrypted=True, clock=lambda: NOW)
    told = read_case((ROOT / "stories/first_visit.txt").read_text(encoding="utf-8"), "a", desk.library)
    made = care.fhir_resources(desk, care.view_visit(desk, care.import_case(desk, told)).person_id, documents=False)
    other = {
        "resourceType": "Observation",
        "status": "final",
        "code": {"coding": [{"system": "http://loinc.org", "code": "41361-2"}], "text": "Shoulder abduction"},
        "subject": {"reference": "Patient/1"},
        "effectiveDateTime": "2026-01-05T12:00:00Z",
        "valueQuantity": {"value": 100, "unit": "deg"},
        "bodySite": {"text": "right"},
        "component": [{"code": {"text": "pain"}, "valueInteger": 4}],
    }
    both = {"resourceType": "Bundle", "type": "collection", "entry": [{"resource": one} for one in (made[0], other)]}
    return [json.dumps(one) for one in ({}, both, other, *made[:12])]


def words(name: str) -> list[str]:
    """Words the text is likely to hold, for whatever makes it up."""
    found = {word for one in seeds(name) for word in re.findall(r"[\w/]+|[^\w\s]", one)}
    if name in ("shorthand", "case"):
        found |= {procedure.id for procedure in library().catalogue} | set(cue_ids(library()))
    return sorted(word for word in found if 0 < len(word) < 40)
