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
    "zoster": [
        ("same_day", "A rash with blisters in a stripe round the left side of my chest."),
        ("same_day", "She has shingles on her shoulder blade."),
        ("same_day", "Burning pain for three days, now spots have come up on the ribs and a rash under the arm."),
        ("refer", "A burning band from the shoulder blade round to the front."),
        ("refer", "I can't bear my shirt touching the skin over my shoulder blade."),
        ("urgent", "Feverish, and the skin over the ribs stings when touched."),
    ],
    "repair_failed": [
        ("urgent", "My repair popped last night."),
        ("urgent", "Six weeks after the cuff operation something popped when I reached out."),
        ("urgent", "I think the stitches gave way, it was fine after surgery."),
        ("same_day", "The wound is weeping since yesterday."),
    ],
    "leg_dvt": [
        ("same_day", "My calf is swollen as well."),
        ("same_day", "By the way my left leg is hot and twice the size of the other."),
        ("emergency", "Swollen calf since the operation and short of breath."),
    ],
    "pressure_crisis": [],
}  # fmt: skip
"""Flag to least urgency and sentence. A pressure is measured, never told: its flag has a finding below."""

MORE_STORIES = [
    ("same_day", "I am numb down below and can't control my bowels."),
    ("same_day", "Since yesterday I can't feel when I need to wee."),
    ("same_day", "Pins and needles in both hands and my legs feel wobbly."),
    ("refer", "My hands have become clumsy, I keep dropping cups."),
    ("same_day", "I don't want to be here anymore."),
    ("same_day", "Life is not worth living."),
    ("same_day", "I feel hopeless."),
    ("same_day", "My partner beats me."),
    ("same_day", "I've been thinking of ending my life."),
    ("emergency", "My fingers have gone white and cold."),
    ("same_day", "My arm has turned blue."),
    ("same_day", "My arm is swollen and heavy."),
    ("same_day", "Whole arm went blue and puffy after painting the ceiling."),
    ("emergency", "Pain in my chest and arm, feel sick."),
    ("emergency", "Crushing chest pain."),
    ("emergency", "Tightness across the chest when walking uphill."),
    ("same_day", "Left shoulder ache comes on walking uphill and goes when he stops."),
    ("emergency", "Sudden ripping pain in the back."),
    ("emergency", "Feels like something tore in the chest."),
    ("emergency", "Came off his motorbike last night, arm at a funny angle."),
    ("emergency", "Slipped on ice this morning, can't move the shoulder."),
    ("same_day", "Shoulder dislocated yesterday, not sure it is back in."),
    ("urgent", "Both shoulders and hips are stiff every morning, takes two hours to get going."),
    ("emergency", "Aching shoulders and thighs, worse in the morning, headache and jaw pain when chewing."),
    ("refer", "Scalp hurts when brushing hair, new headaches."),
    ("same_day", "Can't see properly out of one eye."),
    ("same_day", "Neck pain after a chiropractor twisted the neck, now dizzy and unsteady."),
    ("same_day", "Worst headache of her life."),
    ("same_day", "One side of the face is drooping."),
    ("same_day", "Can't catch my breath."),
    ("emergency", "Sharp chest pain when I breathe in."),
    ("same_day", "Coughing up blood and weight loss."),
    ("refer", "He has lost a stone in weight and sweats at night."),
    ("refer", "Lost two stone without trying."),
    ("urgent", "Has had prostate cancer, pain wakes him every night and never lets up."),
    ("urgent", "There is a lump above the collarbone."),
    ("emergency", "Shoulder is swollen, red and hot, I have a temperature."),
    ("emergency", "Injection into the shoulder five days ago, now throbbing and feverish."),
    ("emergency", "Had a joint replacement last month, wound is oozing and she is shivering."),
    ("emergency", "Injects heroin, hot swollen joint by the breastbone."),
    ("emergency", "Severe back pain and fever."),
    ("same_day", "Sudden back pain when sneezing, 82, has shrunk in height."),
    ("urgent", "Woke with terrible pain in the shoulder a fortnight ago, now the arm is weak."),
    ("urgent", "Arm went completely dead after the crash."),
    ("urgent", "Foot drop and a weak hand."),
    ("urgent", "Can't raise my wrist."),
    ("emergency", "Pain in the shoulder tip after falling off a horse onto the left side, feels faint."),
    ("emergency", "Six weeks pregnant with shoulder tip pain."),
    ("refer", "Pain in right shoulder after greasy food."),
    ("same_day", "My skin is yellow."),
    ("urgent", "Skin is tented over the collarbone."),
    ("same_day", "Struggling to swallow since the collarbone injury."),
    ("emergency", "Stiff and painful since an electric shock."),
    ("same_day", "Left eyelid is drooping."),
    ("same_day", "One pupil is smaller than the other."),
    ("urgent", "Grip has become weak and the little finger tingles, smoker."),
    ("same_day", "My speech went funny."),
    ("same_day", "Blacked out at the wheel."),
    ("refer", "Heart racing and short of breath."),
    ("same_day", "Passed out twice."),
    ("same_day", "I am being hurt at home."),
    ("refer", "Muscles around the shoulder blade are wasting away."),
    ("same_day", "Pain is excruciating, came on overnight, can't bear to move."),
    ("urgent", "Knuckles swollen, stiff until noon."),
    ("emergency", "Chest feels heavy."),
    ("emergency", "Jaw ache and sweating."),
    ("urgent", "Woke up unable to lift the wrist."),
    ("same_day", "legs feel weak and heavy, stumbling"),
    ("same_day", "Toilet accidents since last week"),
    ("same_day", "unable to urinate"),
    ("same_day", "urinary retention"),
    ("same_day", "saddle anaesthesia"),
    ("same_day", "Sudden onset of slurred speech"),
    ("same_day", "Private parts feel numb."),
    ("same_day", "Wet himself twice."),
    ("same_day", "Has to hold on to walls when walking and his fingers fumble."),
    ("same_day", "Can't get it up and can't pee."),
    ("same_day", "She wants to end her life."),
    ("same_day", "He said he'd rather be dead."),
    ("same_day", "I can't take it any more, I see no future."),
    ("same_day", "Her boyfriend throws things at her."),
    ("emergency", "Fingers are white and painful, no pulse felt."),
    ("emergency", "The hand went icy cold and blue after the cast."),
    ("same_day", "Forearm puffy and purple since the swimming race."),
    ("emergency", "Heaviness of the chest with clammy skin."),
    ("emergency", "Band-like pressure around the chest when hurrying for the bus."),
    ("same_day", "Pain in both arms and jaw on exertion."),
    ("emergency", "Knife-like pain between the shoulder blades came on suddenly."),
    ("emergency", "Knocked off his bike by a car this morning, collarbone looks broken."),
    ("same_day", "Grandma stumbled over the rug yesterday and the upper arm is black and blue."),
    ("same_day", "The shoulder popped out while swimming an hour ago and will not go back."),
    ("emergency", "Arm stuck in internal rotation after a grand mal."),
    ("emergency", "Took a knee to the breastbone at rugby yesterday and can hardly swallow."),
    ("emergency", "The inner collarbone joint is red and warm, uses heroin."),
    ("emergency", "Steroid injection on Monday, now the shoulder is burning hot and she feels awful."),
    ("emergency", "Night sweats and a constant ache between the shoulder blades."),
    ("emergency", "TB as a child, fever and back pain now."),
    ("urgent", "History of breast cancer, new shoulder pain that never stops."),
    ("refer", "Her bra strap got loose, she dropped from 70 to 60 kg."),
    ("same_day", "My eye looks smaller on one side and that side of the face doesn't sweat."),
    ("urgent", "Ex-smoker with aching arm and numb ring and little fingers."),
    ("emergency", "He heard a pop lifting the fridge last week and has not been able to lift the arm since."),
    ("same_day", "Arm hangs like dead since the motorcycle crash."),
    ("same_day", "Hand has become a claw."),
    ("urgent", "Two weeks after the flu, dreadful shoulder pain, then the arm would not lift."),
    ("emergency", "Pain behind the ear and neck since yesterday, vertigo and vomiting."),
    ("same_day", "She talks as if drunk and her face hangs."),
    ("refer", "Sudden loss of balance and neck pain."),
    ("emergency", "Breathing hurts since the rib was manipulated yesterday."),
    ("refer", "Coughs, fever, green phlegm, shoulder pain."),
    ("emergency", "Stabbing pain on the right when taking a deep breath, flew in from Australia."),
    ("emergency", "Took a handlebar in the belly, now left shoulder hurts and looks pale."),
    ("emergency", "She is two weeks late and has pain in the shoulder tip and belly."),
    ("same_day", "Eyes have turned yellow."),
    ("urgent", "Can't turn over in bed, both shoulders stiff, takes until ten every morning, 72 years."),
    ("emergency", "Temples throb and chewing tires the jaw."),
    ("same_day", "Her vision went grey in one eye this morning."),
    ("same_day", "Back gave a crack lifting the grandchild and she cannot lie flat."),
    ("emergency", "Head feels too heavy for the neck, she has rheumatoid arthritis."),
    ("urgent", "Collarbone pokes up and the skin over it is white."),
    ("refer", "Hand swollen, shiny and sweaty months after a wrist fracture, pain out of all proportion."),
    ("emergency", "The shoulder locked at once after the electric shock."),
    ("same_day", "Overnight the shoulder became so painful that nobody may touch it."),
    ("urgent", "Fingers and wrists are swollen and psoriasis since years."),
    ("same_day", "I've lost feeling in my backside and can't hold my poo."),
    ("refer", "Legs keep buckling and hands feel like gloves."),
    ("same_day", "He has been talking about suicide."),
    ("same_day", "She cries all day and has given up hope."),
    ("same_day", "My ex attacked me last night."),
    ("emergency", "The fingers turned white after the plaster was put on."),
    ("same_day", "The arm ballooned and turned purple overnight."),
    ("emergency", "Squeezing in the chest going into the left arm."),
    ("same_day", "Pain across the shoulders when walking up the hill, settles on standing still."),
    ("same_day", "It felt as if something ripped open between my shoulders, I nearly fainted."),
    ("emergency", "Fell from a scaffold this morning, bone is sticking out."),
    ("same_day", "Tripped over the dog two hours ago and the shoulder looks square."),
    ("emergency", "Had a seizure on Sunday and can't turn the arm outwards."),
    ("emergency", "Kicked by a horse on the collarbone yesterday, short of breath."),
    ("emergency", "Shoulder is red, hot and swollen with shivers."),
    ("emergency", "High temperature and terrible back pain."),
    ("urgent", "New lump under the arm, had melanoma."),
    ("urgent", "Can't sleep, the pain is there day and night, and she has lost 10 kilos."),
    ("same_day", "His left pupil is smaller and the lid hangs."),
    ("emergency", "Since the fall three days ago she can't raise the arm at all."),
    ("urgent", "The wrist hangs down since this morning."),
    ("urgent", "After terrible pain for five days the shoulder became weak and thin."),
    ("emergency", "Double vision with new neck pain."),
    ("emergency", "Neck pain since a car crash, pupils are different."),
    ("emergency", "Breathless and has a swollen calf."),
    ("same_day", "Coughs blood."),
    ("emergency", "Shoulder tip hurts, was kicked in the stomach at football today."),
    ("emergency", "Period is overdue and the tip of the shoulder hurts."),
    ("same_day", "Skin and eyes are yellow."),
    ("urgent", "Both shoulders and hips stiff for two hours every morning."),
    ("emergency", "One eye went blind for a minute, headache at the temple."),
    ("same_day", "Back suddenly cracked on sneezing, takes cortisone tablets for years."),
    ("urgent", "The bone end of the collarbone is tenting the skin."),
    ("same_day", "Since yesterday the pain is unbearable, came within hours."),
    ("same_day", "Numbness on both sides of the body below the neck."),
]
"""Further wordings, each with the least urgency it must reach."""

