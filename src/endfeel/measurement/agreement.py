"""Ratings by several examiners, read from CSV text and summed up."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

from endfeel.measurement.icc import Reliability, reliability
from endfeel.measurement.kappa import Coefficient, TwoRaters, fleiss_kappa, two_raters
from endfeel.measurement.limits_of_agreement import LimitsOfAgreement, limits_of_agreement
from endfeel.measurement.prevalence import Indices, indices
from endfeel.measurement.together import Statistic, of_categories, of_readings
from endfeel.vocabulary import CannotRead, Fault

LONG_FORM = ("subject", "rater", "value")
FEW_SUBJECTS = 30
MOST_GRADES = 10
"""Whole numbers of at most this many different values are taken for grades, not measurements."""


class Kind(StrEnum):
    NOMINAL = "nominal"
    ORDINAL = "ordinal"
    CONTINUOUS = "continuous"


@dataclass(frozen=True, slots=True)
class Ratings:
    """Complete ratings: one row a subject, one column an examiner."""

    raters: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    kind: Kind
    categories: tuple[str, ...]
    """In order where the kind is ordinal; empty for measurements."""
    dropped: int
    """Subjects left out because a rating was missing."""
    gappy: tuple[tuple[str, ...], ...] = ()
    """Every subject that was rated by two or more; empty cells where a rating is missing."""


@dataclass(frozen=True, slots=True)
class PairAgreement:
    first: str
    second: str
    categories: TwoRaters | None
    limits: LimitsOfAgreement | None
    indices: Indices | None = None
    """How often each category was chosen, prevalence and bias: why kappa may be low."""


@dataclass(frozen=True, slots=True)
class Agreement:
    """What a file of ratings says about its examiners."""

    ratings: Ratings
    pairs: tuple[PairAgreement, ...]
    fleiss: Coefficient | None
    reliability: Reliability | None
    caveats: tuple[str, ...]
    together: tuple[Statistic, ...] = ()
    """Every coefficient for all examiners at once, subjects with gaps included where it can take them."""


def read_ratings(text: str, *, file: str = "", kind: str | None = None, order: Sequence[str] = ()) -> Ratings:
    """Ratings from CSV text: a column an examiner, or the columns subject, rater, value.

    `kind` is detected when not given: words are nominal, few whole numbers ordinal, other numbers continuous.
    `order` names the categories of an ordinal scale of words from least to most.
    Raises CannotRead with every fault, each with line and column.
    """
    lines = _lines(text.lstrip("\ufeff"), file)
    numbered = [
        (number, [cell.strip() for cell in cells])
        for number, cells in enumerate(lines, 1)
        if any(map(str.strip, cells))
    ]
    if len(numbered) < 3:
        raise CannotRead([Fault("too few lines", str(len(numbered)), "a header and at least two subjects", file=file)])
    header = [cell.lower() for cell in numbered[0][1]]
    faults: list[Fault] = []
    if sorted(header) == sorted(LONG_FORM):
        raters, cells = _long(header, numbered[1:], file, faults)
    else:
        raters, cells = _wide(numbered[0][1], numbered[1:], file, faults)
    chosen = _kind(kind, cells, order, file, faults)
    if not faults and chosen is not Kind.NOMINAL:
        faults += _bad_cells(cells, chosen, order, file)
    numeric = chosen is Kind.ORDINAL and not order and not faults
    told = [tuple(_grade(value) if numeric and value else value for value, _, _ in row) for row in cells]
    complete = [row for row in told if all(row)]
    if not faults and len(complete) < 2:
        wanted = "at least two subjects rated by everybody"
        faults.append(Fault("too few complete subjects", str(len(complete)), wanted, file=file))
    if faults:
        raise CannotRead(faults)
    gappy = tuple(row for row in told if sum(map(bool, row)) > 1)
    return Ratings(
        tuple(raters), tuple(complete), chosen, _categories(list(gappy), chosen, order), len(cells) - len(complete),
        gappy,
    )  # fmt: skip


def _lines(text: str, file: str) -> list[list[str]]:
    reader = csv.reader(text.splitlines())
    try:
        return list(reader)
    except csv.Error as error:
        raise CannotRead([Fault(f"not CSV: {error}", line=reader.line_num, would_do="plain CSV", file=file)]) from error


Cell = tuple[str, int, int]
"""Value, line, column."""


def _wide(
    header: list[str], lines: list[tuple[int, list[str]]], file: str, faults: list[Fault]
) -> tuple[list[str], list[list[Cell]]]:
    kept = [at for at, name in enumerate(header) if name.lower() not in ("subject", "id", "patient")]
    if len(kept) < 2:
        faults.append(Fault("fewer than two examiners", ", ".join(header), "a column an examiner", line=1, file=file))
    repeated = [name for name, times in Counter(header).items() if times > 1]
    faults += [
        Fault("two columns of one name", name, "a name for each examiner", line=1, file=file) for name in repeated
    ]
    rows: list[list[Cell]] = []
    for number, cells in lines:
        if len(cells) != len(header):
            faults.append(
                Fault("another number of cells", str(len(cells)), f"{len(header)} cells", line=number, file=file)
            )
            continue
        rows.append([(_value(cells[at]), number, at + 1) for at in kept])
    return [header[at] for at in kept], rows


def _long(
    header: list[str], lines: list[tuple[int, list[str]]], file: str, faults: list[Fault]
) -> tuple[list[str], list[list[Cell]]]:
    at = {name: header.index(name) for name in LONG_FORM}
    table: dict[str, dict[str, Cell]] = {}
    raters: dict[str, None] = {}
    for number, cells in lines:
        if len(cells) != len(header):
            faults.append(
                Fault("another number of cells", str(len(cells)), "subject, rater, value", line=number, file=file)
            )
            continue
        subject, rater = cells[at["subject"]], cells[at["rater"]]
        raters[rater] = None
        own = table.setdefault(subject, {})
        if rater in own:
            wanted = "one value for each subject and rater"
            faults.append(Fault("rated twice", f"{subject}, {rater}", wanted, line=number, file=file))
        own[rater] = (_value(cells[at["value"]]), number, at["value"] + 1)
    if len(raters) < 2:
        faults.append(Fault("fewer than two examiners", ", ".join(raters), "two raters or more", file=file))
    return list(raters), [[own.get(rater, ("", 0, 0)) for rater in raters] for own in table.values()]


def _value(cell: str) -> str:
    return "" if cell.lower() in ("", "-", "na", "n/a", ".") else cell


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if abs(value) < float("inf") else None


def _grade(text: str) -> str:
    """One spelling for one grade: 2, 2.0 and 02 are the same."""
    return f"{float(text):g}"


def _kind(kind: str | None, cells: list[list[Cell]], order: Sequence[str], file: str, faults: list[Fault]) -> Kind:
    if kind is not None:
        if kind not in set(Kind):
            faults.append(Fault("unknown kind", kind, "nominal, ordinal or continuous", file=file))
            return Kind.NOMINAL
        return Kind(kind)
    if order:
        return Kind.ORDINAL
    values = {value for row in cells for value, _, _ in row if value}
    numbers = [_number(value) for value in values]
    read = [number for number in numbers if number is not None]
    if 2 * len(read) <= len(values):
        return Kind.NOMINAL
    whole = all(number == int(number) for number in read)
    return Kind.ORDINAL if whole and len(values) <= MOST_GRADES else Kind.CONTINUOUS


def _bad_cells(cells: list[list[Cell]], kind: Kind, order: Sequence[str], file: str) -> list[Fault]:
    given = [cell for row in cells for cell in row if cell[0]]
    if order:
        bad = [cell for cell in given if cell[0] not in order]
        wanted = f"one of {', '.join(order)}"
    else:
        bad = [cell for cell in given if _number(cell[0]) is None]
        wanted = "a number" if kind is Kind.CONTINUOUS else "a number, or the order of the words (--order)"
    return [
        Fault("cell cannot be read", value, f"{wanted}; blank or - when missing", line=line, column=column, file=file)
        for value, line, column in bad
    ]


def _categories(rows: list[tuple[str, ...]], kind: Kind, order: Sequence[str]) -> tuple[str, ...]:
    if kind is Kind.CONTINUOUS:
        return ()
    seen = {value for row in rows for value in row if value}
    if order:
        return tuple(order)
    if kind is Kind.NOMINAL:
        return tuple(sorted(seen))
    numbers = sorted({_number(value) or 0.0 for value in seen})
    whole = all(number == int(number) for number in numbers)
    if whole and numbers[-1] - numbers[0] < MOST_GRADES:
        return tuple(str(whole) for whole in range(int(numbers[0]), int(numbers[-1]) + 1))
    return tuple(f"{number:g}" for number in numbers)


def agreement(ratings: Ratings) -> Agreement:
    """Every statistic that fits the kind of ratings, for each pair of examiners and for all together.

    Raises CannotRead when the ratings do not vary enough to say anything.
    """
    gaps = f"{ratings.dropped} subjects left out where everybody is needed: a rating was missing"
    caveats = [gaps] if ratings.dropped else []
    if ratings.kind is Kind.CONTINUOUS:
        return _of_measurements(ratings, caveats)
    if len(ratings.rows) < FEW_SUBJECTS:
        caveats.append(f"{len(ratings.rows)} subjects: large-sample intervals are rough, read them as too narrow")
    return _of_categories(ratings, caveats)


def _of_measurements(ratings: Ratings, caveats: list[str]) -> Agreement:
    readings = [[float(value) for value in row] for row in ratings.rows]
    if len({value for row in readings for value in row}) == 1:
        raise CannotRead([Fault("every reading is the same", f"{readings[0][0]:g}", "readings that vary")])
    pairs = []
    if len(readings) >= 3:
        columns = list(zip(*readings, strict=True))
        pairs = [
            PairAgreement(ratings.raters[a], ratings.raters[b], None, limits_of_agreement(columns[a], columns[b]))
            for a, b in combinations(range(len(columns)), 2)
        ]
    gappy = [[float(value) if value else None for value in row] for row in ratings.gappy]
    return Agreement(ratings, tuple(pairs), None, reliability(readings), tuple(caveats), of_readings(gappy))


def _of_categories(ratings: Ratings, caveats: list[str]) -> Agreement:
    place = {category: at for at, category in enumerate(ratings.categories)}
    coded = [[place[value] for value in row] for row in ratings.rows]
    size = len(ratings.categories)
    if size < 2:
        caveats.append("everybody used one category: kappa is not defined")
    pairs = []
    for a, b in combinations(range(len(ratings.raters)), 2):
        counts = [[0.0] * size for _ in range(size)]
        for row in coded:
            counts[row[a]][row[b]] += 1
        told = indices(counts, ratings.categories)
        pairs.append(PairAgreement(ratings.raters[a], ratings.raters[b], two_raters(counts), None, told))
    together = None
    if len(ratings.raters) > 2 and size > 1:
        together = fleiss_kappa([[row.count(category) for category in range(size)] for row in coded])
    gappy = [[place[value] if value else None for value in row] for row in ratings.gappy]
    everybody = of_categories(gappy, size, ordered=ratings.kind is Kind.ORDINAL) if size > 1 else ()
    return Agreement(ratings, tuple(pairs), together, None, tuple(caveats), everybody)
