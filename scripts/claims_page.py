"""Tables of docs/claims.md, computed: stress tests, claims about clavicle and glides, publications.

python scripts/claims_page.py                       print them
python scripts/claims_page.py --write               put them into docs/claims.md (1,000 shoulders: ten minutes)
python scripts/claims_page.py --people 60 --write   the same of fewer
"""

from __future__ import annotations

import argparse
from pathlib import Path

from endfeel.cli.claims import people_of
from endfeel.cli.claims_tables import claim_tables, study_tables
from endfeel.evidence.load import load_library

PAGE = Path(__file__).resolve().parents[1] / "docs" / "claims.md"


def placed(page: str, tables: dict[str, str]) -> str:
    """The page with every table between its two marks."""
    for name, table in tables.items():
        before, mark, after = page.partition(f"<!-- {name} -->\n")
        if not mark or "<!-- end -->" not in after:
            raise SystemExit(f"no place for the table {name!r} in {PAGE.name}")
        page = f"{before}{mark}{table}\n<!-- end -->{after.partition('<!-- end -->')[2]}"
    return page


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--people", type=int, default=1000, help="shoulders drawn (default 1000)")
    parser.add_argument("--seed", type=int, default=0, help="decides who they are (default 0)")
    parser.add_argument("--write", action="store_true", help="put the tables into docs/claims.md")
    options = parser.parse_args()
    library = load_library()
    people = people_of(library, options.people, options.seed)
    made = claim_tables(library, people) | study_tables(library, people)
    if options.write:
        PAGE.write_text(placed(PAGE.read_text(encoding="utf-8"), made), encoding="utf-8")
    else:
        for name, table in made.items():
            print(f"## {name}\n{table}\n")


if __name__ == "__main__":
    main()
