"""The safety verdict of a case: what is raised, what cannot be excluded, what must not be done."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from endfeel.evidence.library import Library
from endfeel.safety.forbidding import forbidden_positions, forbidden_procedures
from endfeel.safety.noticing import Noticed, not_met, notice
from endfeel.safety.rules import FlagRule, Rule, cues_of, holds
from endfeel.safety.said import Advice, Precaution, RaisedFlag, Reason, Urgency, Verdict
from endfeel.vocabulary import Case, Refused

MIN_REASON_LETTERS = 10
MOST_ASKED = 4
"""Questions named in the line of what to do."""


def verdict(case: Case, library: Library) -> Verdict:
    """Evaluate every red flag and precaution on what is answered and what is noticed.

    The more urgent flag leads. A noticed danger overrules a "no".
    """
    rules, safety = library.documents["safety_rules"], library.documents["safety"]
    noticed = notice(case, library.release, rules)
    told = _Told(_This(library), tuple(case.screen.items()), noticed, not_met(case, rules))
    flags = _flags_of(told)
    ids = {flag.id for flag in flags.raised}
    return _verdict_of(told, tuple(_precautions(case, flags.cues, flags.known_from, ids, rules, safety)))


class _This:
    """A library as part of a key: itself and no other."""

    __slots__ = ("library",)

    def __init__(self, library: Library) -> None:
        self.library = library

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _This) and other.library is self.library

    def __hash__(self) -> int:
        return id(self.library)


@dataclass(frozen=True, slots=True)
class _Told:
    """All that the red flags hang on. One more finding mostly leaves it as it was: what follows is kept."""

    of: _This
    screen: tuple[tuple[str, bool], ...]
    noticed: tuple[Noticed, ...]
    not_met: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Flags:
    """The flags, and the cues they were reckoned from."""

    cues: Mapping[str, bool]
    known_from: Mapping[str, str]
    raised: tuple[RaisedFlag, ...]
    open: tuple[RaisedFlag, ...]
    held: tuple[RaisedFlag, ...]
    unscreened: tuple[str, ...]
    ask_now: tuple[str, ...]


@lru_cache(maxsize=128)
def _flags_of(told_of: _Told) -> _Flags:
    library, screen, noticed = told_of.of.library, dict(told_of.screen), told_of.noticed
    rules, safety = library.documents["safety_rules"], library.documents["safety"]
    cues = dict.fromkeys(told_of.not_met, False) | screen | {one.cue: True for one in noticed}
    questions = {cue["id"]: cue["question"] for cue in rules["cue"]}
    known_from = {cue: "answered yes" for cue, yes in screen.items() if yes}
    known_from |= {one.cue: _known(one, screen, library) for one in noticed}
    told = {one.cue for one in noticed if one.from_story and not screen.get(one.cue)}
    flags = {flag["id"]: flag for flag in safety["red_flag"]}
    raised: list[RaisedFlag] = []
    open_: list[RaisedFlag] = []
    unscreened: list[str] = []
    held: list[RaisedFlag] = []
    by_hand = {cue["id"]: False for cue in rules["cue"] if cue.get("by_hand")}
    for rule in _flag_rules(library):
        outcome = holds(rule.when, cues)
        levels = [holds(one["when"], cues) for one in rule.lesser]
        met = tuple(cue for cue in rule.cues if cues.get(cue))
        is_open = outcome is None or None in levels
        if outcome or any(levels) or (is_open and any(not _is_age(cue) for cue in met)):
            reasons = tuple(Reason(cue, questions[cue], known_from[cue]) for cue in met)
            unknown = tuple(cue for cue in rule.cues if cue not in cues and not _is_age(cue))
            flag = _flag(flags[rule.flag], reasons, unknown)
            if not rule.suspects.isdisjoint(met) and holds(rule.when, by_hand | cues) is None:
                held.append(flag)
            if any(levels) and not outcome:
                flag = _at_lesser(flag, rule.lesser[levels.index(True)])
            flag = _sooner(flag, rule.sooner, cues, questions, known_from)
            (raised if outcome or any(levels) else open_).append(flag)
        elif is_open:
            unscreened.append(rule.flag)
    raised.sort(key=lambda flag: -flag.urgency.rank)
    open_.sort(key=lambda flag: (-len(told & {one.cue for one in flag.reasons}), -flag.urgency.rank))
    ask_now = _ask_now(open_, raised, held, told, library, by_hand | cues)
    return _Flags(cues, known_from, tuple(raised), tuple(open_), tuple(held), tuple(unscreened), ask_now)


@lru_cache(maxsize=128)
def _verdict_of(told: _Told, precautions: tuple[Precaution, ...]) -> Verdict:
    library, screen, flags = told.of.library, dict(told.screen), _flags_of(told)
    rules, safety = library.documents["safety_rules"], library.documents["safety"]
    cues, raised = flags.cues, flags.raised
    questions = {cue["id"]: cue["question"] for cue in rules["cue"]}
    limits = {one["precaution"]: one.get("forbids", {}) for one in rules["precaution_rule"]}
    limiting = tuple((f"precaution: {one.condition}", limits[one.id]) for one in precautions)
    stopping = next((flag for flag in raised if flag.stop_handson), None)
    asked = [questions[one] for one in flags.ask_now]
    urgency, action = _leading(raised, flags.open, flags.held, precautions, safety, len(flags.unscreened), asked)
    open_cues = [cue for cue in questions if cue not in cues and not _is_age(cue)]
    return Verdict(
        urgency=urgency,
        action=action,
        raised=raised,
        not_excluded=flags.open,
        precautions=precautions,
        noticed=told.noticed,
        conflicts=tuple(one for one in told.noticed if screen.get(one.cue) is False),
        unanswered=tuple(dict.fromkeys([*(cue for cue in flags.ask_now if cue not in cues), *open_cues])),
        forbidden=forbidden_procedures(
            library.catalogue, rules, cues, {flag.id for flag in raised}, limiting,
            f"hands off until cleared: {stopping.name}" if stopping else "",
            tuple(check for flag in raised for check in flag.safe_checks),
        ),
        unscreened=flags.unscreened,
        held=flags.held,
        ask_now=flags.ask_now,
        ask_words=tuple(asked),
        advice=tuple(_advice(cues, flags.known_from, rules, safety)),
        forbidden_positions=forbidden_positions(limiting),
    )  # fmt: skip


def forget() -> None:
    """Keep nothing any longer, in this process, of what was told, as when somebody is erased."""
    _verdict_of.cache_clear()
    _flags_of.cache_clear()


def override(verdict: Verdict, reason: str, by: str) -> Verdict:
    """The verdict, overridden for a stated reason; what was raised stays on it.

    Raises Refused when there is nothing to override, no name, or no reason worth the name.
    """
    if not (verdict.is_pressing or verdict.is_held):
        raise Refused("there is nothing urgent or on hold to override")
    if sum(letter.isalpha() for letter in reason) < MIN_REASON_LETTERS or not by.strip():
        raise Refused("an override needs a name and a reason in words: what was seen, by whom, why it is safe to go on")
    return replace(verdict, override_reason=reason.strip(), override_by=by.strip())


_FLAG_RULES: dict[str, tuple[FlagRule, ...]] = {}


def _flag_rules(library: Library) -> tuple[FlagRule, ...]:
    """The rules of one evidence release, gathered at their first use."""
    if library.release not in _FLAG_RULES:
        _FLAG_RULES[library.release] = tuple(map(FlagRule.of, library.documents["safety_rules"]["rule"]))
    return _FLAG_RULES[library.release]


def _known(noticed: Noticed, screen: Mapping[str, bool], library: Library) -> str:
    if noticed.from_story:
        answer = screen.get(noticed.cue)
        ask = "answered yes" if answer else "answered no" if answer is False else "ask now"
        return f"noticed: from the story, {noticed.says}; {ask}"
    return f"noticed: {noticed.says}{_shown_by(noticed, library)}"


def _shown_by(noticed: Noticed, library: Library) -> str:
    """The procedure that showed it, in brackets; empty when no finding did."""
    return f" ({library.catalogue[noticed.finding.procedure].name})" if noticed.finding else ""


def _is_age(cue: str) -> bool:
    return cue.startswith("age_")


def _flag(flag: Mapping[str, Any], reasons: tuple[Reason, ...], unanswered: tuple[str, ...]) -> RaisedFlag:
    return RaisedFlag(
        id=flag["id"], name=flag["name"], urgency=Urgency(flag["urgency"]), action=flag["action"], reasons=reasons,
        unanswered=unanswered, stop_handson=flag["stop_handson"], safe_checks=tuple(flag.get("safe_checks", ())),
        source=flag["source"], urgency_provenance=flag["urgency_provenance"],
        cues_provenance=flag["cues_provenance"], action_provenance=flag["action_provenance"],
    )  # fmt: skip


def _at_lesser(flag: RaisedFlag, lesser: Mapping[str, Any]) -> RaisedFlag:
    return replace(
        flag,
        urgency=Urgency(lesser["urgency"]),
        urgency_provenance=lesser["provenance"],
        stop_handson=lesser.get("stop_handson", flag.stop_handson),
    )


def _ask_now(
    open_: list[RaisedFlag], raised: list[RaisedFlag], held: list[RaisedFlag], told: set[str], library: Library,
    cues: Mapping[str, bool],
) -> tuple[str, ...]:  # fmt: skip
    """The told cues of pressing flags to confirm, what would settle a hold, then what would complete open flags."""
    by_flag = {rule.flag: rule.when for rule in _flag_rules(library)}
    ask: list[str] = []
    for flag in (*raised, *held, *open_):
        if flag.urgency.rank >= Urgency.REFER.rank:
            ask += [one.cue for one in flag.reasons if one.cue in told]
    for flag in (*held, *(one for one in open_ if told & {cue.cue for cue in one.reasons})):
        completing = [cue for cue in flag.unanswered if holds(by_flag[flag.id], {**cues, cue: True})]
        ask += completing or ([cue for cue in flag.unanswered if cue not in cues] if flag in held else [])
    return tuple(dict.fromkeys(ask))


def _sooner(
    flag: RaisedFlag, more: Mapping[str, Any] | None, cues: Mapping[str, bool], questions: Mapping[str, str],
    known_from: Mapping[str, str],
) -> RaisedFlag:  # fmt: skip
    """The flag, more urgent where the data names cues that make it so."""
    if more is None or not holds(more["when"], cues):
        return flag
    urgency = max(flag.urgency, Urgency(more["urgency"]), key=lambda one: one.rank)
    known = {reason.cue for reason in flag.reasons}
    added = tuple(
        Reason(cue, questions[cue], known_from[cue])
        for cue in dict.fromkeys(cues_of(more["when"]))
        if cues.get(cue) and cue not in known
    )
    label = more["provenance"] if urgency is not flag.urgency else flag.urgency_provenance
    return replace(flag, urgency=urgency, urgency_provenance=label, reasons=flag.reasons + added)


def _advice(
    cues: Mapping[str, bool], known_from: Mapping[str, str], rules: Mapping[str, Any], safety: Mapping[str, Any]
) -> Iterable[Advice]:
    lines = {"drug": ("effect_on_handling", "action"), "population": ("rules",), "post_operative": ("windows", "notes")}
    told = {(kind, one.get("id", one.get("class"))): one for kind in lines for one in safety[kind]}
    for rule in rules["advice_rule"]:
        if holds(rule["when"], cues):
            kind, one = rule["kind"], told[rule["kind"], rule["about"]]
            name = one.get("name") or one.get("procedure") or one["class"]
            said = [one[key] for key in lines[kind]]
            flat = tuple(line for part in said for line in ([part] if isinstance(part, str) else part) if line)
            because = _met_words(rule["when"], cues, known_from)
            yield Advice(kind, name, flat, because, one["source"], one["provenance"])


def _met_words(rule: Rule, cues: Mapping[str, bool], known_from: Mapping[str, str]) -> str:
    met = [cue for cue in dict.fromkeys(cues_of(rule)) if cues.get(cue)]
    return "; ".join(f"{cue.replace('_', ' ')} ({known_from[cue]})" for cue in met)


def _leading(
    raised: Sequence[RaisedFlag], open_: Sequence[RaisedFlag], held: Sequence[RaisedFlag],
    precautions: tuple[Precaution, ...],
    safety: Mapping[str, Any], unscreened: int, ask_now: list[str],
) -> tuple[Urgency, str]:  # fmt: skip
    ask = f" Ask now, from the story: {' '.join(ask_now[:MOST_ASKED])}" if ask_now else ""
    if held and not (raised and raised[0].urgency.rank >= Urgency.URGENT.rank):
        names = "; ".join(flag.name for flag in held)
        first = f"Ask before hands-on work: {' '.join(ask_now[:MOST_ASKED])} Not excluded, an emergency if so: {names}."
        wait = "Nothing is provoked or treated until this is answered."
        then = f" {safety['urgency'][raised[0].urgency]} {raised[0].action}" if raised else ""
        return raised[0].urgency if raised else Urgency.MONITOR, f"{first} {wait}{then}"
    if raised:
        return raised[0].urgency, f"{safety['urgency'][raised[0].urgency]} {raised[0].action}{ask}"
    unasked = f" {unscreened} red flags are not excluded: their items are unanswered." if unscreened else ""
    if open_ or precautions:
        if open_ and not ask:
            ask = " Ask now what is still unanswered about the flags that are not excluded."
        return Urgency.MONITOR, f"{safety['urgency']['monitor']}{ask}{unasked}"
    clean = "No red flag is raised by what was answered and found. A clean list does not exclude disease."
    return Urgency.NONE, clean + unasked


def _precautions(
    case: Case, cues: Mapping[str, bool], known_from: Mapping[str, str], flags: set[str],
    rules: Mapping[str, Any], safety: Mapping[str, Any],
) -> Iterable[Precaution]:  # fmt: skip
    told = {one["id"]: one for one in safety["precaution"]}
    for rule in rules["precaution_rule"]:
        because = _because(case, rule["when"], cues, known_from, flags)
        if because:
            one = told[rule["precaution"]]
            yield Precaution(
                one["id"], one["condition"], one["handling"], one["mobilisation"], one["thrust"], because,
                one["source"], one["thrust_provenance"],
            )  # fmt: skip


def _because(
    case: Case, when: Mapping[str, Any], cues: Mapping[str, bool], known_from: Mapping[str, str], flags: set[str]
) -> str:
    ((word, wanted),) = when.items()
    if word == "flags":
        return ", ".join(flag.replace("_", " ") for flag in wanted if flag in flags)
    if word in ("any", "all", "at_least"):
        return _met_words(when, cues, known_from) if holds(when, cues) else ""
    if word == "irritability":
        return f"irritability {wanted}" if case.complaint.irritability == wanted else ""
    if word == "mobility_at_least":
        loose = [f.procedure for f in case.findings if f.mobility is not None and f.mobility >= wanted]
        return f"mobility {wanted} or more at {', '.join(loose)}" if loose else ""
    if word == "end_feel":
        felt = [f"{f.end_feel} at {f.procedure}" for f in case.findings if f.end_feel in wanted]
        return ", ".join(felt)
    return ""
