"""The grammar: every procedure can be said, everything that can be said can be read, every word has sounds."""

from __future__ import annotations

from random import Random

import pytest

from endfeel.assessment import shorthand_of
from endfeel.evidence import Library
from endfeel.vocabulary import CannotRead, EvidenceFault, Procedure, Side
from endfeel.vocabulary.shorthand import Shorthand, parse_finding
from endfeel.voice import Command, Draft, Network, Place, understood, whole_grammar
from endfeel.voice.grammar import level_words
from endfeel.voice.load import load_spoken, load_unrelated
from endfeel.voice.network import Either, Maybe, Meaning, Row, Say, Some
from endfeel.voice.numbers import in_words
from endfeel.voice.pronounce import read_dictionary, sounds_of, without_r
from endfeel.voice.trial import PROMPTS, draw_phrases, draw_unrelated


@pytest.fixture(scope="module")
def network(library: Library) -> Network:
    shorthand = shorthand_of(library)
    return whole_grammar(shorthand.catalogue, shorthand.limits, load_spoken())


def test_every_procedure_can_be_said_and_no_two_are_said_alike(library: Library, network: Network) -> None:
    spoken = load_spoken().procedure
    assert set(spoken) == set(library.catalogue.by_id)
    assert len(set(spoken.values())) == len(spoken)
    named = {arc.means[1] for arc in network.arcs if arc.means and arc.means[0] == "procedure"}
    assert named == set(library.catalogue.by_id)


def _understood_or_faults(meaning: Meaning, shorthand: Shorthand) -> Draft | Command | tuple[str, ...]:
    try:
        return understood(meaning, Place(Side.RIGHT), shorthand)
    except CannotRead as error:
        return tuple(fault.message for fault in error.faults)


def test_every_phrase_drawn_from_the_grammar_is_a_finding_a_command_or_out_of_range(
    library: Library, network: Network
) -> None:
    shorthand = shorthand_of(library)
    commands = 0
    for phrase in draw_phrases(network, 300, 1):
        meaning = network.read(phrase.split())
        assert meaning is not None, phrase
        got = _understood_or_faults(meaning, shorthand)
        if isinstance(got, tuple):
            assert all("is out of range" in message for message in got), phrase
            assert {"value", "other"} & set(dict(meaning)), phrase
            continue
        if isinstance(got, Command):
            commands += 1
            continue
        finding = parse_finding(got.line, shorthand)
        assert dict(meaning)["procedure"] == finding.procedure, phrase
        assert finding.side is (Side.RIGHT if shorthand.catalogue[finding.procedure].sided else None), phrase
    assert commands


def test_a_full_phrase_becomes_its_line(library: Library, network: Network) -> None:
    said = {
        PROMPTS[0]: "gh_post right mobility 2 firm_capsular pain 4 familiar",
        PROMPTS[1]: "gh_er_0 right 35 deg other 65 deg",
        PROMPTS[2]: "th_pa_central T5 mobility 1 pain 3",
        PROMPTS[5]: "apprehension right positive apprehensive",
        PROMPTS[6]: "gh_ir_behind right T9",
        "painful arc from sixty to one hundred and twenty degrees": "painful_arc right 120 deg pain@60 deg positive",
        "generalised laxity score six points": "beighton 6 points",
        "grip force one hundred and twenty newtons": "grip right 120 N",
    }
    for phrase, line in said.items():
        meaning = network.read(phrase.split())
        assert meaning is not None, phrase
        assert understood(meaning, Place(Side.RIGHT), shorthand_of(library)) == Draft(line)


def test_what_is_found_alone_belongs_to_the_test_in_front(library: Library) -> None:
    shorthand = shorthand_of(library)
    front = shorthand.catalogue["th_pa_central"]
    network = whole_grammar(shorthand.catalogue, shorthand.limits, load_spoken(), front)
    meaning = network.read(["grade", "two", "stiff", "pain", "four"])
    assert meaning is not None
    assert understood(meaning, Place(Side.LEFT, front, "T5"), shorthand) == Draft("th_pa_central T5 mobility 2 pain 4")
    named = network.read(["thoracic", "six", "seven", "pain", "four"])
    assert named is not None
    assert understood(named, Place(Side.LEFT, front, "T5"), shorthand) == Draft("th_pa_central T6 pain 4")


def test_the_prompts_of_the_microphone_check_are_in_the_grammar(network: Network) -> None:
    assert len(PROMPTS) == 12
    assert all(network.read(prompt.split()) is not None for prompt in PROMPTS)


