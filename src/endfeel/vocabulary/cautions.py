"""The cautions that stand on every screen and paper."""

CAUTIONS: tuple[str, ...] = (
    "Supports licensed clinicians and supervised students; it does not diagnose and does not decide.",
    "Emergency and referral rules come first. If in doubt, stop and refer.",
    "Thrust techniques need their own screening and the person's consent.",
    "Local law, professional codes, scope of practice and data-protection rules prevail.",
    "Probabilities depend on evidence that is often weak; every figure says whether it was read, recalled or is "
    "common practice.",
)

SHORT_CAUTION = (
    "Supports licensed clinicians; does not diagnose. Emergency and referral rules come first. Local rules prevail."
)
