"""Snapping a free transcript to the grammar: laws, and what it is for."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from endfeel.assessment import shorthand_of
from endfeel.evidence import Library
from endfeel.voice import Network, snap, whole_grammar
from endfeel.voice.load import load_spoken
from endfeel.voice.network import Either, Maybe, Row, Say
from endfeel.voice.snap import letters_of
from endfeel.voice.trial import draw_phrases

SMALL = Network.of(
    Row(
        (
            Either((Say("bear hug"), Say("belly press"), Say("grip"))),
            Maybe(Row((Say("pain"), Either((Say("four"), Say("five"), Say("nine")))))),
        )
    )
)
PHRASES = sorted({" ".join(arc.word for arc in path if arc.word) for path in SMALL.paths()})


def edits(one: str, other: str) -> int:
    """Plain edit distance, the slow way: the peer."""
    row = list(range(len(other) + 1))
    for i, a in enumerate(one, 1):
        last, row[0] = row[0], i
        for j, b in enumerate(other, 1):
            last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + (a != b))
    return row[-1]


@given(st.text(alphabet="abeghilnoprsuv ", min_size=1, max_size=24))
@settings(max_examples=40, deadline=None)
def test_the_nearest_phrase_is_found(text: str) -> None:
    heard = letters_of(text)
    found = snap(text, SMALL)
    if not heard:
        assert found is None
        return
    assert found is not None
    least = min(edits(heard, phrase.replace(" ", "")) for phrase in PHRASES)
    got = "".join(found.words)
    assert " ".join(found.words) in PHRASES
    assert edits(heard, got) == least
    assert found.distance == pytest.approx(least / max(len(heard), len(got)))


@given(st.sampled_from(PHRASES))
@settings(max_examples=15, deadline=None)
def test_a_phrase_of_the_grammar_snaps_to_itself(phrase: str) -> None:
    found = snap(phrase.upper() + ".", SMALL)
    assert found is not None
    assert (" ".join(found.words), found.distance) == (phrase, 0)


def test_figures_and_signs_are_read_as_words() -> None:
    assert letters_of("35° pain 4/10, T5!") == "thirtyfivedegreespainfourtentfive"


def test_whole_phrases_with_small_faults_come_back(library: Library) -> None:
    shorthand = shorthand_of(library)
    network = whole_grammar(shorthand.catalogue, shorthand.limits, load_spoken())
    written = {
        "Soak a sign with lateral rotation grade 5 very lack negative pain 7 with apprehension.":
            "sulcus sign with lateral rotation grade five very lax negative pain seven with apprehension",
        " Nor a dynamic test medium bias with apprehension.": "neurodynamic test median bias with apprehension",
        "Passive lateral rotation at the side 35 degrees, other side 65 degrees":
            "passive lateral rotation at the side thirty five degrees other side sixty five degrees",
    }  # fmt: skip
    for heard, phrase in written.items():
        found = snap(heard, network)
        assert found is not None
        assert " ".join(found.words) == phrase
    for phrase in draw_phrases(network, 2, 3):
        found = snap(phrase, network)
        assert found is not None
        assert network.read(found.words) == network.read(phrase.split())
        assert found.distance == 0
