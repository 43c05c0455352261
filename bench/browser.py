"""The distribution's own Chromium: its headless shell where that is installed (half the work of the whole browser)."""

from __future__ import annotations

from pathlib import Path

PLACES = ("/usr/bin/chromium-headless-shell", "/usr/bin/chromium", "/usr/bin/chromium-browser")


class NoBrowser(Exception):  # noqa: N818 - says what is missing
    """Chromium is not installed."""


def chromium() -> str:
    """The path of its program. Raises NoBrowser."""
    found = next((place for place in PLACES if Path(place).exists()), None)
    if found is None:
        raise NoBrowser("Chromium is needed: sudo apt-get install chromium-headless-shell (or chromium)")
    return found
