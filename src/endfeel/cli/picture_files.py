"""Pictures to files: `--svg FILE` and `--png FILE`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path


def add_pictures(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--svg", type=Path, metavar="FILE", help="write a picture, with the same content in words inside"
    )
    parser.add_argument("--png", type=Path, metavar="FILE", help="write the picture as PNG")


def wants_picture(options: argparse.Namespace) -> bool:
    """Whether a picture was asked for."""
    return bool(options.svg or options.png)


def write_pictures(options: argparse.Namespace, draw: Callable[[str], str]) -> None:
    """Write what was asked for; `draw` makes the SVG for a font. What was written is said on standard error."""
    from endfeel.pictures import PRINT_FONT, SCREEN_FONT

    if options.svg:
        options.svg.write_text(draw(SCREEN_FONT), encoding="utf-8")
        print(f"picture written: {options.svg}", file=sys.stderr)
    if options.png:
        from endfeel.documents.png import png_of

        options.png.write_bytes(png_of(draw(PRINT_FONT)))
        print(f"picture written: {options.png}", file=sys.stderr)
