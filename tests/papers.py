"""Reading documents back: what a page, a text and a PDF say, whatever their line breaks."""

from __future__ import annotations

import io
import re
from html import unescape
from html.parser import HTMLParser

from pypdf import PdfReader
from pypdf.generic import DictionaryObject, IndirectObject


def squeezed(text: str) -> str:
    """Without white space and break marks: papers wrap where they like."""
    return re.sub(r"[\s\u200b\u00ad]+", "", text)


def html_words(page: str) -> str:
    """The words of a page of HTML."""
    body = page[page.index("<body>") :] if "<body>" in page else page
    return squeezed(unescape(re.sub(r"<[^>]*>", "", re.sub(r"</?(?:wbr|bdi)>", "", body))))


def pdf_words(paper: bytes) -> str:
    """The words of all pages, without the footer that stands between them."""
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(paper)).pages]
    return squeezed("".join(re.sub(r"Supports licensed clinicians; [^/]*?\d+ / \d+\s*$", "", page) for page in pages))


class Tags(HTMLParser):
    """The tags of a page with the names of their attributes, in order, without what only breaks or isolates words."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in ("wbr", "bdi"):
            self.found.append(f"{tag} {' '.join(name for name, _ in attrs)}")


def metadata(paper: bytes) -> str:
    """The XMP packet of a PDF."""
    root = PdfReader(io.BytesIO(paper)).trailer["/Root"]
    return str(root["/Metadata"].get_data().decode())  # type: ignore[index]


def objects(paper: bytes) -> list[DictionaryObject]:
    """Every dictionary of a PDF, in the order of its cross-reference table."""
    reader = PdfReader(io.BytesIO(paper))
    found = []
    for number in range(1, int(reader.trailer["/Size"])):  # type: ignore[call-overload]
        one = IndirectObject(number, 0, reader).get_object()
        if isinstance(one, DictionaryObject):
            found.append(one)
    return found
