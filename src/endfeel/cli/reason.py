"""`endfeel reason CASE`: safety first, then ranked contributors with reasons, then the next best test."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from endfeel.cli.own_hands import add_hands, model_for, print_own
from endfeel.cli.terminal import bar, footer, line_width, print_json, say, style
from endfeel.inference.words import percent
from endfeel.vocabulary import CAUTIONS, CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.assessment import Assessment
    from endfeel.evidence.library import Library
    from endfeel.inference import Belief, ExplanationLine, Posterior, Rival
    from endfeel.safety import Verdict

_MOST_REASONS = 4
_MOST_BEHIND, _MOST_WAITING = 3, 6
_WIDE = 90
"""Letters from which the bars and their indent have room."""


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="a case file (.txt or .toml), or - for standard input")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.add_argument("--top", type=int, default=6, metavar="N", help="contributors shown (default 6)")
    parser.add_argument("--why", metavar="CONTRIBUTOR", help="one contributor in full: for, against, rivals, sources")
    add_hands(parser)
    parser.add_argument("--numbers", action="store_true", help="weights in decibans, bits and figure ids")


def run(options: argparse.Namespace) -> int:
    """Print the conclusions of a case."""
    from endfeel.assessment import assess
    from endfeel.cli.case_file import open_case, warn_of_gaps
    from endfeel.evidence.load import load_library

    if options.top < 1:
        raise CannotRead([Fault("--top must be at least 1", str(options.top), "for instance 6")])
    library = load_library()
    case = open_case(options.case, library)
    warn_of_gaps(case)
    model, own = model_for(options, case, library)
    assessment = assess(case, library, model=model)
    if options.why:
        return print_why(assessment, library, options.why, numbers=options.numbers, own=own)
    if options.json:
        print_json(assessment_json(assessment) | ({"own_hands": list(own)} if own else {}))
    else:
        print_assessment(assessment, options.top, own, numbers=options.numbers)
    return 0


def assessment_json(assessment: Assessment) -> dict[str, Any]:
    """The conclusions as plain data; every contributor, every explanation line."""
    posterior, verdict = assessment.posterior, assessment.verdict
    return {
        "release": assessment.release,
        "program": assessment.program_version,
        "urgency": verdict.urgency.value,
        "verdict": verdict.words,
        "withheld": verdict.withholds_treatment,
        "on_hold": [{"id": flag.id, "name": flag.name} for flag in verdict.held] if verdict.is_held else [],
        "ask_first": list(verdict.ask_now),
        "urgent": [
            {
                "id": flag.id,
                "name": flag.name,
                "urgency": flag.urgency.value,
                "action": flag.action,
                "reasons": [{"cue": r.cue, "question": r.question, "known_from": r.known_from} for r in flag.reasons],
                "stop_handson": flag.stop_handson,
                "source": flag.source,
                "provenance": flag.urgency_provenance,
            }
            for flag in verdict.raised
        ],
        "contributors": [_belief_json(belief) for belief in posterior.beliefs],
        "explanation": [_line_json(line) for line in posterior.explanation],
        "next": [
            {
                "procedure": test.procedure,
                "name": test.name,
                "side": test.side,
                "level": test.level,
                "position": test.position.value,
                "seconds": test.seconds,
                "information_bits": test.information_bits,
                "irritability_load": test.irritability_load,
                "reason": test.reason,
                "worth_points": test.worth_points,
                "turn": test.turn,
            }
            for test in assessment.next_tests
        ],
        "articular": [
            {
                "motion": one.motion,
                "name": one.name,
                "side": one.side,
                "deficit_deg": one.deficit_deg,
                "error_sd_deg": one.error_sd_deg,
                "verdict": one.verdict,
                "probability": one.probability,
                "soft_probability": one.soft_probability,
                "glides": list(one.glides),
                "to_test": list(one.to_test),
            }
            for one in posterior.articular
        ],
        "what_would_change": [
            {
                "kind": change.kind,
                "text": change.text,
                "new_leader": change.new_leader,
                "outcome_probability": change.outcome_probability,
            }
            for change in assessment.what_would_change
        ],
        "contradictions": [
            {
                "findings": list(one.findings),
                "sentence": one.sentence,
                "how_often": one.how_often,
                "basis": one.basis,
                "provenance": one.provenance,
            }
            for one in assessment.unfit
        ],
        "decision": {
            "withheld": assessment.decision.withheld,
            "courses": [asdict(course) for course in assessment.decision.courses],
            "worthwhile": [course.name for course in assessment.decision.worthwhile],
            "closed": [course.name for course in assessment.decision.closed],
            "both_open": [asdict(one) for one in assessment.decision.both_open],
            "settled": assessment.plan.settled,
        },
        "left_out_mass": posterior.left_out_mass,
        "unanswered": list(verdict.unanswered),
        "caveats": list(posterior.caveats),
        "cautions": list(CAUTIONS),
        "provenance": _weakest([line.provenance for line in posterior.explanation]),
    }


def _belief_json(belief: Belief) -> dict[str, Any]:
    return {
        "id": belief.id,
        "name": belief.name,
        "region": belief.region,
        "side": belief.side,
        "level": belief.level,
        "prior": belief.prior,
        "probability": belief.probability,
        "low": belief.low,
        "high": belief.high,
        "treatment_class": belief.treatment_class,
        "examined": belief.examined,
        "prior_figures": list(belief.prior_figures),
    }


def _line_json(line: ExplanationLine) -> dict[str, Any]:
    return {
        "finding": line.finding,
        "text": line.text,
        "contributor": line.contributor,
        "side": line.side,
        "level": line.level,
        "decibans": line.decibans,
        "direction": line.direction,
        "figures": list(line.figures),
        "links": list(line.links),
        "provenance": line.provenance,
        "sentence": line.sentence,
    }


def _weakest(labels: list[str]) -> str:
    order = ("read", "memory", "practice")
    return max(labels, key=order.index, default="practice")


def print_assessment(assessment: Assessment, top: int = 6, own: tuple[str, ...] = (), *, numbers: bool = False) -> None:
    """Safety, contributors (`own`: whose hands they were read with), joint or soft tissue, what would change this, next
    test, release."""
    verdict, posterior = assessment.verdict, assessment.posterior
    print_safety(verdict)
    print()
    if verdict.withholds_treatment:
        _print_behind(assessment, own)
        footer(assessment.release)
        return
    print(style("What contributes", "head"))
    if not assessment.case.findings:
        print("  no findings yet: these are the shares the story gives")
    for caveat in posterior.caveats:
        say(caveat, "  ! ", "warn")
    _print_contradictions(assessment)
    for belief in posterior.examined[:top]:
        _print_belief(belief, posterior.explanation, numbers=numbers)
    _print_not_examined(posterior)
    print_own(own)
    if posterior.articular:
        print("\n" + style("Joint or soft tissue", "head"))
        for one in posterior.articular:
            say(str(one), f"  {one.verdict:<16} ")
    print_decision(assessment)
    if assessment.case.findings:
        print("\n" + style("What would change this", "head"))
        if not assessment.what_would_change:
            say(
                "no single test that may be done, and no three recorded findings taken out, would put another first",
                "  ",
            )
        for change in assessment.what_would_change:
            share = f" (chance {change.outcome_probability:.0%})" if change.outcome_probability is not None else ""
            say(f"{change.text}{share}", "  ")
    _print_next(assessment, numbers=numbers)
    print()
    mass = posterior.left_out_mass
    words = "dB: decibans, ten times the common logarithm of what a finding did to the odds; 10 dB is a factor of ten. "
    plain = "Strongly: ten times the odds or more; clearly: twice or more; slightly: less. --numbers for the weights. "
    left = f"The sum left out at most {mass:.1e} of all combinations." if mass else "The sum left nothing out."
    say((words if numbers else plain) + left, kind="dim")
    footer(assessment.release)


def _print_not_examined(posterior: Posterior) -> None:
    """What nothing found can speak about, apart: its share is that of the story and of people at large."""
    waiting = posterior.not_examined[:_MOST_WAITING]
    if waiting:
        names = "; ".join(f"{belief_words(one)} {percent(one.probability)}" for one in waiting)
        say(f"{names} (known only from the story and how common it is)", "  not examined yet: ", "dim")


def belief_words(belief: Belief) -> str:
    """Name with side and level."""
    place = ", ".join(part for part in (belief.side.value if belief.side else "", belief.level or "") if part)
    return f"{belief.name}{f' ({place})' if place else ''}"


def _print_behind(assessment: Assessment, own: tuple[str, ...]) -> None:
    """The ranking while safety withholds treatment: small, for the letter, nothing to act on."""
    verdict, posterior = assessment.verdict, assessment.posterior
    if verdict.is_held:
        say("Nothing further is reasoned, planned or treated before the questions above are answered.", kind="danger")
    else:
        say(f"Nothing further is examined or treated before this is done: {verdict.action}", kind="danger")
    if not assessment.case.findings:
        return
    print("\n" + style("For the letter only, nothing to act on", "dim"))
    for caveat in posterior.caveats:
        say(caveat, "  ! ", "dim")
    for belief in [one for one in posterior.beliefs if one.examined][:_MOST_BEHIND]:
        share = f"{percent(belief.probability)} ({percent(belief.low)} to {percent(belief.high)})"
        say(f"{belief_words(belief)}: {share}, danger not weighed in it", "  ", "dim")
    print_own(own)
    print()


def _print_contradictions(assessment: Assessment) -> None:
    """What does not fit together as recorded, before the ranking that rests on it."""
    for one in assessment.unfit:
        say(f"{one.lead}: {one.sentence} ({one.provenance})", "  ! ", "warn")


def print_safety(verdict: Verdict) -> None:
    """What safety says, before anything else."""
    from endfeel.evidence.load import load_library
    from endfeel.safety import Urgency, first_screen

    urgent = verdict.stops_plan
    kind = "danger" if urgent else "good" if verdict.urgency is Urgency.NONE else "warn"
    urgency = verdict.urgency.words
    words = f"Safety: {urgency.upper()}{verdict.words.removeprefix(urgency)}"
    if line_width() < len(words) + len(verdict.action) + 2:
        print(style(words, kind))
        say(verdict.action, "  ")
    else:
        print(f"{style(words, kind)}  {verdict.action}".rstrip())
    for flag in verdict.raised:
        stop = "  STOP HANDS-ON" if flag.stop_handson else ""
        print(f"  {style(flag.name, kind)} [{flag.urgency.words}]{stop}")
        say(flag.action, "    ")
        for reason in flag.reasons:
            say(f"{reason.question} ({reason.known_from})", "    because: ")
        labels = f"urgency {flag.urgency_provenance}, cues {flag.cues_provenance}, action {flag.action_provenance}"
        say(f"{flag.source} ({labels})", "    source: ", "dim")
    if verdict.unanswered:
        items = first_screen(load_library())
        open_ = [item.title.lower() for item in items if any(one.id in verdict.unanswered for one in item.follow_up)]
        shown = ", ".join(open_) or f"{len(verdict.unanswered)} single questions"
        say(f"{shown}. `endfeel screen CASE` asks.", "  unanswered (not the same as no): ")


def _print_belief(belief: Belief, lines: tuple[ExplanationLine, ...], *, numbers: bool = False) -> None:
    name = belief_words(belief)
    interval = f"[{percent(belief.low)} to {percent(belief.high)}]"
    wide = line_width() >= _WIDE
    cells = bar(belief.probability, 20 if wide else 8)
    say(name, f"  {cells} {percent(belief.probability):>5}  {interval:<15} ", strong=name)
    indent = " " * (23 if wide else 6)
    say(f"{belief.sentence}; {belief.prior:.0%} before the findings", indent, "dim")
    own = [line for line in lines if (line.contributor, line.side) == (belief.id, belief.side)]
    for line in own[:_MOST_REASONS]:
        if not numbers:
            say(f"{line.text} ({line.provenance})", f"{indent}{f'{line.strength} {line.direction}':<16}  ")
            continue
        figures = f"; {', '.join(line.figures[:2])}{' …' if len(line.figures) > 2 else ''}" if line.figures else ""
        say(f"{line.text} ({line.provenance}{figures})", f"{indent}{line.decibans:+5.1f} dB  ")


def print_decision(assessment: Assessment) -> None:
    """What the contributors call for, with expected gain, harm and how weak that is."""
    from endfeel.treatment import POINTS

    decision = assessment.decision
    if not assessment.case.findings:
        return
    print("\n" + style("What it calls for", "head"))
    if decision.withheld:
        say(f"Nothing is treated before this is done: {assessment.verdict.action}", "  ", "danger")
        return
    for course in decision.worthwhile[:_MOST_REASONS]:
        interval = f"[{course.expected_low:+.0f} to {course.expected_high:+.0f}]"
        for_what = ", ".join(f"{name} {percent(p)}" for name, p in course.needed_for[:2])
        why = f"{course.why}; " if course.why else ""
        beware = f"; {course.opposed_words}" if course.opposed_words and course.opposed_points >= 1.0 else ""
        need = f"needed {percent(course.needed)}, for {for_what}"
        say(f"{course.name}: {why}{need}; may cost {course.harm_words}{beware}",
            f"  {course.expected_points:+5.1f} points {interval:<13} ", strong=course.name)  # fmt: skip
    if decision.worthwhile[_MOST_REASONS:]:
        say("; ".join(course.name for course in decision.worthwhile[_MOST_REASONS:]), "  a little in favour, too: ")
    say(f"{decision.baseline}: always open; what the others are measured against", f"  {'0':>5} points {'':<13} ")
    if decision.unexamined:
        names = "; ".join(course.name for course in decision.unexamined)
        say(names, "  by the story alone, examine first: ")
    if decision.closed:
        say("; ".join(course.name for course in decision.closed), "  what was found does not speak for: ")
    for one in decision.both_open:
        say(one.sentence, "  both open: ", "warn")
    say(POINTS, "  ", "dim")


def _print_next(assessment: Assessment, *, numbers: bool = False) -> None:
    print("\n" + style("Next best test", "head"))
    if assessment.plan.settled and assessment.next_tests:
        say("No test left, alone or with one other, is expected to change what is to be done; these only refine.", "  ")
    if not assessment.next_tests:
        why = "safety stops the examination" if assessment.verdict.stops_plan else "nothing left is worth its time"
        why = "the questions of the screen come first" if assessment.verdict.is_held else why
        print(f"  none: {why}")
        return
    for test in assessment.next_tests[:3]:
        place = " ".join(part for part in (test.side.value if test.side else "", test.level or "") if part)
        cost = f"{test.seconds:.0f} s, {test.position.value.replace('_', '-')}, load {test.irritability_load} of 3"
        where = f" ({place})" if place else ""
        worth = f"{test.worth_points:.1f} points, " if test.turn else ""
        bits = f"{test.information_bits:.2f} bits, " if numbers else ""
        say(f"{test.name}{where}: {worth}{bits}{cost}; {test.reason}", "  ")
        if test.turn:
            say(test.turn, "    ", "dim")


def print_retests(assessment: Assessment) -> None:
    """What the re-tests say against the findings before treatment."""
    if not assessment.retests:
        return
    print("\n" + style("After the treatment trial", "head"))
    for one in assessment.retests:
        place = " ".join(part for part in (one.side, one.level) if part)
        word = str(one.verdict).replace("_", " ")
        toward = f", {one.direction}" if one.direction not in ("", "none") else ""
        say(f"{one.name}{f' ({place})' if place else ''}: {word}{toward}", "  ", strong=word + toward)
        for caveat in one.caveats:
            say(caveat, "    ", "dim")


def _named(wanted: str, beliefs: tuple[Belief, ...]) -> list[Belief]:
    exact = [b for b in beliefs if wanted in (b.id, b.contributor)]
    if exact:
        return exact
    part = "_".join(wanted.lower().replace("-", " ").split())
    alike = [b for b in beliefs if part and (part in b.id.lower() or part.replace("_", " ") in b.name.lower())]
    kinds = tuple(dict.fromkeys(b.contributor for b in alike))
    if len(kinds) == 1:
        return alike
    message = "could mean several contributors" if kinds else "no such contributor"
    raise CannotRead([Fault(message, wanted, "an id of `endfeel vocabulary contributors`", candidates=kinds[:6])])


def print_why(
    assessment: Assessment, library: Library, wanted: str, *, numbers: bool = False, own: tuple[str, ...] = ()
) -> int:
    """One contributor, named by id or any part of it that fits one only. Raises CannotRead."""
    posterior = assessment.posterior
    beliefs = _named(wanted, posterior.beliefs)
    print_safety(assessment.verdict)
    _print_contradictions(assessment)
    for belief in beliefs:
        print()
        _print_belief(belief, ())
        account = posterior.account_of(belief)
        for title, lines in (("Speaks for it", account.supporting), ("Speaks against it", account.opposing)):
            print(f"  {title}{'' if lines else ': nothing'}")
            for line in lines:
                _print_reason(line, library, numbers=numbers)
        for rival in account.rivals:
            _print_rival(rival, numbers=numbers)
        if account.reversal:
            say(account.reversal.sentence, "  What would reverse the order: ")
        prior = ", ".join(belief.prior_figures) or "common practice (contributors.toml)"
        say(prior, "  prior from: ", "dim")
    print_own(own)
    print()
    footer(assessment.release)
    return 0


def _print_reason(line: ExplanationLine, library: Library, *, numbers: bool) -> None:
    lead = f"{line.decibans:+6.1f} dB  " if numbers else f"{line.strength:<9} "
    say(line.text, f"    {lead}")
    indent = " " * (4 + len(lead))
    if numbers:
        told = ", ".join(line.figures)
    else:
        told = "; ".join(dict.fromkeys(library.figure(one).source.citation for one in line.figures))
    link = f", link {' and '.join(line.links)}" if line.links else ""
    say(f"{line.provenance}{link}: {told or 'no figure of its own'}", indent, "dim")


def _print_rival(rival: Rival, *, numbers: bool) -> None:
    say(f"{rival.name} ({percent(rival.probability)})", "  Beside it stands ")
    if not rival.apart:
        say("nothing found tells the two apart", "    ")
    for one in rival.apart[:_MOST_REASONS]:
        sides = f" ({one.decibans:+.1f} against {one.rival_decibans:+.1f} dB)" if numbers else ""
        word = "rather for it" if one.decibans > one.rival_decibans else "rather for the other"
        say(f"{one.text}{sides}", f"    {word}: ")
