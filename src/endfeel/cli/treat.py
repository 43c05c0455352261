"""`endfeel treat CASE`: techniques with dose, expected effect, what speaks against them, and the sign to do again."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from endfeel.cli.own_hands import add_hands, model_for, print_own
from endfeel.cli.terminal import footer, print_json, say, style
from endfeel.vocabulary import CAUTIONS

if TYPE_CHECKING:
    from endfeel.assessment import Assessment
    from endfeel.treatment import Choice, GlideDirection, Offer

_SHOWN_TRIALS = 2


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="a case file (.txt or .toml), or - for standard input")
    parser.add_argument("--position", default="side_lying",
                        choices=["standing", "sitting", "side_lying", "supine", "prone"],
                        help="position the person is in now (default side_lying)")  # fmt: skip
    parser.add_argument("--refuse", action="append", default=[], metavar="WHAT",
                        help="what the person does not want: hands_on, a kind or a technique's id")  # fmt: skip
    parser.add_argument("--consent", action="append", default=[], metavar="TECHNIQUE",
                        help="a technique that was explained and agreed to")  # fmt: skip
    parser.add_argument("--instrument", default=None, help="words of the instrument of the re-test, such as goniometer")
    parser.add_argument("--rater", default="intra", choices=["intra", "inter"],
                        help="whether the same hands measure again (default) or others")  # fmt: skip
    add_hands(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Print what may be offered; with --json all of it as data."""
    from endfeel.assessment import assess, compare_retests
    from endfeel.cli.case_file import open_case, warn_of_gaps
    from endfeel.evidence.load import load_library
    from endfeel.treatment import Preference, choose
    from endfeel.treatment.json_form import check_preference, choice_json
    from endfeel.vocabulary import Position

    library = load_library()
    preference = Preference(frozenset(options.refuse), frozenset(options.consent))
    check_preference(preference, library)
    case = open_case(options.case, library)
    model, own = model_for(options, case, library)
    position = Position(options.position)
    assessment = assess(case, library, model=model, position=position)
    choice = choose(
        assessment.posterior, assessment.decision, assessment.verdict, library, position=position,
        preference=preference, instrument=options.instrument, rater=options.rater,
    )  # fmt: skip
    retests = compare_retests(case, library, options.instrument, options.rater)
    if options.json:
        told = choice_json(choice, retests, library)
        told |= {"urgency": assessment.verdict.urgency, "action": assessment.verdict.action}
        told |= {"release": assessment.release, "cautions": list(CAUTIONS)}
        print_json(told | ({"own_hands": list(own)} if own else {}))
        return 0
    warn_of_gaps(case)
    _print(assessment, choice)
    _print_retests(retests)
    print_own(own)
    print()
    footer(assessment.release)
    return 0


def _print(assessment: Assessment, choice: Choice) -> None:
    from endfeel.treatment import EXPECTED, KIND_WORDS

    verdict = assessment.verdict
    if choice.withheld:
        say(f"Treatment is withheld ({verdict.words}): {verdict.action}", kind="danger")
    where = choice.position.value.replace("_", "-")
    said = f"TECHNIQUES, person {where}, {choice.stage}, irritability {choice.irritability}"
    print(style(f"\n{'BEFORE ANYTHING ELSE' if choice.withheld else said}", "head"))
    for caveat in choice.caveats:
        say(caveat, "  ", "warn")
    for number_, offer in enumerate(choice.offers, 1):
        _print_offer(offer, f"{number_:2d} ")
    if choice.withheld:
        return
    print(style("  Always open", "bold"))
    _print_offer(choice.unchanged, "   ")
    for locked in choice.locked:
        asked = "; ".join(locked.questions)
        consent = " Consent to it is not recorded." if locked.needs_consent else ""
        say(f"{locked.offer.name}: only after its screening and consent.{' Ask: ' + asked if asked else ''}{consent}",
            "  behind screening: ", "warn")  # fmt: skip
    grouped: dict[str, list[str]] = {}
    for one in choice.left_out:
        grouped.setdefault(one.reason, []).append(one.technique.name)
    for reason, names in grouped.items():
        say(f"left out, {reason}: {'; '.join(names)}", "  ", "dim")
    if any(offer.technique.treatment_class for offer in choice.offers):
        say(EXPECTED, "  ", "dim")
    _print_directions(choice.directions)
    if choice.signs and not choice.withheld:
        print(style("\nDO AGAIN after a technique", "head"))
        for sign in choice.signs:
            place = " ".join(part for part in (str(sign.finding.side or ""), sign.finding.level or "") if part)
            least = f" [{sign.smallest}]" if sign.smallest else ""
            say(f"{sign.name} {place}: {', '.join(sign.reasons)}{least}", "  ")
    kinds = sorted({KIND_WORDS[offer.technique.kind] for offer in choice.everything})
    say(f"kinds on offer: {', '.join(kinds)}", "  ", "dim")


