"""How every row of the restraint studies about the glenohumeral joint is put to the model, or why it cannot be.

Rules, fixed beforehand. A structure that leads holds back more of the force (or of the resisting moment) than any
other band; a rank shared with k others means among the first k + 1 of them. Taut is taut in most people, under the
stated load. A number with a spread is met within one standard deviation; without one, within the factor for recalled
numbers. A gain or loss without a number counts from `notable_deg`. Where a row names no force, a laboratory's. Only
people whose unchanged head stays in the socket answer, unless the study itself takes it out (dislocation, subluxation).
"""

from __future__ import annotations

import numpy as np

from endfeel.mechanics.changes import REGIONS
from endfeel.mechanics.motions import Motion
from endfeel.mechanics.study_bench import DOWNWARD, FRONT_TO_BACK, At
from endfeel.mechanics.study_changes import (
    IN_AT_90,
    IN_AT_SIDE,
    OUT_AT_90,
    OUT_AT_SIDE,
    PLICATED,
    carried,
    correlates,
    gain_near,
    gains,
    glide_changes,
    held_off,
    limits_motion,
    loses,
    loses_all,
    plicated,
    sectioned,
    shifted,
)
from endfeel.mechanics.study_questions import (
    LIGAMENTS,
    Asked,
    at_least_published,
    bears,
    below_published,
    holds_part,
    holds_published_part,
    longest,
    most_strained,
    near_published,
    restrains,
    rises,
    stays_low,
    stops,
    strain,
    taut,
    wider_range,
    within_published,
)

_TURNS: tuple[float | str, ...] = ("medial", 0.0, "lateral")
FLUOROSCOPY = [At(elevation, "frontal", turn, "HT") for elevation in (0, 45, 90) for turn in _TURNS]
TWELVE = [At(elevation, "frontal", turn, "HT") for elevation in (0, 90, 135, 150) for turn in _TURNS]
_ABOVE = [place for place in TWELVE if place not in FLUOROSCOPY]
_ADDUCTION = Motion("adduction", 0.0, 0.0, 0.0, "elevation", -1.0, np.eye(3))
_CUT_INTERVAL = sectioned(*REGIONS["interval_with_ligaments"])
_TIGHT_INTERVAL = plicated(*REGIONS["interval_with_ligaments"])


def _ht(elevation: float, turn: float | str, plane: str = "frontal") -> At:
    return At(elevation, plane, turn, "HT")


def _gh(elevation: float, turn: float | str = 0.0, plane: str = "scapular") -> At:
    return At(elevation, plane, turn)


def _in_or_out(elevation: float) -> list[At]:
    return [_ht(elevation, turn) for turn in _TURNS]


