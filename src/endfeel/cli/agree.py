"""`endfeel agree`: agreement between examiners, from a CSV file."""

from __future__ import annotations

import argparse
import math
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from endfeel.cli.agree_more import configure_more, people_needed, print_together, simulate_file, write_plot
from endfeel.cli.case_file import case_text_of
from endfeel.cli.terminal import footer, print_json, say, style
from endfeel.measurement.agreement import Agreement, PairAgreement, Ratings, agreement, read_ratings
from endfeel.measurement.kappa import Coefficient
from endfeel.vocabulary import CAUTIONS, CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.evidence.library import Library
    from endfeel.inference import OwnAgreement, OwnError

ICC_NAMES = {
    "icc_1_1": "one-way, single",
    "icc_2_1": "agreement, single",
    "icc_3_1": "consistency, single",
    "icc_1_k": "one-way, mean",
    "icc_2_k": "agreement, mean",
    "icc_3_k": "consistency, mean",
}


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "file", nargs="?", help="CSV: a column an examiner and a line a subject, or columns subject, rater, value"
    )
    parser.add_argument("--kind", choices=["nominal", "ordinal", "continuous"], help="detected when not given")
    parser.add_argument("--order", help="categories of an ordinal scale of words, least to most, comma between")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    configure_more(parser)
    own = parser.add_argument_group("one examiner's own agreement, for `endfeel reason CASE --hands`")
    own.add_argument("--hands", metavar="OUT.toml", help="add or replace this examiner's rows in the file")
    own.add_argument("--examiner", metavar="NAME", help="the examiner, as named in the ratings")
    own.add_argument("--of", metavar="PROCEDURE", help="the procedure that was rated")
    own.add_argument(
        "--outcome", help="what was rated yes or no (pain, positive, hypo ...); not for grades and degrees"
    )


def run(options: argparse.Namespace) -> int:
    """Read the ratings, print every statistic that fits their kind."""
    from endfeel.evidence.load import load_library

    library = load_library()
    release = library.release
    if options.people_for:
        return people_needed(options.people_for, release)
    if not options.file:
        raise CannotRead([Fault("no file of ratings", would_do="the path of a CSV file, or --people-for")])
    if options.simulate:
        simulate_file(options)
    order = [word.strip() for word in options.order.split(",")] if options.order else []
    ratings = read_ratings(
        case_text_of(options.file, "a CSV file of ratings"),
        file=Path(options.file).name,
        kind=options.kind,
        order=order,
    )
    result = agreement(ratings)
    rows = _write_own(options, ratings, library)
    if options.svg:
        write_plot(options, result)
    if options.json:
        told = {"own": [asdict(row) for row in rows]} if rows else {}
        print_json({**agreement_dict(result), **told, "release": release, "cautions": list(CAUTIONS)})
    else:
        _print(result)
        if rows:
            _print_own(rows, options)
        footer(release)
    return 0


def _write_own(options: argparse.Namespace, ratings: Ratings, library: Library) -> tuple[OwnAgreement | OwnError, ...]:
    """Estimate one examiner's rows and write them into --hands. Raises CannotRead; then nothing is written."""
    asked = [options.hands, options.examiner, options.of]
    if not any((*asked, options.outcome)):
        return ()
    if not all(asked):
        would = "all of --hands OUT.toml --examiner NAME --of PROCEDURE"
        raise CannotRead([Fault("own agreement needs a file, an examiner and a procedure", would_do=would)])
    from endfeel.cli.own_hands import WANTED
    from endfeel.inference.hands_file import measured_angles, with_rows
    from endfeel.inference.own_agreement import own_rows
    from endfeel.inference.parameters import Parameters

    rows = own_rows(
        ratings, options.examiner, library.catalogue[options.of], options.outcome,
        Parameters.of(library.documents["inference"]),
        measured=options.of in measured_angles(library), file=Path(options.file).name,
    )  # fmt: skip
    out = Path(options.hands)
    before = case_text_of(options.hands, WANTED) if out.exists() else ""
    out.write_text(with_rows(before, rows, options.examiner, out.name, library), encoding="utf-8", newline="")
    return rows


def _print_own(rows: tuple[OwnAgreement | OwnError, ...], options: argparse.Namespace) -> None:
    from endfeel.inference import OwnAgreement

    print(style(f"{options.examiner}, into {options.hands}", "bold"))
    for row in rows:
        if isinstance(row, OwnAgreement):
            word = "sooner" if row.lean > 0 else "later"
            told = (
                f"reports it {word} than the others, lean {row.lean:+.2f}"
                if row.lean
                else "reports it as readily as the others"
            )
            print(f"  {row.place}, {row.outcome}: kappa {row.kappa:.2f} on {row.subjects} people; {told}")
        else:
            print(f"  {row.procedure}: standard error {row.sd_deg:.1f} degrees on {row.subjects} people")


