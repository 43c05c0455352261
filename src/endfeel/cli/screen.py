"""`endfeel screen CASE`: the safety verdict, why, what must not be done, and what was never asked."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from endfeel.cli.terminal import footer, print_json, say, style
from endfeel.vocabulary import CAUTIONS

if TYPE_CHECKING:
    from endfeel.evidence.library import Library
    from endfeel.safety import RaisedFlag, Verdict
    from endfeel.vocabulary import Case

_MOST_FORBIDDEN = 6
_WIDTH = 110


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="a case file (.txt or .toml), or - for standard input")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.add_argument("--all", action="store_true", help="every forbidden procedure and every unanswered question")


def run(options: argparse.Namespace) -> int:
    """Print the verdict. The exit code tells only whether the case could be read; the verdict is in the output."""
    from endfeel.cli.case_file import open_case
    from endfeel.evidence.load import load_library
    from endfeel.safety import verdict

    library = load_library()
    case = open_case(options.case, library)
    found = verdict(case, library)
    if options.json:
        print_json(screen_json(case, found, library))
    else:
        print_screen(case, found, library, in_full=options.all)
    return 0


def screen_json(case: Case, verdict: Verdict, library: Library) -> dict[str, Any]:
    """The whole verdict as plain data; nothing is cut."""
    return {
        "release": library.release,
        "urgency": verdict.urgency.value,
        "action": verdict.action,
        "stops_plan": verdict.stops_plan,
        "stops_handson": verdict.stops_handson,
        "withholds_treatment": verdict.withholds_treatment,
        "raised": [_flag_json(flag, library) for flag in verdict.raised],
        "held": [flag.id for flag in verdict.held] if verdict.is_held else [],
        "ask_now": list(verdict.ask_now),
        "not_excluded": [_flag_json(flag, library) for flag in verdict.not_excluded],
        "unscreened": list(verdict.unscreened),
        "conflicts": [{"cue": one.cue, "says": one.says} for one in verdict.conflicts],
        "noticed": [
            {"cue": one.cue, "says": one.says, "procedure": one.finding.procedure if one.finding else None}
            for one in verdict.noticed
        ],
        "precautions": [
            {
                "id": one.id, "condition": one.condition, "handling": one.handling, "mobilisation": one.mobilisation,
                "thrust": one.thrust, "because": one.because, "source": one.source, "thrust_provenance": one.provenance,
                "handling_provenance": "practice",
            }
            for one in verdict.precautions
        ],
        "mobilisation": verdict.mobilisation,
        "thrust": verdict.thrust,
        "advice": [
            {
                "kind": one.kind, "name": one.name, "lines": list(one.lines), "because": one.because,
                "source": one.source, "provenance": one.provenance,
            }
            for one in verdict.advice
        ],
        "forbidden": dict(verdict.forbidden),
        "forbidden_positions": dict(verdict.forbidden_positions),
        "answered": dict(case.screen),
        "unanswered": list(verdict.unanswered),
        "stop_rules": library.documents["safety"]["stop_rules"],
        "sources": {one: library.source(one).citation for one in _cited(verdict, library)},
        "cautions": list(CAUTIONS),
    }  # fmt: skip


def _flag_json(flag: RaisedFlag, library: Library) -> dict[str, Any]:
    return {
        "id": flag.id, "name": flag.name, "urgency": flag.urgency.value, "action": flag.action,
        "reasons": [{"cue": one.cue, "question": one.question, "known_from": one.known_from} for one in flag.reasons],
        "unanswered": list(flag.unanswered), "stop_handson": flag.stop_handson, "safe_checks": list(flag.safe_checks),
        "source": flag.source, "citation": library.source(flag.source).citation,
        "urgency_provenance": flag.urgency_provenance, "cues_provenance": flag.cues_provenance,
        "action_provenance": flag.action_provenance, "facts": _facts(flag, library),
    }  # fmt: skip


def _cited(verdict: Verdict, library: Library) -> list[str]:
    """Ids of all sources behind this verdict, once each, in the order shown."""
    flags = [
        source for flag in verdict.raised for source in (flag.source, *(f["source"] for f in _facts(flag, library)))
    ]
    open_ = [flag.source for flag in verdict.not_excluded]
    care = [one.source for one in verdict.precautions] + [note.source for note in verdict.advice]
    return list(dict.fromkeys([*flags, *open_, *care, library.documents["safety"]["stop_rules"]["source"]]))


def _facts(flag: RaisedFlag, library: Library) -> list[dict[str, str]]:
    told = next(one for one in library.documents["safety"]["red_flag"] if one["id"] == flag.id)
    return [dict(fact) for fact in told.get("figures", ())]


def print_screen(case: Case, verdict: Verdict, library: Library, in_full: bool = False) -> None:
    """Verdict first; then why, conflicts, precautions, what is forbidden, what is unanswered, sources."""
    kind = (
        "danger"
        if verdict.is_pressing or verdict.is_held
        else "warn"
        if verdict.urgency.rank or verdict.unscreened
        else "good"
    )
    urgency = verdict.urgency.words
    print(style(f"SAFETY: {urgency.upper()}{verdict.words.removeprefix(urgency)}", kind))
    if verdict.is_overridden:
        print(style(f"Overridden by {verdict.override_by}: {verdict.override_reason}", "danger"))
    _say(verdict.action)
    if verdict.is_held:
        print(style("The plan is on hold and treatment is withheld until this is answered.", "danger"))
    elif verdict.stops_plan:
        print(style("The plan stops and treatment is withheld until this is cleared.", "danger"))
    if verdict.stops_handson:
        print(style("STOP HANDS-ON: no end range, stress, glide, provocation or thrust.", "danger"))
    questions = {cue["id"]: cue["question"] for cue in library.documents["safety_rules"]["cue"]}
    for flag in verdict.raised:
        _print_flag(flag, library, questions, kind)
    if verdict.conflicts:
        _head("Answered no, but noticed (the danger counts)")
        for one in verdict.conflicts:
            _say(f"{questions[one.cue]} Answered no; {one.says}.", "! ")
    if verdict.not_excluded:
        _head("Not excluded: unanswered items")
        for flag in verdict.not_excluded:
            _print_open(flag, questions)
    _print_precautions(verdict)
    _print_forbidden(verdict, library, in_full)
    stop = library.documents["safety"]["stop_rules"]
    _head("Stop the examination when")
    _say(f"{'; '.join(stop['during_exam'])} [{stop['source']}, {stop['provenance']}]")
    _print_unanswered(case, verdict, library, in_full)
    _head("Sources")
    for cited in _cited(verdict, library):
        _say(library.source(cited).citation, f"{cited}: ", "dim")
    print()
    say("Questions, rules over cues and triggers without a source: practice.", piped=_WIDTH)
    footer(library.release)


def _print_flag(flag: RaisedFlag, library: Library, questions: dict[str, str], kind: str) -> None:
    _head(f"{flag.name} [{flag.urgency.words}]", kind)
    _say(flag.action, "do: ")
    for reason in flag.reasons:
        _say(f"{reason.question} {reason.known_from}", "because: ")
    for cue in flag.unanswered:
        _say(questions[cue], "unanswered: ")
    if flag.stop_handson and flag.safe_checks:
        _say(", ".join(flag.safe_checks), "may still be checked: ")
    for fact in _facts(flag, library):
        _say(f"{fact['text']} [{fact['source']}, {fact['provenance']}]", "known: ")
    labels = f"urgency {flag.urgency_provenance}, cues {flag.cues_provenance}, action {flag.action_provenance}"
    _say(f"{library.source(flag.source).citation} [{flag.source}; {labels}]", "source: ", "dim")


def _print_open(flag: RaisedFlag, questions: dict[str, str]) -> None:
    because = "; ".join(f"{one.question} {one.known_from}" for one in flag.reasons)
    _say(f"{flag.name} [would be {flag.urgency.words}]: {because}")
    for cue in flag.unanswered:
        _say(questions[cue], "  ask now: ")


def _print_precautions(verdict: Verdict) -> None:
    if verdict.precautions:
        _head(f"Precautions (mobilisation: {verdict.mobilisation}; thrust: {verdict.thrust})")
    for one in verdict.precautions:
        _say(f"{one.condition}: {one.handling} (mobilisation {one.mobilisation}, thrust {one.thrust})")
        _say(f"{one.because} [{one.source}; thrust {one.provenance}, handling practice]", "  because: ", "dim")
    if verdict.advice:
        _head("Medicines, groups of people, operations")
    for note in verdict.advice:
        _say(f"{note.name}: {'; '.join(note.lines)}")
        _say(f"{note.because} [{note.source}, {note.provenance}]", "  because: ", "dim")


def _print_forbidden(verdict: Verdict, library: Library, in_full: bool) -> None:
    by_reason: dict[str, list[str]] = {}
    for procedure, reason in verdict.forbidden.items():
        by_reason.setdefault(reason, []).append(library.catalogue[procedure].name)
    if by_reason or verdict.forbidden_positions:
        _head(f"Must not be done ({len(verdict.forbidden)} of {len(library.catalogue)} procedures)")
    for position, reason in verdict.forbidden_positions.items():
        _say(f"no {position.replace('_', '-')} position: {reason}")
    for reason, names in by_reason.items():
        shown = names if in_full else names[:_MOST_FORBIDDEN]
        more = f" and {len(names) - len(shown)} more (--all)" if len(shown) < len(names) else ""
        _say(f"{reason}: {', '.join(shown)}{more}")


def _print_unanswered(case: Case, verdict: Verdict, library: Library, in_full: bool) -> None:
    from endfeel.safety import first_screen

    if not verdict.unanswered:
        return
    _head("Unanswered (not the same as no)")
    for item in first_screen(library):
        missing = [one for one in item.follow_up if one.id in verdict.unanswered]
        if not missing:
            continue
        whole = not any(one.id in case.screen for one in item.follow_up)
        _say(f"{item.title}: {item.question}" if whole else f"{item.title}: {len(missing)} single questions open")
        for one in missing if in_full else ():
            _say(f"{one.question} ({one.id})", "  - ")


def _head(text: str, kind: str = "head") -> None:
    print("\n" + style(text, kind))


def _say(text: str, before: str = "", kind: str = "") -> None:
    """One wrapped paragraph, indented, with `before` in front."""
    say(text, "  " + before, kind, piped=_WIDTH)
