"""Reading a free story: its words, which of them are denied, of somebody else or long past, and the cues they tell.

Grammar and phrases are data (`[story]` and the triggers of `safety_rules.toml`). Nothing is understood beyond them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from endfeel.safety.phrases import Element, Phrase, Word, find, fits_at, read_phrase

_TOKEN = re.compile(r"\d+(?:[.,]\d+)*|[^\W\d_]+(?:'[^\W\d_]+)*|[.!?;\n]|[,()]|(?<=\s)[-–—](?=\s)|[:–—]")
_SENTENCE_ENDS = ".!?;\n"
_CONTRACTED = {"can't": ("cannot",), "won't": ("will", "not"), "shan't": ("shall", "not")}


@dataclass(frozen=True, eq=False)
class StoryReader:
    """The grammar of one evidence release and its phrases, compiled once."""

    same: tuple[tuple[tuple[str, ...], str], ...]
    fillers: frozenset[str]
    deniers: frozenset[str]
    list_deniers: frozenset[str]
    """Deniers after which a bare list of things may follow."""
    turns: frozenset[str]
    verbs: frozenset[str]
    states: frozenset[str]
    list_words: Element
    people: frozenset[str]
    people_end: frozenset[str]
    """Words that bring the story back from somebody else to the person."""
    tellers: Element
    denied_after: tuple[Phrase, ...]
    unreal: tuple[Phrase, ...]
    past: tuple[Phrase, ...]
    phrases: Mapping[str, tuple[tuple[bool, Phrase], ...]]
    """`story` or `note` and the trigger's number, to its phrases, each with whether the long past counts."""

    @classmethod
    def of(cls, story: Mapping[str, Any], triggers: Sequence[Mapping[str, Any]]) -> StoryReader:
        """Compile. A phrase that names a missing set raises KeyError."""
        sets = story["sets"]

        def phrases(written: Iterable[str]) -> tuple[Phrase, ...]:
            return tuple(read_phrase(one, sets) for one in written)

        def words(name: str) -> frozenset[str]:
            return frozenset(story[name].split())

        compiled: dict[str, tuple[tuple[bool, Phrase], ...]] = {}
        for number, trigger in enumerate(triggers):
            for key in ("story", "note"):
                written = trigger["when"].get(key, ())
                ever = bool(trigger["when"].get("ever"))
                compiled[f"{key} {number}"] = tuple((ever, read_phrase(one, sets)) for one in written)
        return cls(
            same=tuple((tuple(one.split()), to) for one, to in story["same"].items()),
            fillers=words("fillers"), deniers=words("deniers"), list_deniers=words("list_deniers"),
            turns=words("turns"), verbs=words("verbs"), states=words("states"),
            list_words=read_phrase("<list_word>", sets)[0][0], people=words("people"), people_end=words("people_end"),
            tellers=read_phrase("<teller>", sets)[0][0], denied_after=phrases(story["denied_after"]),
            unreal=phrases(story["unreal"]), past=phrases(story["past"]), phrases=compiled,
        )  # fmt: skip

    def told(self, text: str) -> Mapping[str, str]:
        """Key of every trigger one of whose phrases fits, to the words of the text that fit it."""
        return _told(self, text)


@lru_cache(maxsize=1024)
def _told(reader: StoryReader, text: str) -> Mapping[str, str]:
    words = read_story(reader, text)
    present = frozenset(word.text for word in words)
    if not present:
        return {}
    told: dict[str, str] = {}
    for key, phrases in reader.phrases.items():
        for ever, phrase in phrases:
            if all(_is_present(element, present) for part in phrase for element in part):
                found = find(phrase, words, ever)
                if found is not None:
                    told[key] = " ".join(text[found[0].start : found[1].end].split())
                    break
    return told


_READERS: dict[str, StoryReader] = {}


def reader_of(release: str, rules: Mapping[str, Any]) -> StoryReader:
    """The reader of one evidence release, compiled at its first use."""
    if release not in _READERS:
        _READERS[release] = StoryReader.of(rules["story"], rules["trigger"])
    return _READERS[release]


def _is_present(element: Element, present: frozenset[str]) -> bool:
    if not present.isdisjoint(element.words) or element.gap or element.optional or element.number:
        return True
    return bool(element.stems) and any(text.startswith(element.stems) for text in present)


def read_story(reader: StoryReader, text: str) -> list[Word]:
    """The words of a text without fillers, each marked denied, of somebody else, or past where it is."""
    words, asked = _tokens(reader, text)
    sentences: dict[int, list[Word]] = {}
    for word in words:
        sentences.setdefault(word.sentence, []).append(word)
    for sentence in sentences.values():
        _mark_denied(reader, sentence)
    _mark_phrases(reader, words)
    _mark_past(reader, sentences)
    _mark_denied_after(reader, sentences, asked)
    return words


def _tokens(reader: StoryReader, text: str) -> tuple[list[Word], set[int]]:
    """Words in reading order, and the numbers of the sentences that end with a question mark."""
    words: list[Word] = []
    asked: set[int] = set()
    sentence, broken = 0, False
    for found in _TOKEN.finditer(text.lower().replace("’", "'")):
        piece = found[0]
        if piece in _SENTENCE_ENDS:
            if piece == "?":
                asked.add(sentence)
            sentence, broken = sentence + 1, False
        elif not piece[0].isalnum():
            broken = broken or piece != ":"
        else:
            for part in _parts(piece):
                words.append(Word(part, found.start(), found.end(), sentence, broken))
                broken = False
    return _without_fillers(reader, _canonical(reader, words)), asked


def _parts(token: str) -> tuple[str, ...]:
    if token in _CONTRACTED:
        return _CONTRACTED[token]
    if token.endswith("n't"):
        return token[:-3], "not"
    return (token.removesuffix("'s"),)


