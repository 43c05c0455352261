"""The bands by the names that people read."""

from __future__ import annotations

from collections.abc import Mapping

AT_REST = ", at rest"
"""How a muscle's name ends: nothing in the model contracts."""
NAMES: Mapping[str, str] = {
    "superior_GHL": "superior glenohumeral",
    "middle_GHL": "middle glenohumeral",
    "anterior_band_IGHL": "inferior glenohumeral, front band",
    "axillary_pouch": "axillary pouch",
    "posterior_band_IGHL": "inferior glenohumeral, back band",
    "coracohumeral_anterior": "coracohumeral, front band",
    "coracohumeral_posterior": "coracohumeral, back band",
    "posterior_capsule_superior": "posterior capsule, upper",
    "posterior_capsule_middle": "posterior capsule, middle",
    "posterior_capsule_inferior": "posterior capsule, lower",
    "rotator_interval": "rotator interval",
    "cuff_subscapularis": f"subscapularis{AT_REST}",
    "cuff_supraspinatus": f"supraspinatus{AT_REST}",
    "cuff_infraspinatus": f"infraspinatus{AT_REST}",
    "cuff_teres_minor": f"teres minor{AT_REST}",
    "latissimus_teres_major": "latissimus with teres major",
    "AC_superior": "AC capsule, upper",
    "AC_inferior": "AC capsule, lower",
    "AC_anterior": "AC capsule, front",
    "AC_posterior": "AC capsule, back",
    "SC_anterior": "SC capsule, front",
    "SC_posterior": "SC capsule, back",
    "SC_superior": "SC capsule, upper",
    "SC_disc": "SC disc",
    "costoclavicular_front": "costoclavicular, front",
    "costoclavicular_back": "costoclavicular, back",
}


def band_name(band: str) -> str:
    """`superior_GHL` as "superior glenohumeral"; a band without a longer name keeps its own."""
    return NAMES.get(band, band.replace("_", " "))