def _print_offer(offer: Offer, lead: str) -> None:
    from endfeel.evidence.cite import MARKS, short_citation
    from endfeel.evidence.figures import Provenance

    points = ""
    mark = MARKS[Provenance.from_label(offer.provenance)]
    if offer.technique.treatment_class:
        points = (
            f"  {offer.expected_points:+.0f} ({offer.expected_low:+.0f} to {offer.expected_high:+.0f}) points {mark}"
        )
    turn = "" if offer.stays else f", person {offer.position.value.replace('_', '-')}"
    say(f"{offer.name}{points}", f"  {lead}", strong=offer.name)
    dose_mark = MARKS[offer.dose.words.provenance]
    say(f"dose {dose_mark}{offer.dose.text}{turn}", "       ")
    if offer.needed_for:
        say("for " + ", ".join(f"{name} {chance:.0%}" for name, chance in offer.needed_for[:3]), "       ")
    for effect in offer.effects[:_SHOWN_TRIALS]:
        seen = f"{effect.figure.provenance.label}, {short_citation(effect.figure.source)}, {effect.certainty} certainty"
        say(f"{MARKS[effect.figure.provenance]}{effect.words} ({seen})", "       trial: ", "dim")
    if not offer.effects:
        say("no trial in the evidence; common practice", "       trial: ", "dim")
    elif len(offer.effects) > _SHOWN_TRIALS:
        rest = ", ".join(effect.figure.id.split(".")[1] for effect in offer.effects[_SHOWN_TRIALS:])
        say(f"more trials: {rest} (endfeel evidence)", "       ", "dim")
    if offer.why:
        say(offer.why, "       asked for: ")
    for against in offer.against:
        say(against, "       against: ", "warn")
    if offer.signs:
        say("; ".join(f"{sign.name} ({sign.shown})" for sign in offer.signs), "       do again: ")


def _print_directions(directions: tuple[GlideDirection, ...]) -> None:
    from endfeel.evidence.cite import MARKS, short_citation, value_text
    from endfeel.evidence.figures import number
    from endfeel.treatment import MODEL_WORDS

    if not directions:
        return
    print(style("\nWHICH WAY TO GLIDE: rule, publications, model", "head"))
    for one in directions:
        say(f"{one.name}: {one.lost_deg:g}° below {one.against}. {one.verdict}", "  ", strong=one.name)
        say(f"{MARKS[one.rule_figure.provenance]}{value_text(one.rule_figure)} ({one.rule_figure.provenance.label})",
            "       rule: ")  # fmt: skip
        cites = "; ".join(f"{MARKS[f.provenance]}{short_citation(f.source)}" for f in one.evidence)
        say(f"favour {one.favours.text} ({cites})", "       publications: ")
        told = ", ".join(
            f"{glide.direction} {number(glide.added):+.1f} points of strain, most in {number(glide.best):.0%}"
            for glide in one.model[:3]
        )
        say(f"‡{told}, with {one.contributor}" if told else "no answer", "       model: ")
    say(MODEL_WORDS, "  ", "dim")


def _print_retests(retests: tuple[Any, ...]) -> None:
    from endfeel.measurement import STEERS, line_of

    if retests:
        print(style("\nBEFORE AND AFTER", "head"))
        for one in retests:
            say(line_of(one), "  ")
        say(STEERS, "  ", "dim")
