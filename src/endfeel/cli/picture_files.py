"""Pictures to files: `--svg FILE` and `--png FILE`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path


def add_pictures(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--svg", type=_named(".svg"), metavar="FILE", help="write a picture, with the same content in words inside"
    )
    parser.add_argument("--png", type=_named(".png"), metavar="FILE", help="write the picture as PNG")


def _named(kind: str) -> Callable[[str], Path]:
    """A file's name that does not say another kind of picture."""

    def read(word: str) -> Path:
        path = Path(word)
        if path.suffix.lower() not in ("", kind):
            raise argparse.ArgumentTypeError(f"{word!r} is not named as such a picture; would do: {path.stem}{kind}")
        return path

    return read


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