def agreement_dict(result: Agreement) -> dict[str, Any]:
    """The agreement as plain JSON values; a coefficient that is not defined is null."""
    whole = asdict(result)
    whole["together"] = [
        {**one, "value": one["drawn"]["value"] if math.isnan(one["analytic"]["value"]) else one["analytic"]["value"]}
        for one in whole["together"]
    ]
    whole["ratings"] = {
        "raters": list(result.ratings.raters),
        "subjects": len(result.ratings.rows),
        "kind": result.ratings.kind.value,
        "categories": list(result.ratings.categories),
        "dropped": result.ratings.dropped,
    }
    return _finite(whole)  # type: ignore[no-any-return]


def _finite(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _finite(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(one) for one in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value


def _print(result: Agreement) -> None:
    ratings = result.ratings
    print(style(f"{len(ratings.rows)} subjects, {len(ratings.raters)} examiners, {ratings.kind.value} ratings", "head"))
    for pair in result.pairs:
        _print_pair(pair, ratings.kind.value == "ordinal")
    if result.fleiss:
        print(f"All examiners: Fleiss kappa {_shown(result.fleiss)}")
    if result.reliability:
        print(style("Reliability", "bold"))
        for form, value in result.reliability.forms.items():
            print(f"  {_icc_name(form):9} {ICC_NAMES[form]:20} {_shown(value)}")
        sem = result.reliability
        print(f"  SEM {sem.sem_agreement:.3g} with, {sem.sem_consistency:.3g} without the steady examiner difference")
    print_together(result)
    if len({value for row in ratings.rows for value in row if value is not None}) == 1:
        say("All ratings are the same: there is nothing to tell subjects apart by, so no coefficient has a value. Only "
            "the per cent agreement or the mean difference stands.", "Note: ", "warn")  # fmt: skip
    for caveat in result.caveats:
        say(caveat, "Note: ", "warn")


def _icc_name(form: str) -> str:
    """`ICC(2,1)` from `icc_2_1`."""
    _, model, raters = form.split("_")
    return f"ICC({model},{raters})"


def _print_pair(pair: PairAgreement, ordered: bool) -> None:
    print(style(f"{pair.first} and {pair.second}", "bold"))
    if pair.categories:
        table = pair.categories
        print(f"  per cent agreement   {_shown(table.agreement, 100, 0)}")
        print(f"  kappa                {_shown(table.kappa)}, largest possible {_plain(table.kappa_max)}")
        print(f"  PABAK                {_plain(table.pabak)}")
        print(f"  AC1                  {_shown(table.ac1)}")
        if pair.indices:
            _print_shares(pair)
        if ordered:
            print(f"  weighted, linear     {_shown(table.weighted_linear)}")
            print(f"  weighted, quadratic  {_shown(table.weighted_quadratic)}")
    if pair.limits:
        limits = pair.limits
        print(f"  mean difference      {_shown(limits.mean_difference)}")
        print(f"  limits of agreement  {_shown(limits.lower)} and {_shown(limits.upper)}")


def _print_shares(pair: PairAgreement) -> None:
    """How often each category was chosen: why kappa may be low though they mostly agree."""
    assert pair.indices  # noqa: S101
    for one in pair.indices.shares:
        agreed = f", agreed on {one.specific:.0%} of it" if one.specific is not None else ""
        print(f"  “{one.category}” chosen    {pair.first} {one.first:.0%}, {pair.second} {one.second:.0%}{agreed}")
    if pair.indices.prevalence_index is not None and pair.indices.bias_index is not None:
        prevalence, bias = pair.indices.prevalence_index, pair.indices.bias_index
        print(f"  prevalence index     {prevalence:.2f}, bias index {bias:.2f} (0: neither pulls kappa from PABAK)")


def _plain(value: float) -> str:
    return "not defined" if math.isnan(value) else f"{value:.2f}"


def _shown(value: Coefficient, factor: float = 1, digits: int = 2) -> str:
    if math.isnan(value.value):
        return "not defined"
    if math.isnan(value.low) or math.isnan(value.high):
        return f"{factor * value.value:.{digits}f} (interval not defined)"
    middle, low, high = (f"{factor * one:.{digits}f}" for one in (value.value, value.low, value.high))
    return f"{middle} (95 % interval {low} to {high})"
