"""Short sentences in people's own words: dangers, and harmless look-alikes.

All are invented. They were written before any of their words was added to the phrases; `docs/safety.md` says how many
were heard at that first try.
"""

from __future__ import annotations

import pytest

from endfeel.evidence.library import Library
from endfeel.safety import Urgency, verdict
from endfeel.vocabulary import Case, Complaint, Person

DANGERS: list[tuple[int, str, str, str]] = [
    (67, "malignancy", "urgent", "My belt is three holes tighter than at Easter and the ache never lets me be."),
    (58, "cardiac", "emergency", "It feels like someone is sitting on my chest and the arm goes heavy."),
    (63, "cardiac", "same_day", "The ache in my shoulder comes on when I push the mower and goes when I stand still."),
    (
        34,
        "pulmonary",
        "emergency",
        "Ever since the acupuncture on Tuesday I can't get a full breath and it catches me.",
    ),
    (29, "uedvt", "same_day", "My whole arm went tight and purplish after the climbing competition."),
    (41, "myelopathy", "same_day", "I keep dropping cups and I walk like a drunk."),
    (52, "myelopathy", "same_day", "I wet myself twice this week and didn't notice."),
    (
        46,
        "cad",
        "emergency",
        "Worst neck pain of my life since the chiropractor, and everything is spinning and double.",
    ),
    (70, "gca", "refer", "My scalp hurts when I comb my hair and my jaw tires when I chew."),
    (74, "pmr", "urgent", "Both shoulders ache and it takes me two hours to get going in the mornings."),
    (
        55,
        "septic_gh",
        "emergency",
        "Had a jab in the shoulder on Friday, now it's boiling hot and I've got the shakes.",
    ),
    (
        44,
        "spinal_infection",
        "emergency",
        "My mid back throbs day and night and I've had sweats and a temperature of 39.",
    ),
    (38, "zoster", "refer", "It's like a burning belt on one side, I can't stand my bra on it."),
    (66, "zoster", "same_day", "Little blisters have come out where it hurts."),
    (59, "repair_failed", "urgent", "I had my cuff fixed in August and yesterday it went pop."),
    (62, "repair_failed", "same_day", "There's yellow stuff coming out of the scar."),
    (50, "leg_dvt", "same_day", "My calf has blown up like a balloon since the flight."),
    (36, "leg_dvt", "emergency", "The back of my leg is hot and swollen and I get puffed walking upstairs."),
    (
        23,
        "gh_anterior_dislocation",
        "same_day",
        "It came out of its socket playing judo last night and won't go back in.",
    ),
    (31, "gh_posterior_dislocation", "urgent", "I had a fit in the night and now my arm won't turn outwards."),
    (
        78,
        "fracture",
        "emergency",
        "I slipped on the ice yesterday and the whole arm has gone black and blue, I can't lift it.",
    ),
    (
        64,
        "pancoast",
        "urgent",
        "Smoked forty a day, my little finger has gone dead and the pain doesn't care how I move.",
    ),
    (49, "neuro_acute", "urgent", "Since Sunday my hand has no strength, I can't hold a cup."),
    (33, "neuralgic_amyotrophy", "urgent", "A week of hellish pain, and as it eased the arm went weak."),
    (57, "aortic", "emergency", "Something ripped between my shoulder blades and I went grey and sweaty."),
    (
        27,
        "diaphragm_abdomen",
        "emergency",
        "My period is three weeks late, my belly hurts and the tip of my shoulder too.",
    ),
    (45, "psych_risk", "same_day", "I can't see the point in being here any more."),
    (39, "psych_risk", "same_day", "He twisted my arm again and I don't dare go home."),
    (68, "arterial", "emergency", "My fingers have gone white and cold and I can't feel them."),
    (53, "hepatobiliary", "refer", "It starts under my right shoulder blade an hour after chips or anything greasy."),
]