def test_unrelated_sentences_are_not_in_the_grammar_and_the_two_sets_share_none(network: Network) -> None:
    parts = load_unrelated()
    reported, tuned = (set(draw_unrelated(parts[name], count, 1)) for name, count in (("report", 500), ("tune", 150)))
    assert len(reported) == 500
    assert not reported & tuned
    assert all(network.read(sentence.split()) is None for sentence in reported | tuned)


def test_neighbouring_segments_differ_in_two_words() -> None:
    assert level_words("T5") == "thoracic five six"
    assert level_words("C7") == "cervical seven one"
    assert level_words("R4") == "rib four"
    first, second = level_words("T5").split(), level_words("T6").split()
    assert sum(a != b for a, b in zip(first, second, strict=True)) == 2


def test_numbers_are_said_in_words() -> None:
    assert [in_words(n) for n in (0, 19, 35, 100, 105)] == [
        "zero", "nineteen", "thirty five", "one hundred", "one hundred and five",
    ]  # fmt: skip
    assert len({in_words(n) for n in range(1000)}) == 1000
    with pytest.raises(ValueError, match="1000"):
        in_words(1000)


def test_one_missing_word_is_named() -> None:
    dictionary = read_dictionary("pain P EY N\nfour F AO R\n", ["pain", "four"])
    with pytest.raises(EvidenceFault, match=r"sounds are not known \(read: 'zygapophysis'\)") as fault:
        sounds_of(["pain", "zygapophysis", "four"], dictionary, {})
    assert len(fault.value.faults) == 1


def test_our_own_sounds_come_first_and_british_ones_are_added() -> None:
    dictionary = {"four": ("F AO R",), "firm": ("F ER M",)}
    assert sounds_of(["four", "firm"], dictionary, {"firm": ("F EH R M",)}) == {
        "four": ("F AO R", "F AO"),
        "firm": ("F EH R M", "F ER M", "F EH M"),
    }
    assert without_r("F AO R T IY") == "F AO T IY"
    assert without_r("L AE T ER AH L") == "L AE T ER AH L"
    assert without_r("AH DH ER") == "AH DH AH"
    assert without_r("R AY T") == "R AY T"


def test_a_dictionary_gives_every_way_of_the_wanted_words() -> None:
    text = "either IY DH ER\neither(2) AY DH ER\nother AH DH ER\n"
    assert read_dictionary(text, ["either"]) == {"either": ("IY DH ER", "AY DH ER")}


def test_a_network_says_and_reads_the_same() -> None:
    part = Row((Maybe(Say("left", ("side", "left"))), Some((Say("a b", ("x", "1")), Either((Say("c"), Say("c d")))))))
    network = Network.of(part)
    assert all(arc.start < arc.end for arc in network.arcs)
    for words in ("a b", "c", "c d", "left a b c", "a b c d"):
        assert network.read(words.split()) is not None, words
    for words in ("", "left", "a", "c a b", "d", "left left c"):
        assert network.read(words.split()) is None, words
    assert network.read(["left", "a", "b", "c", "d"]) == (("side", "left"), ("x", "1"))
    phrases = {" ".join(arc.word for arc in path if arc.word) for path in network.paths()}
    assert len(phrases) == 10


def test_a_kind_holds_only_what_it_may_record(library: Library, network: Network) -> None:
    """A test has no grade, an active motion no end feel: such words lead nowhere."""
    for phrase in ("belly press test grade two stiff", "active arm flexion firm capsular", "grip force positive"):
        assert network.read(phrase.split()) is None, phrase


def test_a_procedure_without_words_is_left_out_not_guessed(library: Library) -> None:
    shorthand, spoken = shorthand_of(library), load_spoken()
    fewer = {name: words for name, words in spoken.procedure.items() if name != "grip"}
    network = whole_grammar(
        shorthand.catalogue, shorthand.limits, type(spoken)(fewer, *(getattr(spoken, n) for n in spoken.__slots__[1:]))
    )
    assert network.read(["grip", "force", "pain", "four"]) is None


def test_every_kind_of_procedure_has_something_to_say(library: Library, network: Network) -> None:
    draw = Random(4)
    seen: set[str] = set()
    for procedure in draw.sample(list(library.catalogue), len(library.catalogue)):
        seen |= {str(procedure.outcomes)} if _has_details(network, procedure) else set()
    assert seen == {str(procedure.outcomes) for procedure in library.catalogue}


def _has_details(network: Network, procedure: Procedure) -> bool:
    arc = next(arc for arc in network.arcs if arc.means == ("procedure", procedure.id))
    return bool(network.leaving.get(arc.end))