ASK_FIRST = [
    "Fell down the stairs, shoulder hurts.",
    "Was treated for breast cancer.",
    "Shoulder blade sticks out since a bout of severe pain.",
    "Hit the collarbone on the steering wheel.",
    "Hand is swollen, sweaty and burning since the wrist fracture.",
    "Burning hand, can't bear the sleeve touching it.",
    "He takes blood thinners and fell.",
    "The arm just drops when I lower it.",
    "Fever.",
    "rigors",
]
"""One cue of a rule that asks for more: nothing is raised, and its questions come first."""

HARMLESS = [
    "Hurts when wiping the table and reaching up.",
    "Cannot reach behind to wipe herself since the shoulder stiffened.",
    "The worst ever shoulder pain after painting the ceiling.",
    "Muscles puffed up after training.",
    "Looks double jointed.",
    "Painful arc, worse when reaching to the back seat.",
    "Throwing athlete, pain in late cocking, no trauma.",
    "Desk worker with neck and shoulder tension, headaches now and then.",
    "Headaches since school days.",
    "Had physiotherapy before, it helped.",
    "Surgery on the other knee five years ago.",
    "Rotator cuff repair in 2019, doing well until the garden work this spring.",
    "Pain after a long drive.",
    "Woke with pain, cannot remember any injury.",
    "The shoulder is stiff and sore but not hot or swollen.",
    "Feels weak when overhead, no numbness or tingling.",
    "Clicking at the top, sore to lie on.",
    "Ran a marathon last month.",
    "Pain is dull, comes in the evening, goes with warmth.",
    "Mild high blood pressure, on tablets.",
    "The arm feels tired after work.",
    "Slept on it wrong.",
    "Chest feels fine.",
    "Bruise from football on the thigh.",
    "Gets the hair done with difficulty.",
    "Holds her head tilted.",
    "He hit the ball late and felt a twinge.",
    "Lifted the sofa two months ago, pain since.",
    "No problems with balance, walking, bladder or bowel.",
    "Without night sweats, weight stable.",
    "Her mother died of lung cancer and her father is a smoker.",
    "Asks if he can lift weights again.",
    "The doctor excluded a fracture and a dislocation.",
    "Stress at work, sleeps six hours.",
    "Crunching in the shoulder blade when shrugging.",
    "Sore after planting potatoes, better with rest.",
    "Pain for a year, on and off, never severe.",
    "Hurts when putting on a jacket.",
    "No pain at night, sleeps well.",
    "Has had no falls, no fever and no weight loss.",
    "He denies any numbness, tingling or weakness.",
    "An old collarbone fracture as a boy.",
    "Lost a tennis match because of the shoulder.",
    "Feels a dull ache at the back of the shoulder.",
    "Works as a nurse on a cancer ward and lifts patients.",
    "Son was in a car crash yesterday and she is tense.",
    "Cold weather makes it worse.",
    "Hot packs and massage help.",
    "Afraid that it will get stiff.",
    "Shoulder is a little swollen after swimming.",
    "Reaching across the chest hurts.",
    "Drops his shoulder when tired.",
    "The pain started after vaccination two years ago.",
    "The other arm is fine.",
    "Had pneumonia as a child.",
    "Walks the dog daily, climbs stairs without trouble.",
    "No headache, vision normal.",
    "Type 1 diabetes, pump on the belly.",
    "Numb spot on the thigh after a hernia operation ten years ago.",
    "Takes ibuprofen with meals.",
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
    "Gradual onset of pain over the outer shoulder for four months after painting the ceiling.",
    "Pain on lifting the arm sideways, worse at night when lying on it.",
    "Pain wakes her when she rolls onto the shoulder.",
    "Stiff shoulder for six months, cannot reach behind the back or fasten the bra.",
    "Cannot lift the arm above shoulder height without pain.",
    "Clicks and pops when raising the arm.",
    "Pins and needles in the thumb when the neck is turned.",
    "Sore top of the shoulder after bench press.",
    "Aches after a long day at the desk, better at weekends.",
    "Catching pain in the middle of the range.",
    "Sharp pain on throwing, dead arm feeling after pitching.",
    "Shoulder feels loose and slips when serving.",
    "No night pain, no weight loss, no fever.",
    "No red flags.",
    "Denies red flags.",
    "Systemically well, no history of cancer.",
    "Never smoked, no trauma.",
    "No significant medical history; takes no medication.",
    "Bladder and bowel normal.",
    "Bowel and bladder function is normal, no saddle numbness.",
    "Heart attack in his father at 60.",
    "Her sister had lymphoma.",
    "Had an X-ray which showed no fracture.",
    "Fracture was ruled out in A&E.",
    "X-ray: no fracture or dislocation.",
    "Shoulder replaced five years ago.",
    "Works in a cancer clinic as a nurse.",
    "Pain in front of the chest when pushing up from a chair.",
    "Rib pain on twisting the trunk.",
    "Tight chest muscles from the gym.",
    "Feels tight at the front of the shoulder and chest on stretching.",
    "Cold hands in winter since childhood.",
    "Had a cold last week.",
    "Ice pack helps, heat helps as well.",
    "Swimmer with pain at the catch, no swelling.",
    "The hand tingles when she sleeps on the arm.",
    "Numb hands at night, shakes them out.",
    "Hurts to drive, to carry shopping and to hang the washing.",
    "Pain eases with rest and paracetamol.",
    "He is worried that it might be arthritis.",
    "Woke up with a stiff neck.",
    "Fear of movement, not depressed, sleeps well.",
    "Poor sleep because of the shoulder.",
    "Sleeps badly, tired during the day.",
    "Diabetes type 2, frozen shoulder on the other side two years ago.",
    "Asthma and hay fever.",
    "Migraine since youth.",
    "Anxious about the operation.",
    "Gave up tennis. Wants to play golf again.",
    "Grinding in the shoulder, worse after gardening.",
    "Pain radiates to the elbow, no numbness.",
    "Lifting her toddler hurts.",
    "His dog pulled on the lead six months ago.",
    "Fell on the shoulder last winter; recovered fully.",
    "Had a fall years ago, no problem since.",
    "Cortisone injection a year ago helped.",
    "Pain on coughing was asked for and denied.",
    "The pain is worse in the morning for ten minutes.",
    "Stiff in the morning, loosens in the shower.",
    "Both arms feel the same.",
    "Both shoulders were injured in 2010.",
    "Weak when lifting a kettle.",
    "Grip is normal.",
    "Hand strength full, no wasting.",
    "Pain between the shoulder blades when sitting long.",
    "Blocked feeling in the mid back, better after extension.",
    "Tearing off wallpaper started it.",
    "The pain comes and goes with work overhead.",
    "Shoulder pain after climbing at the wall.",
    "Pain when running with a rucksack.",
    "A climber who hurt his shoulder on an overhang.",
    "Hurts after eating at a low table.",
    "Her husband hit a tree with the car last year.",
    "He is afraid of needles.",
    "No chest pain on exertion, no breathlessness.",
    "Not breathless. Not dizzy. Not sweating.",
    "No history of trauma, cancer, steroid use, recent infection or unexplained weight loss.",
    "PMH: nil. DH: nil. SH: non-smoker.",
    "Non smoker, drinks little.",
    "Eyes normal, pupils equal.",
    "Dizzy spells as a teenager.",
    "Collapsed lung in 1998.",
    "Reports no double vision, slurred speech or drop attacks.",
    "He has neither fever nor chills.",
    "Without pain at rest.",
    "Cannot sleep on it.",
    "The scar is healed.",
    "Vaccinated against flu last autumn.",
    "Blue badge holder.",
    "Her arm gets heavy when she holds it up to dry her hair.",
    "Says the shoulder is killing him.",
    "Dying to play again.",
    "Lost range slowly over the winter.",
    "Lost some strength after the cast came off a year ago.",
    "Swollen ankle last year.",
    "Knee swollen after running.",
    "Skin normal, no redness or swelling.",
    "Works at height on ladders.",
    "Rides a motorbike to work.",
    "Used to play rugby.",
    "Fatty meals cause no trouble.",
    "Yellow belt in judo.",
    "She missed her period of rest.",
    "Trouble reaching the top shelf.",
    "Difficulty writing on the board.",
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


@pytest.mark.parametrize(("urgency", "sentence"), MORE_STORIES)
def test_other_wordings_reach_their_urgency(urgency: str, sentence: str, library: Library) -> None:
    assert verdict(told(sentence), library).urgency.rank >= Urgency(urgency).rank


HEARD_IN_OTHER_WORDS = [
    ("Steroid jab in the joint five days ago. Now throbbing, shivery, cannot move it.", "septic_gh", "emergency"),
    ("Had a cortisone shot on Monday, a temperature of 38.7 since, joint puffy, boiling.", "septic_gh", "emergency"),
    ("Heaviness in his jaw and left arm when he walks the dog uphill, settles when he stops.", "cardiac", "emergency"),
    ("Left shoulder aches whenever she hurries for the bus and goes off when she sits down.", "cardiac", "same_day"),
    ("Worst ever neck pain after a car shunt yesterday, eyelid droops and things look double.", "cad", "emergency"),
    ("Pain in the neck unlike any before since a sudden turn of the head, the lid droops. Dizzy.", "cad", "emergency"),
    ("Cannot feel when he wipes himself, and has not passed water since last night.", "myelopathy", "same_day"),
    ("Her partner twisted the arm behind her back, she is afraid to go home.", "psych_risk", "same_day"),
    ("Breast cancer five years ago. New ache in the upper arm bone at night, not sleeping.", "malignancy", "urgent"),
    ("Pain at the shoulder tip on each breath in, puffing since the long flight.", "pulmonary", "emergency"),
    ("Injecting drug user, mid back agony all night, sweats and rigors.", "spinal_infection", "emergency"),
]  # fmt: skip


@pytest.mark.parametrize(("sentence", "flag", "urgency"), HEARD_IN_OTHER_WORDS)
def test_a_danger_told_in_other_words_is_heard(sentence: str, flag: str, urgency: str, library: Library) -> None:
    raised = {one.id: one.urgency.rank for one in verdict(told(sentence, 62), library).raised}
    assert raised.get(flag, -1) >= Urgency(urgency).rank


@pytest.mark.parametrize("sentence", ASK_FIRST)
def test_a_single_weak_cue_is_shown_and_asked(sentence: str, library: Library) -> None:
    said = verdict(told(sentence), library)
    assert said.urgency is Urgency.MONITOR
    assert any(one.from_story for one in said.noticed)


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
    assert said.action.startswith("Ask before hands-on work: Sharp pain on breathing")


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
