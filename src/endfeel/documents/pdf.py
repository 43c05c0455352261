"""The note as PDF, laid out by Typst with its own fonts. Record text goes in as data, never as markup."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import date
from importlib import resources
from typing import Any, Final
from unicodedata import category, name

from endfeel.documents.chart import interval_chart
from endfeel.documents.note import Note, note_to_dict
from endfeel.pictures import PRINT_FONT, SCREEN_FONT

ACCESSIBLE: Final = "ua-1"
ARCHIVABLE: Final = "a-2a"
"""PDF/A-2a contains A-2b. It wants a date, so an undated draft is accessible only."""
LONGEST_WORD = 30
HIGHEST = 0.4
"""Height of a picture in a letter, as a share of the line."""
_LONG = re.compile(rf"\S{{{LONGEST_WORD}}}(?=\S)")
BREAK = "\u200b"
"""Zero-width space: where a word too long for a line may be broken."""
MOST_PROBES = 200
UNSHOWN = "? stands for a letter this paper has no font for; the record has it"
_FONTS = '("Libertinus Serif", "DejaVu Sans Mono")'
_PROBE = f"""#set document(title: "probe", date: none)
#set text(font: {_FONTS})
#sys.inputs.note"""


def note_pdf(note: Note) -> bytes:
    """The same content as the text and the HTML. The same note gives the same bytes."""
    data = _with_charts(note)
    day = written_on(note.written_at)
    lacking = _lacking(frozenset("".join(_strings(data))))
    data = _printable(data, lacking)
    if any(category(one).startswith("L") for one in lacking):
        data["status"] += f" · {UNSHOWN}"
    if day:
        data["written_on"] = day
    template = (resources.files("endfeel.documents") / "typst" / "note.typ").read_bytes()
    standards = (ACCESSIBLE, ARCHIVABLE) if day else (ACCESSIBLE,)
    return compile_pdf(template, json.dumps(data, ensure_ascii=False), standards)


def compile_pdf(template: bytes, data: str, standards: tuple[str, ...]) -> bytes:
    """A template and its data, as JSON text, to PDF of these standards."""
    import typst

    options: dict[str, Any] = {"pdf_standards": list(standards), "sys_inputs": {"note": data}}
    paper: bytes = typst.compile(template, format="pdf", ignore_system_fonts=True, **options)
    return paper


def pages_of(template: bytes, data: str) -> int:
    """How many pages a template makes that marks their number as `<pages>`."""
    import typst

    found = typst.query(
        template, "<pages>", field="value", one=True, ignore_system_fonts=True, sys_inputs={"note": data}
    )
    return int(json.loads(found))


def written_on(written_at: str) -> dict[str, int] | None:
    """The day of a moment as written, as the typesetter takes it; None when it is not one."""
    try:
        day = date.fromisoformat(written_at[:10])
    except ValueError:
        return None
    return {"year": day.year, "month": day.month, "day": day.day}


def _with_charts(note: Note) -> dict[str, Any]:
    data = note_to_dict(note)
    for section in data["sections"]:
        for block in section["blocks"]:
            if block["points"]:
                block["svg"] = interval_chart(block["points"], block["alt"], PRINT_FONT)
            picture = block.pop("picture")
            if picture:
                block["svg"] = picture.replace(SCREEN_FONT, PRINT_FONT)
                block["percent"] = 100 if note.kind == "note" else _percent(picture)
    return data


def _percent(svg: str) -> float:
    """How much of the line a picture takes in a letter, so that it is no higher than `HIGHEST` of its width."""
    box = re.search(r'viewBox="[\d.-]+ [\d.-]+ ([\d.]+) ([\d.]+)"', svg)
    return min(100.0, 100 * HIGHEST * float(box[1]) / float(box[2])) if box else 100.0


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for one in value.values():
            yield from _strings(one)
    elif isinstance(value, list):
        for one in value:
            yield from _strings(one)
    elif isinstance(value, str):
        yield value


def _printable(value: Any, lacking: frozenset[str]) -> Any:
    if isinstance(value, dict):
        return {key: one if key in ("svg", "id", "kind") else _printable(one, lacking) for key, one in value.items()}
    if isinstance(value, list):
        return [_printable(one, lacking) for one in value]
    return printable(value, lacking) if isinstance(value, str) else value


def printable(text: str, lacking: frozenset[str]) -> str:
    """Text the bundled fonts can show: a letter they lack is a question mark, another sign stands by its name in
    brackets, very long words may break."""
    shown = "".join(_stand_in(one) if one in lacking else one for one in text)
    return _LONG.sub(lambda run: run[0] + BREAK, shown)


def _stand_in(sign: str) -> str:
    return "?" if category(sign).startswith("L") else f"[{name(sign, f'U+{ord(sign):04X}').lower()}]"


def _lacking(characters: frozenset[str]) -> frozenset[str]:
    """Characters for which no bundled font has a shape. The typesetter is asked, by halves, once a character."""
    unknown = sorted(one for one in characters if ord(one) > 126 and one not in _SEEN)
    probes = [MOST_PROBES]
    for one in _lacking_among(unknown, probes):
        _SEEN[one] = False
    for one in unknown:
        _SEEN.setdefault(one, True)
    return frozenset(one for one in characters if not _SEEN.get(one, True))


_SEEN: dict[str, bool] = {}


def _lacking_among(characters: list[str], probes: list[int]) -> list[str]:
    if not characters:
        return []
    probes[0] -= 1
    if probes[0] < 0:
        return characters
    if _shows(" ".join(characters)):
        return []
    if len(characters) == 1:
        return characters
    half = len(characters) // 2
    return _lacking_among(characters[:half], probes) + _lacking_among(characters[half:], probes)


def _shows(text: str) -> bool:
    import typst

    try:
        compile_pdf(_PROBE.encode(), text, (ACCESSIBLE,))
    except typst.TypstError as error:
        if "could not be displayed" not in str(error):
            raise
        return False
    return True
