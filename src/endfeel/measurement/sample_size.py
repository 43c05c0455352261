"""How many people two or more examiners have to see, for an interval of a wished width.

References
----------
Kappa of two examiners and two categories: the large-sample variance of Fleiss, Cohen and Everitt 1969 (`kappa.py`) at
the expected table. ICC: Bonett 2002, Stat Med 21:1331-1335. Limits of agreement: Bland and Altman 1999, Stat Methods
Med Res 8:135-160 (standard error of a limit). Formulas from memory; checked in tests by simulation and worked values.
"""

from __future__ import annotations

from math import ceil, sqrt

from endfeel.measurement.confidence import CONFIDENCE_PERCENT, normal_multiplier
from endfeel.measurement.kappa import weighted_kappa

LEAST = 3
"""Fewer people say nothing."""


def people_for_kappa(kappa: float, prevalence: float, half_width: float) -> int:
    """People for a 95 % interval of kappa that reaches `half_width` either way.

    Two examiners, two categories, both find the sign in the same share `prevalence`.
    Raises ValueError for a kappa or share that cannot be.
    """
    if not 0 < prevalence < 1 or not 0 < half_width < 1 or not -1 < kappa <= 1:
        raise ValueError("kappa lies above -1 and up to 1, prevalence and half width between 0 and 1")
    both = prevalence * prevalence + kappa * prevalence * (1 - prevalence)
    only = prevalence - both
    neither = 1 - prevalence - only
    if min(both, only, neither) < 0:
        raise ValueError("no table has this kappa at this prevalence")
    million = 1e6
    found = weighted_kappa(
        [[both * million, only * million], [only * million, neither * million]], [[1.0, 0.0], [0.0, 1.0]]
    )
    half = (found.high - found.low) / 2
    if found.high >= 1.0 or found.low <= -1.0:
        half = max(found.high - found.value, found.value - found.low)
    return max(LEAST, ceil(million * (half / half_width) ** 2))


def people_for_icc(icc: float, raters: int, half_width: float) -> int:
    """People for a 95 % interval of a single-rating ICC that reaches `half_width` either way.

    Raises ValueError for values that cannot be.
    """
    if not 0 <= icc < 1 or raters < 2 or not 0 < half_width < 1:
        raise ValueError("an ICC lies in 0 to below 1, two raters or more, a half width between 0 and 1")
    z = normal_multiplier(CONFIDENCE_PERCENT)
    width = 2 * half_width
    people = 8 * z * z * (1 - icc) ** 2 * (1 + (raters - 1) * icc) ** 2 / (raters * (raters - 1) * width * width) + 1
    if icc >= 0.7 and raters == 2:
        people += 5 * icc
    return max(LEAST, ceil(people))


def people_for_limits(half_width_in_sd: float) -> int:
    """People for limits of agreement each known to so many standard deviations of the differences either way.

    Raises ValueError for a width that cannot be.
    """
    if not 0 < half_width_in_sd < 10:
        raise ValueError("the half width is told in standard deviations of the differences, above 0")
    z = normal_multiplier(CONFIDENCE_PERCENT)
    people = LEAST
    while z * sqrt(1 / people + z * z / (2 * (people - 1))) > half_width_in_sd:
        people += 1
    return people