RESTRAINT_CHECKS: dict[str, Asked] = {
    "rs001": stops("cuff_subscapularis", _ht(0, "lateral")),
    "rs002": stops("cuff_subscapularis", _ht(45, "lateral"), count=3),
    "rs003": stops("middle_GHL", _ht(45, "lateral"), count=3),
    "rs004": stops("anterior_band_IGHL", _ht(45, "lateral"), count=3),
    "rs005": stops("IGHL_complex", _ht(90, "lateral")),
    "rs006": restrains(("superior_GHL", "coracohumeral"), _gh(0), "inferior", DOWNWARD),
    "rs007": restrains("middle_GHL", _gh(45), "anterior", FRONT_TO_BACK),
    "rs008": taut(["middle_GHL"], [_gh(60)], direction="anterior"),
    "rs009": restrains("IGHL_complex", _gh(90, "lateral", "frontal"), "anteroinferior", FRONT_TO_BACK, leaving=True),
    "rs010": taut(["superior_GHL"], _in_or_out(0)),
    "rs011": taut(["middle_GHL"], _in_or_out(45)),
    "rs012": taut(["IGHL_complex"], [_ht(90, "lateral")]),
    "rs013": restrains("superior_GHL", _gh(0), "inferior", DOWNWARD),
    "rs014": restrains("anterior_band_IGHL", _gh(45), "inferior", DOWNWARD, leaving=True),
    "rs015": restrains("IGHL_complex", _gh(90), "inferior", DOWNWARD),
    "rs016": restrains("coracohumeral", _gh(0), "inferior", DOWNWARD, count=2),
    "rs017": restrains("cuff_supraspinatus", _gh(0), "inferior", DOWNWARD, count=2),
    "rs018": holds_part("rotator_cuff", [_gh(elevation) for elevation in (0, 30, 60, 90)], "posterior"),
    "rs019": bears("superior_GHL", [_gh(0)], "anterior", within_published("rs019")),
    "rs020": bears("anterior_band_IGHL", [_gh(60)], "anterior", within_published("rs020")),
    "rs021": bears(
        "posterior_band_IGHL", [_gh(elevation) for elevation in (0, 30, 60, 90)], "posterior", below_published("rs021")
    ),
    "rs022": rises("anterior_band_IGHL", "frontal"),
    "rs023": rises("axillary_pouch", "frontal"),
    "rs024": rises("anterior_band_IGHL", "scapular"),
    "rs025": rises("axillary_pouch", "scapular"),
    "rs026": longest("anterior_band_IGHL", _ht(90, "lateral"), FLUOROSCOPY, acting=True),
    "rs027": longest("posterior_band_IGHL", _ht(90, "medial"), FLUOROSCOPY, acting=True),
    "rs028": wider_range("middle_GHL", "superior_GHL", FLUOROSCOPY),
    "rs031": longest("superior_GHL", _ht(0, "lateral"), TWELVE, acting=True),
    "rs032": longest("middle_GHL", _ht(0, "lateral"), TWELVE, acting=True),
    "rs033": longest("anterior_band_IGHL", _ht(90, "lateral"), TWELVE, acting=True),
    "rs034": longest("posterior_band_IGHL", _ht(0, "medial"), TWELVE, acting=True),
    "rs035": taut(LIGAMENTS[:4], _ABOVE, is_taut=False, acting=True),
    "rs039": longest(
        "superior_GHL", _gh(0, "lateral", "frontal"), [_gh(e, "lateral", "frontal") for e in (30, 60, 90)]
    ),
    "rs040": strain("posterior_capsule_superior", _gh(0, "medial"), "rs040", left="posterior_capsule"),
    "rs041": strain("posterior_capsule_superior", _gh(-30, "medial", "sagittal"), "rs041", left="posterior_capsule"),
    "rs042": strain("posterior_capsule_inferior", _gh(-30, "medial", "sagittal"), "rs042", left="posterior_capsule"),
    "rs043": strain("coracohumeral", _gh(-30, -50.0, "sagittal"), "rs043"),
    "rs044": strain("coracohumeral", _gh(-30, "lateral", "sagittal"), "rs044"),
    "rs049": loses(PLICATED["anterosuperior"], [OUT_AT_SIDE], near_published("rs049")),
    "rs050": loses(PLICATED["anterior"], ["flexion"], near_published("rs050")),
    "rs051": loses(PLICATED["posterior"], ["flexion"], near_published("rs051")),
    "rs052": loses(PLICATED["anterior"], ["abduction"], at_least_published("rs052")),
    "rs053": loses(PLICATED["posterior"], ["abduction"], at_least_published("rs053")),
    "rs054": loses(PLICATED["anterior"], [OUT_AT_SIDE, OUT_AT_90], at_least_published("rs054")),
    "rs055": loses(PLICATED["posterior"], [IN_AT_SIDE, IN_AT_90], at_least_published("rs055")),
    "rs056": lambda bench: loses_all(bench, PLICATED["superior"], [OUT_AT_SIDE, "flexion"]),
    "rs057": gains("interval_with_ligaments", [OUT_AT_SIDE]),
    "rs058": gains("inferior_capsule", [OUT_AT_90]),
    "rs059": gains("inferior_capsule", ["flexion"]),
    "rs060": gains("inferior_capsule", [IN_AT_90]),
    "rs061": gains("posterior_capsule_superior", [IN_AT_SIDE], quiet=[OUT_AT_SIDE, "flexion", "abduction"]),
    "rs062": carried("flexion", 0, 1.0),
    "rs063": carried("extension", 0, -1.0),
    "rs064": carried("horizontal adduction", 0, None),
    "rs065": held_off,
    "rs066": limits_motion("flexion"),
    "rs067": limits_motion("extension"),
    "rs068": limits_motion(OUT_AT_SIDE),
    "rs069": limits_motion(_ADDUCTION),
    "rs070": carried("flexion", 0, 1.0, _TIGHT_INTERVAL),
    "rs071": carried("flexion", 0, -1.0, _CUT_INTERVAL),
    "rs072": glide_changes(_CUT_INTERVAL, [(_gh(0), "inferior", DOWNWARD)], 1.0),
    "rs073": glide_changes(_CUT_INTERVAL, [(_gh(60, 0.0, "sagittal"), "posterior", FRONT_TO_BACK)], 1.0),
    "rs074": glide_changes(
        _TIGHT_INTERVAL, [(_gh(0), "inferior", DOWNWARD), (_gh(0), "posterior", FRONT_TO_BACK)], -1.0
    ),
    "rs075": carried("abduction", 0, None, _CUT_INTERVAL),
    "rs076": most_strained("anterior_band_IGHL", _gh(60, -30.0, "frontal"), "anterior", "25"),
    "rs086": most_strained("anterior_band_IGHL", _ht(90, "lateral"), "anterior", FRONT_TO_BACK),
    "rs087": stays_low,
    "rs089": shifted(plicated(*PLICATED["posteroinferior"]), {0: -1.0}),
    "rs090": correlates("posterior_capsule", IN_AT_90, "rs090", wanted=True),
    "rs091": correlates("posterior_capsule", "horizontal adduction", "rs091", wanted=False),
    "rs092": lambda bench: loses_all(bench, REGIONS["posterior_capsule"], [IN_AT_90]),
    "rs093": lambda bench: loses_all(bench, REGIONS["posterior_capsule"], ["horizontal adduction"]),
    "rs095": shifted(plicated(*REGIONS["posterior_capsule"]), {0: -1.0, 1: 1.0}),
    "rs096": lambda bench: gain_near(bench, "IGHL_complex", OUT_AT_90, within_published("rs096")),
    "rs097": restrains("superior_GHL", _gh(0), "inferior", DOWNWARD),
    "rs098": restrains("IGHL_complex", _gh(45), "inferior", DOWNWARD, leaving=True),
    "rs099": taut(REGIONS["anterior_capsule"], [OUT_AT_SIDE, "extension"], every=True),
    "rs100": taut(
        REGIONS["posterior_capsule"], ["internal rotation in side-lying", "horizontal adduction"], every=True
    ),
    "rs101": gains(("posterior_capsule", "cuff_teres_minor"), [(_gh(e, 0.0, "frontal"), "medial") for e in (0, 45)]),
    "rs102": gains(("cuff_subscapularis", "middle_GHL"), [(_gh(e, 0.0, "frontal"), "lateral") for e in (0, 40)]),
    "rs103": restrains("posterior_capsule", _ht(90, "medial", "sagittal"), "posterior", FRONT_TO_BACK, leaving=True),
    "rs104": restrains(
        "coracohumeral", _ht(90, 0.0, "sagittal"), "posterior", FRONT_TO_BACK, among=LIGAMENTS, leaving=True
    ),
    "rs105": restrains(
        "posterior_band_IGHL", _ht(90, "medial", "sagittal"), "posterior", FRONT_TO_BACK, among=LIGAMENTS, leaving=True
    ),
    "rs106": taut(["coracohumeral"], [_ht(30, "lateral")]),
    "rs107": taut(["middle_GHL"], [_ht(60, "lateral"), _ht(90, "lateral")]),
    "rs108": lambda bench: gain_near(bench, "coracohumeral", OUT_AT_SIDE, near_published("rs108")),
    "rs109": restrains(("superior_GHL", "coracohumeral"), _ht(0, 0.0), "inferior", DOWNWARD),
    "rs154": taut(["coracohumeral"], [_gh(90, "lateral", "frontal")], is_taut=False),
    "rs155": taut(["coracohumeral"], [_gh(30, "lateral", "sagittal"), _gh(60, "lateral", "sagittal")], is_taut=False),
    "rs156": strain("coracohumeral", _gh(0, -40.0), "rs156"),
    "rs157": strain("coracohumeral", _gh(0, -50.0), "rs157"),
    "rs158": strain("coracohumeral", _gh(0, "lateral"), "rs158"),
    "rs159": loses(PLICATED["anteroinferior"], ["abduction"], near_published("rs159")),
    "rs160": loses(PLICATED["anteroinferior"], [OUT_AT_SIDE, OUT_AT_90], near_published("rs160")),
    "rs161": loses(PLICATED["posterosuperior"], [IN_AT_SIDE], near_published("rs161")),
    "rs162": loses(PLICATED["inferior"], ["abduction"], near_published("rs162")),
    "rs163": holds_published_part("rs163", "rotator_cuff", _gh(30), "posterior"),
    "rs164": holds_published_part("rs164", "rotator_cuff", _gh(60), "posterior"),
}
"""How each row is put to the model."""

