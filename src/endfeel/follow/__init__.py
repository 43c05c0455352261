"""Following an episode: has it changed, what was to be expected, what now."""

from endfeel.follow.decisions import KINDS, Decision
from endfeel.follow.episode import Followed, follow
from endfeel.follow.predictors import HOW_ADDED, Predictor
from endfeel.follow.series import FollowedVisit, Line, Reading, last_examination
from endfeel.follow.trajectory import VERDICT_SIGNS, VERDICT_WORDS, Trajectory, Verdict

__all__ = [
    "HOW_ADDED",
    "KINDS",
    "VERDICT_SIGNS",
    "VERDICT_WORDS",
    "Decision",
    "Followed",
    "FollowedVisit",
    "Line",
    "Predictor",
    "Reading",
    "Trajectory",
    "Verdict",
    "follow",
    "last_examination",
]
