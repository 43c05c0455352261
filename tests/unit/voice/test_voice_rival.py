"""A phrase is taken only with a clear lead over the best phrase that means something else."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from endfeel.assessment import shorthand_of
from endfeel.evidence import Library
from endfeel.voice import Network, whole_grammar
from endfeel.voice.decide import LEAD_FOR_MISFIT, LONGEST_LETTER_SECONDS, MOST_BELOW, Large, Small, decide
from endfeel.voice.hearing_report import Trial, as_row, decided
from endfeel.voice.load import load_spoken
from endfeel.voice.network import Either, Maybe, Row, Say, Some
from endfeel.voice.small import SIDES, SmallRecogniser, small_is_here
from endfeel.voice.sound import RATE, dithered
from endfeel.voice.synthesis import Voice, missing_programs, speak
from endfeel.voice.trial import draw_phrases

PAIN = Either((Say("pain four", ("pain", "4")), Say("pain nine", ("pain", "9"))))
NETWORK = Network.of(
    Either(
        (
            Say("next test"),
            Row(
                (
                    Maybe(Either((Say("left side"), Say("right side")))),
                    Either((Say("bear hug test"), Say("belly press test"), Say("grip force"))),
                    Some((PAIN, Say("with apprehension"))),
                )
            ),
        )
    )
)


def phrases(network: Network) -> frozenset[str]:
    return frozenset(" ".join(arc.word for arc in path if arc.word) for path in network.paths())


ALL = phrases(NETWORK)


@given(st.sampled_from(sorted(ALL)))
@settings(max_examples=len(ALL), deadline=None)
def test_one_phrase_is_left_out_and_no_other(phrase: str) -> None:
    assert phrases(NETWORK.without(phrase.split())) == ALL - {phrase}


def test_the_side_stays_as_it_was_said() -> None:
    said = "left side grip force pain four"
    kept = frozenset(other for other in ALL if other.startswith("left side "))
    assert phrases(NETWORK.without(said.split(), SIDES)) == kept - {said}
    unsided = frozenset(other for other in ALL if not other.startswith(("left ", "right ")))
    assert phrases(NETWORK.without(said.split()[2:], SIDES)) == unsided - {"grip force pain four"}


@pytest.mark.parametrize("words", ["grip force", "grip force pain five", "pain four", ""])
def test_what_is_no_phrase_cannot_be_left_out(words: str) -> None:
    with pytest.raises(ValueError, match="no phrase"):
        NETWORK.without(words.split())


def test_the_whole_grammar_without_a_phrase_holds_its_neighbours(library: Library) -> None:
    shorthand = shorthand_of(library)
    network = whole_grammar(shorthand.catalogue, shorthand.limits, load_spoken())
    first, second = (phrase.split() for phrase in draw_phrases(network, 2, 3))
    without = network.without(first, SIDES)
    assert without.read(first) is None
    assert without.read(second) == network.read(second)
    assert without.read([*first, "pain", "ten"]) == network.read([*first, "pain", "ten"])


def test_a_small_lead_is_refused() -> None:
    words = ("grip", "force", "pain", "nine")
    rival = ("grip", "force", "pain", "five")
    assert decide(Small(words, -0.5, 0.0), None) == words
    for misfit in (0.5, 1.5):
        enough = misfit * LEAD_FOR_MISFIT
        assert decide(Small(words, -misfit, 0.0, rival=rival, lead=enough + 1), None) == words
        assert decide(Small(words, -misfit, 0.0, rival=rival, lead=enough - 1), None) is None
    assert decide(Small(words, 0.5, 0.0, rival=rival, lead=1.0), None) == words
    assert decide(Small(words, 0.5, 0.0, rival=rival, lead=-1.0), None) is None


def test_the_better_recogniser_tells_a_phrase_from_its_rival() -> None:
    words, rival, other = ("pain", "nine"), ("pain", "five"), ("pain", "one")
    small = Small(words, -0.5, 0.0, rival=rival, lead=2.0)
    assert decide(small, Large(other, 0.4, {words: -9.0, rival: -2.0, other: -9.0})) == rival
    assert decide(small, Large(other, 0.4, {words: -2.0, rival: -9.0, other: -9.0})) == words
    assert decide(small, Large(other, 0.4, {words: -3.0, rival: -2.0, other: -9.0})) is None
    unfit = Small(words, -3.0, 0.0, rival=rival, lead=2.0)
    assert decide(unfit, Large(other, 0.4, {words: -9.0, rival: -2.0, other: -9.0})) is None


@pytest.mark.parametrize("below", [0.5, 0.9, 3.0])
def test_a_rival_that_breaks_off_is_held_to_its_own_fit(below: float) -> None:
    broken = ("glide", "grade", "zero", "fused")
    words = (*broken, "pain", "three")
    large = Large((), 1.0, {words: -9.0, broken: -2.0})
    small = Small(words, -0.5, 0.0, loud_seconds=2.0, rival=broken, lead=900.0, rival_fit=-0.5 - below)
    assert decide(small, large) == (broken if below <= MOST_BELOW else None)
    assert decide(replace(small, fit=-2.0, rival_fit=-2.0 - below), large) is None
    assert decide(replace(small, rival_fit=None), large) == broken


@pytest.mark.parametrize("whose", ["rival", "snapped"])
def test_no_phrase_is_taken_for_far_more_sound_than_it_takes(whose: str) -> None:
    words, brief = ("grip", "force", "pain", "nine", "with", "apprehension"), ("pain", "nine")
    large = Large(brief, 0.1, {words: -9.0, brief: -2.0}, over_sounds=-0.5)
    longest = LONGEST_LETTER_SECONDS * len("painnine")
    small = Small(words, -0.5, 0.0, loud_seconds=longest - 0.01)
    if whose == "rival":
        small = replace(small, rival=brief, lead=900.0, rival_fit=-0.6)
    assert decide(small, large) == brief
    assert decide(replace(small, loud_seconds=longest + 0.01), large) is None


def test_what_was_kept_is_decided_again_by_the_rules_of_today() -> None:
    small = {"words": ["grip", "force", "pain", "nine"], "fit": -0.5, "sounds": 0.0, "loud_seconds": 1.0}
    small |= {"rival": ["grip", "force", "pain", "four"], "lead": 0.5 * LEAD_FOR_MISFIT - 1}
    said = "grip force pain four"
    kept = Trial("clean", "slt", said, {"base": "?"}, {"base": "right"}, 0.2, 0.1, {"small": small, "large": None})
    again = decided(Trial(**json.loads(json.dumps(as_row(kept)))), NETWORK)
    assert (again.heard, again.outcome) == ({"base": ""}, {"base": "refused"})
    surer = Trial(**as_row(kept) | {"evidence": {"small": small | {"lead": 500.0}, "large": None}})
    assert decided(surer, NETWORK).outcome == {"base": "wrong"}
    old = Trial("clean", "slt", said, {"base": "?"}, {"base": "right"}, 0.2, 0.1)
    assert decided(old, NETWORK) == old


def test_the_rival_of_what_was_said_is_another_phrase_and_fits_less() -> None:
    if not small_is_here():
        pytest.skip("the extra `voice` is not installed here (make voice)")
    if missing_programs():
        pytest.skip(f"no synthetic voice here: {missing_programs()}")
    recogniser = SmallRecogniser(NETWORK, load_spoken())
    sound = dithered(speak(Voice("flite", "slt"), "grip force pain nine"))
    heard = recogniser.hear(sound)
    assert heard is not None
    assert heard.words == ("grip", "force", "pain", "nine")
    rival = recogniser.rival(sound, heard.words)
    assert rival is None or (rival.words != heard.words and rival.fit < heard.fit)
    unlike = recogniser.rival(sound, ("grip", "force", "pain", "four"))
    assert unlike is not None
    assert (unlike.words, unlike.frames) == (heard.words, heard.frames)
    assert unlike.fit == pytest.approx(heard.fit, abs=0.05)
    assert recogniser.fit(sound, heard.words) == pytest.approx(heard.fit, abs=0.05)
    short = recogniser.fit(sound, heard.words[:2])
    assert short is None or short < heard.fit - 1.0
    assert recogniser.hear(sound) == heard
    assert heard.frames == pytest.approx(len(sound) / RATE * 100, abs=5)