SECOND: list[tuple[int, str, str, str]] = [
    (
        56,
        "cardiac",
        "same_day",
        "I have no chest pain but my left arm hurts when I climb stairs and it stops when I rest.",
    ),
    (52, "pulmonary", "same_day", "I keep coughing up rusty stuff and my side hurts."),
    (45, "uedvt", "same_day", "My ring won't come off since the arm puffed up."),
    (60, "cad", "same_day", "My legs feel like they belong to somebody else."),
    (57, "myelopathy", "refer", "I can't do up buttons any more."),
    (57, "myelopathy", "same_day", "I have to run to the loo and don't always make it."),
    (66, "malignancy", "urgent", "The lump on my collarbone wasn't there at Christmas."),
    (70, "malignancy", "refer", "I've gone off my food and my clothes hang off me."),
    (39, "cad", "emergency", "My eyelid has been hanging since the whiplash."),
    (61, "pancoast", "urgent", "One pupil is bigger than the other."),
    (55, "repair_failed", "same_day", "The scar has come apart."),
    (73, "repair_failed", "urgent", "The metalwork has moved, I can feel it clicking since the fall."),
    (62, "cardiac", "emergency", "My heart was racing and I felt sick with the arm pain."),
    (30, "psych_risk", "same_day", "I took a handful of tablets last night."),
    (48, "zoster", "refer", "My skin feels on fire in a stripe under my arm."),
    (44, "neuro_acute", "urgent", "I woke up and couldn't lift my wrist."),
    (58, "diaphragm_abdomen", "refer", "My poo has been black and my shoulder tip hurts."),
    (40, "leg_dvt", "same_day", "The whole of my leg feels tight and heavy since the plaster came off."),
]

NOT_HEARD: list[str] = [
    "Whenever I take the bins out my left arm gets heavy and I have to sit down.",
    "Everything went grey for a minute and my temple has been at it since.",
    "They found something on my lung years ago and I never went back.",
    "My shirt collar is soaked every morning and I am the only one who is hot.",
]
"""Dangers that the phrases still miss, kept here so that the page about safety stays true."""

HARMLESS: list[str] = [
    "No chest pain, no breathlessness, just the shoulder.",
    "My father had cancer, that's why I came.",
    "Numb bum after the long drive, settled within minutes.",
    "Used to have fevers as a child.",
    "Read about chest pain on the internet.",
    "I was worried it was my heart but the doctor did the tests and they were clear.",
    "My calves are sore from the hills on Sunday's run.",
    "The wound healed beautifully.",
    "I had shingles ten years ago.",
    "My wife has shingles at the moment.",
    "The repair went well and I am doing my exercises.",
    "My shoulder pops when I lift the arm, no pain.",
    "Sunburnt shoulders on holiday in May, peeled since.",
    "A nettle rash on my shins from the garden.",
    "My skin gets itchy from the plaster tape.",
    "I sweat a lot at the gym.",
    "Lost two kilos since I started running, which was the plan.",
    "My mother collapsed last month, so I have been lifting her.",
    "Fainted once at school, never again.",
    "I get breathless at step class like everybody else.",
    "It is killing me when I put on my coat.",
    "I am dead tired after the night shift.",
    "My leg went to sleep on the train.",
    "Hot and cold packs both help.",
    "I had a clean chest X-ray in spring.",
    "Weight steady, appetite good, no sweats.",
    "No rash, no blisters, nothing on the skin.",
    "The pain does not wake me and I feel well.",
    "My daughter's wedding is giving me sleepless nights.",
    "My neck cracks when I turn it, always has.",
    "I bruise easily on aspirin.",
    "The scar is still a bit red.",
    "My partner pushes me to do my exercises.",
]


def _told(sentence: str, age: int = 45) -> Case:
    return Case(Person(age), Complaint(story=sentence))


@pytest.mark.parametrize(("age", "flag", "urgency", "sentence"), DANGERS + SECOND)
def test_a_danger_in_a_persons_own_words_is_raised(
    age: int, flag: str, urgency: str, sentence: str, library: Library
) -> None:
    raised = {one.id: one.urgency.rank for one in verdict(_told(sentence, age), library).raised}
    assert raised.get(flag, -1) >= Urgency(urgency).rank


@pytest.mark.parametrize("sentence", HARMLESS)
def test_a_harmless_look_alike_raises_and_holds_nothing(sentence: str, library: Library) -> None:
    said = verdict(_told(sentence), library)
    assert said.raised == ()
    assert not said.stops_plan
    assert [one.cue for one in said.noticed if one.from_story] == []


@pytest.mark.parametrize(
    "sentence",
    ["Lost 8 kg without dieting.", "Lost 8 kg, not on purpose.", "Has lost weight without a diet."],
)  # fmt: skip
def test_a_harmless_turn_that_is_itself_denied_is_no_excuse(sentence: str, library: Library) -> None:
    assert "weight_loss_fatigue" in {one.cue for one in verdict(_told(sentence), library).noticed}


@pytest.mark.parametrize("sentence", NOT_HEARD)
def test_what_the_phrases_still_miss_is_known(sentence: str, library: Library) -> None:
    assert not verdict(_told(sentence, 62), library).raised
