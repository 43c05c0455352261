"""How a process uses the machine; nothing of it changes a result."""

from __future__ import annotations

import ctypes
import gc
import os
import sys

_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3
"""Numbers of these settings in the C library's malloc.h."""
_NEW_OBJECTS = 50_000
_KEPT_BYTES = 2**28
_LARGEST_BYTES = 2**25
"""A table larger than this is still given back at once."""


def prepare_machine() -> None:
    """One thread for small matrix products, and memory that a sum gave back is kept for the next one.

    To be called before NumPy is imported. Tables of a sum are a few hundred kilobytes: the C library of Linux gives
    such memory back to the system at once, and half of the time went by in getting it again, page by page. Elsewhere
    nothing is changed.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if sys.platform == "linux":
        set_option = getattr(ctypes.CDLL(None), "mallopt", None)
        if set_option:
            set_option(_TRIM_THRESHOLD, _KEPT_BYTES)
            set_option(_MMAP_THRESHOLD, _LARGEST_BYTES)


def settle_memory() -> None:
    """When everything is loaded: the collector need not walk it again while a page waits, and looks at what is new
    seldom, since what a conclusion leaves behind is hardly ever in circles. A look in the middle of one took 10 ms."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(_NEW_OBJECTS)
