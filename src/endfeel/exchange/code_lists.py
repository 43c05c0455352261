"""Our own code systems, made from the vocabulary, and the public codes that stand beside them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from endfeel.evidence.library import Library, Row
from endfeel.exchange import systems as s
from endfeel.exchange.elements import Json, coding
from endfeel.safety import Urgency
from endfeel.vocabulary import AREAS, LEVELS, MOBILITY_NAMES, REACHED, RIBS, Irritability, Result, Side
from endfeel.vocabulary.outcomes import ANSWERING_WORDS, OCCASION_WORDS

TABLE = "exchange_codes"
ASPECTS: Mapping[str, str] = {
    "mobility": "accessory motion, 0 to 6",
    "end_feel": "quality of resistance at the end of the movement",
    "other": "the same on the person's other side",
    "pain": "pain during the procedure, 0 to 10",
    "pain_onset": "where pain began",
    "resistance_onset": "where resistance was first felt",
    "familiar": "reproduced the symptom the person came with",
    "result": "outcome of the test",
    "apprehension": "the person was apprehensive",
    "strength": "manual strength, 0 to 5",
}
"""What else is recorded of a finding, by the name of its field."""
CONCEPTS: Mapping[str, str] = {
    "dominant_hand": "dominant hand",
    "safety_verdict": "how soon somebody else must see the person, from what was recorded; not a diagnosis",
    "onset": "how the complaint began",
    "irritability": "how little provokes the symptom, how strongly, how long it takes to settle",
    "item": "one item of an outcome measure, by its number",
    "occasion": "what a single number is about",
    "answering": "who gave the answers",
    "instrument": "by what it was measured, or in which form it was answered",
    **{f"occasion-{one.value}": words for one, words in OCCASION_WORDS.items()},
    **{f"answering-{one.value}": words for one, words in ANSWERING_WORDS.items()},
}


@dataclass(frozen=True, slots=True)
class CodeList:
    """One code system: its short name is its address here, its url its name everywhere."""

    id: str
    url: str
    title: str
    concepts: Mapping[str, str]
    """Code to what it means."""


def code_lists(library: Library) -> tuple[CodeList, ...]:
    """Every code system of our own, in the order of their numbers."""
    documents = library.documents
    return (
        CodeList(
            "procedures", s.PROCEDURES, "Procedures of the examination", {p.id: p.name for p in library.catalogue}
        ),
        CodeList("aspects", s.ASPECTS, "What is recorded of a finding", ASPECTS),
        CodeList("mobility", s.MOBILITY, "Accessory motion", {str(g): name for g, name in enumerate(MOBILITY_NAMES)}),
        CodeList(
            "end-feels",
            s.END_FEELS,
            "End feels",
            {e["id"]: f"{e['name']}: {e['feel']}" for e in documents["joint_rules"]["end_feel"]},
        ),
        CodeList("results", s.RESULTS, "Outcomes of tests", {str(one): _spoken(one) for one in Result}),
        CodeList("reached", s.REACHED_LEVELS, "How high a hand reaches behind the back", {one: one for one in REACHED}),
        CodeList("sites", s.SITES, "Side and level", dict(_sites())),
        CodeList("areas", s.AREAS_OF_PAIN, "Areas a person points at", AREAS),
        CodeList("irritability", s.IRRITABILITY, "Irritability", {str(one): str(one) for one in Irritability}),
        CodeList(
            "techniques", s.TECHNIQUES, "Techniques", {r.id: r.text["name"] for r in library.tables["techniques"]}
        ),
        CodeList("exercises", s.EXERCISES, "Exercises", {r.id: _spoken(r.id) for r in library.tables["exercises"]}),
        CodeList(
            "screen-items",
            s.SCREEN_ITEMS,
            "Items of the safety screen",
            {c["id"]: c["question"] for c in documents["safety_rules"]["cue"]},
        ),
        CodeList("urgencies", s.URGENCIES, "How soon somebody else must look", {u.value: u.words for u in Urgency}),
        CodeList(
            "measures",
            s.MEASURES,
            "Outcome measures",
            {one["id"]: one["name"] for one in documents["outcome_arithmetic"]["form"] if "name" in one}
            | {one["id"]: one["name"] for one in documents["outcome_measures"]["measure"]},
        ),
        CodeList(
            "entry-kinds",
            s.ENTRY_KINDS,
            "Kinds of entry",
            {"finding": "finding", "retest": "the same found again after treatment"},
        ),
        CodeList("concepts", s.CONCEPTS, "Other concepts", CONCEPTS),
    )


def code_system(one: CodeList, release: str) -> Json:
    """The list as a CodeSystem resource."""
    return {
        "resourceType": "CodeSystem",
        "id": one.id,
        "url": one.url,
        "version": release,
        "name": "".join(word.capitalize() for word in one.id.split("-")),
        "title": one.title,
        "status": "active",
        "experimental": False,
        "caseSensitive": True,
        "content": "complete",
        "count": len(one.concepts),
        "concept": [{"code": code, "display": display} for code, display in one.concepts.items()],
    }


def site_code(side: Side | None, level: str | None) -> str:
    """`right`, `T5`, `right-T5`; empty without both."""
    return "-".join(part for part in (str(side) if side else "", level or "") if part)


def public_codings(library: Library, what: str, side: Side | None = None) -> list[Json]:
    """Codes of the public list for something we record, on this side or on any."""
    return [
        coding(s.LOINC, row.statements["code"].text, row.text["display"])
        for row in library.tables[TABLE]
        if row.text["concept"] == what and row.text.get("side", "") in ("", str(side or ""))
    ]


def public_code(library: Library, code: str, beginning: str = "") -> Row | None:
    """What a public code stands for here, of the concepts that begin so; None when we record nothing of the kind."""
    return next(
        (
            row
            for row in library.tables[TABLE]
            if row.statements["code"].text == code and row.text["concept"].startswith(beginning)
        ),
        None,
    )


START, END = "<!-- codes -->", "<!-- end of codes -->"


def exchange_tables(library: Library) -> str:
    """The systems, and the public codes with their provenance, as tables for a page, between its marks."""
    lines = [START, "| short name | url | what it names | codes |", "|---|---|---|---|"]
    lines += [f"| `{o.id}` | `{o.url}` | {o.title} | {len(o.concepts)} |" for o in code_lists(library)]
    lines += ["", "| LOINC | display | stands for | side | label | source |", "|---|---|---|---|---|---|"]
    for row in library.tables[TABLE]:
        told = (row.statements["code"].text, row.text["display"], f"`{row.text['concept']}`", row.text.get("side", ""))
        lines.append(f"| {' | '.join((*told, row.provenance.label, row.source.id))} |")
    lines += ["", "| aspect | meaning |", "|---|---|"]
    lines += [f"| `{code}` | {meaning} |" for code, meaning in ASPECTS.items()]
    lines.append(END)
    return "\n".join(lines)


def _sites() -> dict[str, str]:
    places = {level: f"{level} and the joint below it" for level in LEVELS} | {rib: f"rib {rib[1:]}" for rib in RIBS}
    sided = {f"{side}-{level}": f"{side} {name}" for side in Side for level, name in places.items()}
    return {str(side): str(side) for side in Side} | places | sided


def _spoken(word: object) -> str:
    return str(word).replace("_", " ")