def _canonical(reader: StoryReader, words: list[Word]) -> list[Word]:
    """Several words that mean one are put together."""
    out: list[Word] = []
    at = 0
    while at < len(words):
        for several, one in reader.same:
            piece = words[at : at + len(several)]
            if tuple(word.text for word in piece) == several and piece[0].sentence == piece[-1].sentence:
                first = piece[0]
                out.append(Word(one, first.start, piece[-1].end, first.sentence, first.breaks_before))
                at += len(several)
                break
        else:
            out.append(words[at])
            at += 1
    return out


def _without_fillers(reader: StoryReader, words: list[Word]) -> list[Word]:
    kept: list[Word] = []
    broken: int | None = None
    for word in words:
        if word.text in reader.fillers:
            broken = word.sentence if word.breaks_before or broken == word.sentence else None
            continue
        word.breaks_before = word.breaks_before or broken == word.sentence
        broken = None
        kept.append(word)
    return kept


def _pieces(sentence: list[Word]) -> list[list[Word]]:
    pieces: list[list[Word]] = []
    for word in sentence:
        if word.breaks_before or not pieces:
            pieces.append([])
        pieces[-1].append(word)
    return pieces


def _mark_denied(reader: StoryReader, sentence: list[Word]) -> None:
    """A denial reaches to the end of its piece, over a comma only along a list, never over a turn."""
    pieces = _pieces(sentence)
    denier = ""
    for number, piece in enumerate(pieces):
        if denier and not _goes_on(reader, denier, pieces, number):
            denier = ""
        somebody = False
        for at, word in enumerate(piece):
            if word.text in reader.turns or _starts_anew(reader, piece, at):
                denier, somebody = "", False
            if word.text in reader.people_end:
                somebody = False
            word.untold = bool(denier) or somebody
            if word.text in reader.deniers:
                denier, word.denies, word.opens = word.text, True, True
            elif word.text in reader.people and not _tells(reader, piece, at):
                somebody, word.opens = True, True


def _starts_anew(reader: StoryReader, piece: list[Word], at: int) -> bool:
    """Whether an "and" begins a new statement: a verb of its own follows."""
    return piece[at].text == "and" and any(word.text in reader.verbs for word in piece[at + 1 :])


def _tells(reader: StoryReader, piece: list[Word], at: int) -> bool:
    """Whether the other person tells of this one: "sister noticed that the lid droops"."""
    return any(reader.tellers.fits(word.text) for word in piece[at + 1 : at + 3])


def _goes_on(reader: StoryReader, denier: str, pieces: list[list[Word]], number: int) -> bool:
    """Whether the piece after a comma belongs to the list of what is denied."""
    piece = pieces[number]
    if piece[0].text in ("or", "nor"):
        return True
    if denier in reader.list_deniers and all(reader.list_words.fits(word.text) for word in piece):
        return True
    for later in pieces[number:]:
        if not _is_bare(reader, denier, later):
            return False
        if any(word.text in ("or", "nor") for word in later):
            return True
    return False


def _is_bare(reader: StoryReader, denier: str, piece: list[Word]) -> bool:
    """A thing named, not a statement: no verb, no turn, and no state unless states are denied."""
    if any(word.text in reader.verbs or word.text in reader.turns for word in piece):
        return False
    return denier not in reader.list_deniers or piece[0].text not in reader.states


def _mark_phrases(reader: StoryReader, words: list[Word]) -> None:
    """What is not meant so; a denial inside turns it round again: "lost 8 kg without dieting"."""
    for phrase in reader.unreal:
        for start in range(len(words)):
            last = fits_at(phrase[0], words, start)
            meant = words[start : last + 1] if last is not None else []
            for word in [] if any(one.denies for one in meant) else meant:
                word.untold = True


def _mark_past(reader: StoryReader, sentences: Mapping[int, list[Word]]) -> None:
    """A piece with a mark of the past is past; a mark that stands alone goes with what it follows or leads."""
    for sentence in sentences.values():
        pieces = _pieces(_turned(reader, sentence))
        for number, piece in enumerate(pieces):
            lengths = [_length_of_mark(reader, piece, at) for at in range(len(piece))]
            if not any(lengths):
                continue
            marked = [piece]
            if max(lengths) == len(piece):
                marked.append(pieces[number - 1] if number else pieces[min(1, len(pieces) - 1)])
            for word in (word for one in marked for word in one):
                word.past = True


def _turned(reader: StoryReader, sentence: list[Word]) -> list[Word]:
    """The sentence as copies of breaks: a turn or a new statement opens a piece."""
    for at, word in enumerate(sentence):
        if word.text in ("now", "but", "although", "however") or (
            word.text == "and" and any(later.text in reader.verbs for later in sentence[at + 1 :])
        ):
            word.breaks_before = True
    return sentence


def _length_of_mark(reader: StoryReader, piece: list[Word], at: int) -> int:
    lasts = [fits_at(phrase[0], piece, at) for phrase in reader.past]
    return max((last - at + 1 for last in lasts if last is not None), default=0)


def _mark_denied_after(reader: StoryReader, sentences: Mapping[int, list[Word]], asked: set[int]) -> None:
    """Denied by what stands behind it: "fever: no", "chest pain denied", "Numbness? None."."""
    for number in asked:
        answer = sentences.get(number + 1)
        if answer and answer[0].text in reader.deniers and number in sentences:
            for word in sentences[number]:
                word.untold = True
    for sentence in sentences.values():
        for piece in _pieces(sentence):
            for phrase in reader.denied_after:
                for start in range(1, len(piece)):
                    if fits_at(phrase[0], piece, start) == len(piece) - 1:
                        for word in piece[:start]:
                            word.untold = True