CUFF_LEFT = frozenset(
    {
        *("rs001", "rs002", "rs003", "rs004", "rs005"),  # muscle is named among the restraints (Turkel 1981, read)
        *("rs016", "rs017"),  # shared with the supraspinatus tendon (Kuboyama, read)
        *("rs018", "rs019", "rs020", "rs021"),  # the passive cuff is what is measured (Debski 1999, read)
        *("rs057", "rs058", "rs059", "rs060", "rs061"),  # living people on the table (2000, read)
        *("rs062", "rs063", "rs064", "rs065"),  # specimens kept their cuff (Harryman 1990, from memory)
        *(f"rs{row:03d}" for row in range(66, 75)),  # the same (Harryman 1992, from memory)
        *("rs101", "rs102"),  # its tendons are cut (Ovesen 1986, from memory)
        *("rs163", "rs164"),  # as rs018
    }
)
"""Rows whose specimens still had their cuff; every other laboratory is taken to have had the capsule alone."""


_ONE_STRAIN = "a fibre has one strain from end to end: the model has no glenoid side and no humeral side"
_DRIVEN = "the head of a living arm that is held or turned by its own muscles; no muscle acts in the model"
_APART = "the joints are modelled one at a time: what a cut at the AC joint does to the head is not computed"
_LED = "the girdle follows a published rhythm in its motion, not its ligaments"
RESTRAINT_SILENT: dict[str, str] = {
    "rs029": _DRIVEN,
    "rs030": _DRIVEN,
    "rs036": _DRIVEN,
    "rs037": _DRIVEN,
    "rs038": _DRIVEN,
    "rs045": "how far the arm was adducted is not in what was read",
    "rs046": "how far the arm was adducted is not in what was read",
    "rs047": "how far the arm was adducted is not in what was read",
    "rs048": "how far the arm was adducted is not in what was read",
    "rs077": "a pattern of strain over the surface of the capsule; the model has bands, not a surface",
    "rs078": _ONE_STRAIN,
    "rs079": _ONE_STRAIN,
    "rs080": _ONE_STRAIN,
    "rs081": _ONE_STRAIN,
    "rs082": _ONE_STRAIN,
    "rs083": _ONE_STRAIN,
    "rs084": "strain at failure, which is one of the figures that set the stiffness of the bands",
    "rs085": _ONE_STRAIN,
    "rs088": "the head is one sphere: no calcar and no cam",
    "rs094": "there is no acromion above the head",
    "rs121": _APART,
    "rs122": _APART,
    "rs123": _LED,
    "rs124": _LED,
    "rs125": _LED,
    "rs126": _LED,
    "rs127": _LED,
}
"""Why the model cannot speak to a row."""
