"""What to test next, in which position and order, and when enough is known."""

from endfeel.planner.candidates import barred
from endfeel.planner.next_test import next_tests
from endfeel.planner.plan import plan
from endfeel.planner.textbook import Road, compare_with_textbook, random_road, road_of, textbook_road
from endfeel.planner.values import Candidate, LeftOut, NextTest, Plan, Step

__all__ = [
    "Candidate",
    "LeftOut",
    "NextTest",
    "Plan",
    "Road",
    "Step",
    "barred",
    "compare_with_textbook",
    "next_tests",
    "plan",
    "random_road",
    "road_of",
    "textbook_road",
]
