"""A picture as PNG, rendered from its SVG by the typesetter with its own fonts: the same on every machine."""

from __future__ import annotations

import re

from endfeel.vocabulary import Refused

_TEMPLATE = b"""#set page(width: auto, height: auto, margin: 0pt)
#image(bytes(sys.inputs.svg), format: "svg", width: 1pt * float(sys.inputs.width))"""
_VIEW = re.compile(r'viewBox="0 0 ([\d.]+) ')
POINTS_AN_INCH = 72.0


def png_of(svg: str, wide_pixels: int = 2000) -> bytes:
    """The picture so many pixels wide. Raises Refused where the typesetter is not there."""
    try:
        import typst
    except ImportError as error:
        raise Refused("PNG needs the typesetter `typst`, which is not installed; SVG works without it") from error
    view = _VIEW.search(svg)
    if view is None:
        raise ValueError("the picture has no viewBox that starts at 0 0")
    width = float(view[1])
    inputs = {"svg": svg, "width": view[1]}
    picture: bytes = typst.compile(
        _TEMPLATE, format="png", ppi=wide_pixels / width * POINTS_AN_INCH, ignore_system_fonts=True, sys_inputs=inputs
    )
    return picture
