"""Shared fixtures: the evidence library is loaded once."""

from __future__ import annotations

import pytest

from endfeel.evidence.library import Library
from endfeel.evidence.load import load_library


@pytest.fixture(scope="session")
def library() -> Library:
    return load_library()
