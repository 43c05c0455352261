"""A draft waits for a yes; the side is the visit's; sound is prepared; a guess is taken or refused."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.assessment import shorthand_of
from endfeel.evidence import Library
from endfeel.vocabulary import CannotRead, Side
from endfeel.vocabulary.shorthand import Shorthand
from endfeel.voice import Draft, Place, Talk, after_command, after_side, after_speech, understood
from endfeel.voice.conversation import NO_DRAFT, UNHEARD
from endfeel.voice.decide import Large, Small, decide
from endfeel.voice.hearing_report import Trial, outcome_of, summary
from endfeel.voice.noise import noise_of, with_noise
from endfeel.voice.sound import RATE, cleaned, dithered, loud_seconds, noise_ratio_db, pcm_of, samples_of

RIGHT = Place(Side.RIGHT)
GRIP = (("procedure", "grip"), ("pain", "4"))
LINE = "grip right pain 4"


@pytest.fixture(scope="module")
def shorthand(library: Library) -> Shorthand:
    return shorthand_of(library)


def test_nothing_is_kept_before_the_yes(shorthand: Shorthand) -> None:
    talk, reply = after_speech(Talk(), GRIP, RIGHT, shorthand)
    assert (reply.kind, reply.line) == ("draft", LINE)
    again, refused = after_speech(talk, None, RIGHT, shorthand)
    assert (refused.kind, refused.said, again) == ("rejected", UNHEARD, talk)
    dropped, told = after_command(talk, "again", shorthand)
    assert not dropped.waits
    assert told.kind == "told"
    kept, reply = after_speech(talk, (("command", "confirm"),), RIGHT, shorthand)
    assert (reply.kind, reply.line, kept.waits) == ("keep", LINE, False)
    assert after_command(kept, "confirm", shorthand)[1].said == NO_DRAFT


def test_undo_drops_a_draft_and_reaches_the_record_only_without_one(shorthand: Shorthand) -> None:
    talk, _ = after_speech(Talk(), GRIP, RIGHT, shorthand)
    assert after_command(talk, "undo", shorthand)[1].kind == "told"
    assert after_command(Talk(), "undo", shorthand)[1] == type(after_command(Talk(), "undo", shorthand)[1])(
        "command", "undo"
    )


def test_a_spoken_side_only_confirms_that_of_the_visit(shorthand: Shorthand) -> None:
    same = after_speech(Talk(), (("side", "right"), *GRIP), RIGHT, shorthand)[1]
    assert (same.kind, same.line) == ("draft", LINE)
    talk, asked = after_speech(Talk(), (("side", "left"), *GRIP), RIGHT, shorthand)
    assert asked.kind == "asked"
    assert "left" in asked.said
    still, reply = after_command(talk, "confirm", shorthand)
    assert (reply.kind, still) == ("asked", talk), "a yes does not settle which side"
    settled, reply = after_side(talk, Side.LEFT, shorthand)
    assert (reply.kind, reply.line) == ("draft", "grip left pain 4")
    assert after_command(settled, "confirm", shorthand)[1].kind == "keep"


def test_other_side_turns_the_draft_by_hand_and_is_asked_about_when_spoken(shorthand: Shorthand) -> None:
    talk, _ = after_speech(Talk(), GRIP, RIGHT, shorthand)
    turned, reply = after_command(talk, "other_side", shorthand)
    assert (reply.kind, reply.line) == ("draft", "grip left pain 4")
    assert after_command(turned, "read_back", shorthand)[1] == reply
    spoken, reply = after_speech(talk, (("command", "other_side"),), RIGHT, shorthand)
    assert (reply.kind, reply.line) == ("asked", LINE), "a misheard word must not change the side"
    assert after_speech(spoken, (("command", "confirm"),), RIGHT, shorthand)[1].kind == "asked"
    assert after_side(spoken, Side.LEFT, shorthand)[1].line == "grip left pain 4"


def test_a_finding_said_while_a_draft_waits_changes_nothing(shorthand: Shorthand) -> None:
    talk, _ = after_speech(Talk(), GRIP, RIGHT, shorthand)
    still, reply = after_speech(talk, (("procedure", "grip"), ("pain", "9")), RIGHT, shorthand)
    assert (still, reply.kind, reply.line) == (talk, "rejected", LINE)


def test_a_procedure_without_a_side_takes_none(shorthand: Shorthand) -> None:
    meaning = (("side", "left"), ("procedure", "cx_active"), ("pain", "2"))
    assert understood(meaning, RIGHT, shorthand) == Draft("cx_active pain 2")


def test_without_a_side_of_the_visit_nothing_is_taken_for_granted(shorthand: Shorthand) -> None:
    with pytest.raises(CannotRead, match="needs a side"):
        understood(GRIP, Place(), shorthand)
    heard = understood((("side", "left"), *GRIP), Place(), shorthand)
    assert isinstance(heard, Draft)
    assert heard.question


def test_what_is_out_of_range_or_names_no_test_is_refused(shorthand: Shorthand) -> None:
    talk, reply = after_speech(Talk(), (("pain", "4"),), RIGHT, shorthand)
    assert (talk, reply.kind) == (Talk(), "rejected")
    assert "no test is named" in reply.said
    far = (("procedure", "gh_ext"), ("value", "170 deg"))
    assert after_speech(Talk(), far, RIGHT, shorthand)[1].kind == "rejected"


@pytest.mark.parametrize(
    ("over_sounds", "taken"), [(0.5, True), (-1.7, True), (-1.9, False), (-4.0, False)], ids=str
)  # fmt: skip
def test_the_base_recogniser_alone_refuses_what_free_sounds_fit_better(over_sounds: float, taken: bool) -> None:
    words = ("grip", "force")
    assert decide(Small(words, over_sounds, 0.0), None) == (words if taken else None)
    assert decide(None, None) is None


def test_two_recognisers_agree_or_one_leads_clearly_or_nothing_is_taken() -> None:
    one, other = ("pain", "nine"), ("pain", "five")
    rated = {one: -2.0, other: -9.0}
    assert decide(Small(one, -1.0, 0.0), Large(one, 0.1, rated)) == one
    assert decide(Small(one, -1.0, 0.0), Large(other, 0.1, rated)) == one
    close = {one: -2.0, other: -2.5}
    assert decide(Small(one, -1.0, 0.0), Large(other, 0.1, close)) is None
    assert decide(Small(one, -3.0, 0.0), Large(one, 0.7, rated)) is None
    assert decide(Small(one, -3.0, 0.0), Large(other, 0.7, {one: -3.0, other: -40.0})) is None


def test_what_the_better_recogniser_alone_heard_must_fit_the_sound_too() -> None:
    one, other = ("pain", "nine"), ("pain", "five")
    clear = {one: -1.0, other: -20.0}
    assert decide(Small(other, -1.0, 0.0), Large(one, 0.1, clear, over_sounds=-1.5)) == one
    assert decide(Small(other, -1.0, 0.0), Large(one, 0.1, clear, over_sounds=-2.0)) is None
    assert decide(Small(other, -2.0, 0.0), Large(one, 0.1, clear, over_sounds=-2.2)) == one
    assert decide(Small(other, -2.0, 0.0), Large(one, 0.1, clear, over_sounds=-2.4)) is None
    assert decide(Small(other, -1.0, 0.0), Large(one, 0.1, clear)) is None
    assert decide(None, Large(one, 0.1, {one: -1.0}, over_sounds=-1.0)) == one
    assert decide(None, Large(one, 0.1, {one: -9.0}, over_sounds=-1.0)) is None
    assert decide(None, Large((), 1.0, {})) is None


def test_sound_goes_there_and_back() -> None:
    samples = np.array([0.0, 1.4, -32768, 32767, 40000])
    assert samples_of(pcm_of(samples)).tolist() == [0, 1, -32768, 32767, 32767]
    assert samples_of(b"\x01\x00\x02").tolist() == [1]


def test_dither_breaks_silence_and_is_the_same_each_time() -> None:
    silence = np.zeros(RATE)
    assert 7 < dithered(silence).std() < 9
    assert (dithered(silence) == dithered(silence)).all()


def test_cleaning_takes_part_of_the_noise_and_leaves_speech() -> None:
    seconds = np.arange(2 * RATE) / RATE
    spoken = (seconds > 0.5) & (seconds < 1.5)
    speech = np.where(spoken, 6000 * np.sin(2 * np.pi * 300 * seconds), 0.0)
    noisy = with_noise(speech, noise_of("white", len(speech), 1), 15, RATE // 2)
    better = cleaned(noisy)
    assert better.shape == noisy.shape
    pause = seconds < 0.4
    assert better[pause].std() < 0.85 * noisy[pause].std(), "part of the noise goes; taking all of it leaves tones"
    assert better[spoken].std() == pytest.approx(speech[spoken].std(), rel=0.1)
    assert noise_ratio_db(dithered(speech)) > noise_ratio_db(noisy)


def test_noise_stands_at_its_ratio() -> None:
    speech = np.concatenate([np.zeros(RATE), 1000 * np.sin(np.arange(RATE)), np.zeros(RATE)])
    for kind in ("white", "pink", "babble"):
        noise = noise_of(kind, len(speech), 2, [np.sin(np.arange(RATE) / 7)])
        assert noise.std() == pytest.approx(1)
        added = with_noise(speech, noise, 15, RATE) - speech
        ratio = 10 * np.log10(np.mean(speech[RATE:-RATE] ** 2) / np.mean(added**2))
        assert ratio == pytest.approx(15, abs=0.01)
    with pytest.raises(ValueError, match="no noise"):
        noise_of("babble", 10, 1)


def test_the_report_counts_what_a_draft_would_be_worth() -> None:
    truth = (("side", "left"), *GRIP)
    assert outcome_of(truth, GRIP) == "right"
    assert outcome_of(truth, truth) == "right"
    assert outcome_of(truth, (("side", "right"), *GRIP)) == "asked"
    assert outcome_of(GRIP, (("procedure", "grip"), ("pain", "5"))) == "wrong"
    assert outcome_of(GRIP, None) == "refused"
    assert outcome_of(None, GRIP) == "wrong"
    trial = Trial("clean", "slt", "grip force", {"base": "grip force"}, {"base": "right"}, 0.2, 0.1)
    [row] = summary([trial, trial])
    assert (row["phrases"], row["right"], row["wrong"]) == (1, 1, 0)


def test_a_long_sentence_is_not_taken_for_two_short_words() -> None:
    words = ("yes", "confirm")
    assert decide(Small(words, -0.5, 0.0, loud_seconds=1.1), None) == words
    assert decide(Small(words, -0.5, 0.0, loud_seconds=2.3), None) is None
    long = ("glenohumeral", "posterior", "glide", "resting", "grade", "two", "stiff")
    assert decide(Small(long, -0.5, 0.0, loud_seconds=2.3), None) == long


def test_pauses_and_the_level_do_not_count_as_sound() -> None:
    tone = 3000.0 * np.sin(np.arange(RATE) / 5.0)
    silence = np.zeros(RATE // 2)
    once = loud_seconds(np.concatenate([silence, tone, silence]))
    assert once == pytest.approx(1.0, abs=0.03)
    paused = np.concatenate([silence, tone[: RATE // 2], silence, tone[RATE // 2 :], silence])
    assert loud_seconds(paused) == pytest.approx(once, abs=0.03)
    assert loud_seconds(4.0 * paused) == pytest.approx(once, abs=0.03)
    assert loud_seconds(np.zeros(10)) == 0.0
