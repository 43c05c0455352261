"""One plain sentence is enough: every red flag is noticed in a story told in everyday words, and denials are respected.

The sentences are invented. The urgency asked for is the least that must come from the words alone.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from endfeel.evidence.library import Library
from endfeel.safety import Urgency, verdict
from endfeel.vocabulary import Case, Complaint, Finding, Person, Result, Side

STORIES: dict[str, list[tuple[str, str]]] = {
    "fracture": [
        ("emergency", "Fell off a ladder two days ago, huge bruise, cannot lift the arm since."),
        ("emergency", "Tripped this morning; the arm is deformed."),
        ("emergency", "Was hit by a car yesterday and can't move the arm at all."),
        ("same_day", "The bruise is spreading down the arm."),
        ("same_day", "He broke his collar bone."),
    ],
    "gh_anterior_dislocation": [
        ("emergency", "Shoulder came out at rugby an hour ago, contour square."),
        ("same_day", "My shoulder popped out this morning."),
        ("emergency", "Dislocated it today, the shoulder looks squared off."),
    ],
    "gh_posterior_dislocation": [
        ("emergency", "Woke after a seizure with a stiff shoulder."),
        ("emergency", "Electrocuted at work, the arm is locked inward."),
        ("urgent", "Had an epileptic fit last week, shoulder sore since."),
    ],
    "sc_posterior_dislocation": [
        ("emergency", "Kicked in the collarbone yesterday, hoarse since."),
        ("same_day", "There is a hollow at the inner end of the collar bone."),
        ("emergency", "Tackled on Saturday, a knee hit the collarbone, trouble swallowing now."),
    ],
    "sc_infection": [
        ("same_day", "The joint at the inner collarbone is hot and red."),
        ("same_day", "Red, hot swelling over the sternoclavicular joint."),
    ],
    "septic_gh": [
        ("emergency", "Shoulder hot and red, chills since yesterday, injection last week."),
        ("emergency", "Hot red shoulder."),
        ("emergency", "Shivering since a steroid injection two days ago."),
        ("emergency", "The joint is swollen and red and she feels unwell."),
    ],
    "spinal_infection": [
        ("emergency", "Constant pain in the mid back, fever for a week."),
        ("emergency", "Feverish, with unrelenting pain between the shoulder blades."),
    ],
    "malignancy": [
        ("urgent", "Had breast cancer in 2015, now constant pain day and night."),
        ("urgent", "Lost 8 kg, no position eases the pain."),
        ("urgent", "A hard lump in the armpit that keeps growing."),
        ("urgent", "Weight loss and pain at night that nothing eases; prostate cancer years ago."),
    ],
    "pancoast": [
        ("same_day", "The right eyelid droops and the pupil is small, little finger is numb."),
        ("urgent", "Smoker, ring finger and little finger numb, weak grip."),
        ("urgent", "Numb in the little finger, lost 8 kg, no position eases it."),
    ],
    "acute_cuff_rupture": [
        ("urgent", "Fell last week, felt a pop and could not raise the arm."),
        ("urgent", "Something tore when lifting and he cannot lift the arm since the accident."),
    ],
    "cuff_tear_not_recent": [("monitor", "The arm drops when he lets go.")],
    "neuro_acute": [
        ("same_day", "The hand is useless since yesterday."),
        ("same_day", "Fell from a horse three days ago, the arm is paralysed."),
        ("urgent", "Sudden weakness of the arm."),
        ("same_day", "Cannot use her hand any more."),
    ],
    "myelopathy": [
        ("same_day", "Numb between the legs, cannot pass water since this morning."),
        ("same_day", "Clumsy with buttons and unsteady on the feet."),
        ("same_day", "Incontinent since last week."),
        ("same_day", "Can't feel himself passing urine."),
        ("same_day", "Both hands tingling, the legs are heavy and stiff."),
        ("urgent", "Electric shocks down the back when bending the neck."),
        ("same_day", "No feeling between her legs."),
    ],
    "neuralgic_amyotrophy": [
        ("urgent", "Woke with agonising shoulder pain, then after ten days the arm became weak."),
        ("urgent", "Excruciating pain for a week, now the shoulder blade wings."),
    ],
    "cad": [
        ("emergency", "Sudden neck pain unlike any before, double vision."),
        ("emergency", "New headache and slurred speech since the neck was manipulated."),
        ("same_day", "Sees double."),
        ("same_day", "Her speech is slurred."),
        ("same_day", "Two drop attacks last week."),
    ],
    "uedvt": [
        ("same_day", "Arm swollen and blue since heavy gym training yesterday."),
        ("same_day", "The whole arm is swollen, veins bulging over the chest."),
        ("emergency", "Arm swollen and purple, short of breath."),
    ],
    "arterial": [
        ("emergency", "My hand is cold and white."),
        ("emergency", "Fingers pale and icy since the dislocation."),
        ("emergency", "No pulse at the wrist."),
    ],
    "cardiac": [
        ("emergency", "Left arm and jaw pain when climbing stairs, sweating."),
        ("emergency", "Chest tightness since breakfast."),
        ("emergency", "A heavy weight on the chest and the left arm aches."),
        ("same_day", "Collapsed yesterday."),
    ],
    "aortic": [
        ("emergency", "Ripping pain between the blades since an hour, feels faint."),
        ("emergency", "Sudden tearing chest pain."),
        ("emergency", "It tore between the shoulder blades."),
    ],
    "pulmonary": [
        ("emergency", "Sharp pain on breathing in and breathless after a long flight."),
        ("emergency", "Short of breath since dry needling yesterday."),
        ("emergency", "Stabbing pain when breathing, coughing blood."),
    ],
    "diaphragm_abdomen": [
        ("emergency", "Left shoulder tip pain after a kick to the belly yesterday, faint."),
        ("emergency", "Shoulder tip pain and a missed period."),
        ("emergency", "Fell on the handlebar, pain in the abdomen, collapsed."),
    ],
    "hepatobiliary": [
        ("refer", "Pain under the blade after fatty meals."),
        ("same_day", "Yellow eyes and dark urine."),
    ],
    "inflammatory": [("urgent", "Swollen knuckles and wrists, stiff every morning for two hours.")],
    "pmr": [
        ("urgent", "Both shoulders ache, stiff in the morning for an hour."),
        ("urgent", "Aching in both shoulders and hips for three weeks, every morning stiffness lasts two hours."),
    ],
    "gca": [
        ("emergency", "New headache, the scalp is tender, jaw hurts on chewing."),
        ("emergency", "Sore temples and blurred vision."),
        ("emergency", "Jaw tires when eating, lost the sight of one eye for minutes."),
    ],
    "crystal": [
        ("same_day", "Unbearable pain within hours, for no reason."),
        ("same_day", "The pain exploded overnight."),
    ],
    "avn": [("refer", "Several cortisone courses, a deep ache with grinding.")],
    "vertebral_fracture": [
        ("same_day", "Sudden pain in the mid back after lifting a bag, osteoporosis."),
        ("same_day", "On prednisolone for years; her back cracked when bending, sudden pain in the back."),
    ],
    "upper_cervical_instability": [("emergency", "Rheumatoid arthritis, has to hold her head with her hands.")],
    "ac_high_grade": [("urgent", "The collarbone is sticking up under the skin.")],
    "crps": [("refer", "Pain out of proportion since the operation, the hand is shiny and swollen.")],
    "psych_risk": [
        ("same_day", "I do not want to live any more."),
        ("same_day", "He thinks of killing himself."),
        ("same_day", "Says she would be better off dead."),
        ("same_day", "Her husband hits her."),
        ("same_day", "She is afraid of her partner."),
        ("refer", "Can't cope any more."),
    ],
    "unexplained_stiff": [("refer", "The shoulder became stiff within two days.")],
    "pressure_crisis": [],
}  # fmt: skip
"""Flag to least urgency and sentence. A pressure is measured, never told: its flag has a finding below."""

HARMLESS = [
    "No numbness between the legs.",
    "Denies chest pain.",
    "No chest pain, breathlessness or sweating.",
    "Denies chest pain, fever, weight loss and night sweats.",
    "No cancer, fever or weight loss.",
    "Mother had cancer.",
    "Family history of breast cancer and stroke.",
    "His wife is pregnant and his father had a heart attack.",
    "Fever: no. Chest pain: none.",
    "Any loss of bladder control? No.",
    "Worried about cancer.",
    "Had chest pain ten years ago.",
    "Broke the collarbone as a child.",
    "Dislocated the shoulder in 2012.",
    "Fell from a bicycle seven months ago; films were clear.",
    "A hot shower helps the shoulder.",
    "Cannot lift the arm above the shoulder.",
    "Reaching overhead, fastening at the back and lying on the right hurt. Eases with rest in an hour. No injury.",
    "Months of pain at night and less and less strength to lift a pan.",
    "Hands are not cold, no swelling of the arm.",
    "Told to come back if fever or chills begin.",
    "Hurts to comb the hair and to reach the back pocket.",
    "Stiff for ten minutes in the morning.",
    "Fell asleep on the arm; pain when throwing since the summer.",
    "Plays tennis twice a week, pain at the front on the serve, better after warming up.",
    "He never fainted and does not feel dizzy.",
    "She has no thoughts of suicide and is not afraid of anybody.",
    "Turning the neck to the right brings on the arm pain; holding the hand on the head eases it.",
    "Lost six kilos on purpose with a diet.",
    "Chest pain when rolling over in bed was excluded as cardiac.",
    "Pain when reaching, not when breathing or coughing.",
]


def told(story: str, age: int | None = None) -> Case:
    return Case(Person(age), Complaint(story=story))


def _each() -> Iterator[tuple[str, str, str]]:
    for flag, sentences in STORIES.items():
        yield from ((flag, urgency, sentence) for urgency, sentence in sentences)


@pytest.mark.parametrize(("flag", "urgency", "sentence"), list(_each()))
def test_a_danger_told_in_plain_words_is_noticed(flag: str, urgency: str, sentence: str, library: Library) -> None:
    said = verdict(told(sentence), library)
    assert said.urgency.rank >= Urgency(urgency).rank
    levels = {one.id: one.urgency.rank for one in said.raised} | {
        one.id: Urgency.MONITOR.rank for one in said.not_excluded
    }
    assert levels[flag] >= Urgency(urgency).rank
    assert any(one.from_story for one in said.noticed)
    assert said.ask_now


def test_every_red_flag_has_a_sentence(library: Library) -> None:
    flags = [flag["id"] for flag in library.documents["safety"]["red_flag"]]
    measured = {"pressure_crisis"}
    assert sorted(STORIES) == sorted(flags)
    assert {flag for flag, sentences in STORIES.items() if not sentences} == measured


@pytest.mark.parametrize("sentence", HARMLESS)
def test_a_harmless_or_denied_story_raises_nothing(sentence: str, library: Library) -> None:
    said = verdict(told(sentence, 45), library)
    assert [one.cue for one in said.noticed if one.from_story] == []
    assert said.raised == ()
    assert said.urgency is Urgency.NONE


@pytest.mark.parametrize(
    ("sentence", "cue"),
    [
        ("No injury, chills since yesterday.", "fever_unwell"),
        ("No injury, hand cold and white.", "hand_cold_pale"),
        ("No pain in the chest, arm swollen and blue.", "arm_swollen_blue"),
        ("Never had neck pain, sees double now.", "brainstem_signs"),
        ("No fever and the hand is cold and pale.", "hand_cold_pale"),
        ("No relief since falling off a ladder yesterday.", "trauma_recent"),
        ("His sister noticed that the eyelid droops.", "horner_pattern"),
        ("Mother had a stroke, he cannot pass urine.", "bladder_bowel"),
        ("Cancer five years ago.", "cancer_history"),
        ("Not only the arm, the leg gives way and both hands are numb.", "bilateral_tingling"),
        ("Does not sleep, feels feverish.", "fever_unwell"),
        ("Denies trauma; cannot hold urine.", "bladder_bowel"),
    ],
)
def test_a_comma_ends_a_denial_unless_a_list_goes_on(sentence: str, cue: str, library: Library) -> None:
    assert cue in {one.cue for one in verdict(told(sentence), library).noticed}


def test_a_told_danger_is_marked_to_be_asked_and_leads(library: Library) -> None:
    said = verdict(told("My hand is cold and white.", 40), library)
    assert said.stops_plan
    (reason,) = (one for one in said.raised[0].reasons if one.cue == "hand_cold_pale")
    assert reason.known_from == "noticed: from the story, the words “hand is cold and white”; ask now"
    assert said.ask_now[0] == "hand_cold_pale"
    assert "Ask now, from the story: Hand cold, pale" in said.action


def test_a_single_told_cue_of_a_rule_with_several_puts_its_questions_first(library: Library) -> None:
    said = verdict(told("Hurts when breathing in.", 40), library)
    assert said.urgency is Urgency.MONITOR
    assert said.not_excluded[0].id == "pulmonary"
    assert said.ask_now[0] == "pain_on_breathing"
    assert {"breathless", "fever_unwell"} <= set(said.ask_now)
    assert said.unanswered[0] in said.ask_now
    assert "Ask now, from the story" in said.action


def test_a_note_beside_a_finding_is_read_like_the_story_and_only_on_the_side_that_hurts(library: Library) -> None:
    note = Finding("grip", side=Side.RIGHT, value=300, note="hand is cold and white")
    case = Case(Person(40), Complaint(side=Side.RIGHT), findings=(note,))
    assert verdict(case, library).urgency is Urgency.EMERGENCY
    other = Case(Person(40), Complaint(side=Side.LEFT), findings=(note,))
    assert not verdict(other, library).is_pressing


def test_what_was_found_stands_before_what_was_told(library: Library) -> None:
    finding = Finding("pulse_radial", result=Result.ABSENT)
    case = Case(Person(40), Complaint(story="My hand is cold and white."), findings=(finding,))
    (one,) = (noticed for noticed in verdict(case, library).noticed if noticed.cue == "hand_cold_pale")
    assert one.finding is finding
