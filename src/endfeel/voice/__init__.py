"""Spoken findings: what may be said, what was heard, and the draft that waits for a yes."""

from endfeel.voice.conversation import Reply, Talk, after_command, after_side, after_speech
from endfeel.voice.drafts import Command, Draft, Place, understood
from endfeel.voice.grammar import whole_grammar
from endfeel.voice.network import Network
from endfeel.voice.snap import Snapped, snap
from endfeel.voice.spoken import Spoken

__all__ = [
    "Command",
    "Draft",
    "Network",
    "Place",
    "Reply",
    "Snapped",
    "Spoken",
    "Talk",
    "after_command",
    "after_side",
    "after_speech",
    "snap",
    "understood",
    "whole_grammar",
]
