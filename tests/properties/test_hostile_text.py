"""Whatever somebody sends as text is read, or refused with a clear error: a short look; `make fuzz` looks longer."""

from __future__ import annotations

import time

import pytest
from fuzz.targets import TARGETS, run, seeds, words
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.vocabulary import CannotRead

MANY = "1" * 5000
FOUND = (
    ("fhir", MANY),
    ("fhir", f'{{"resourceType":"Observation","valueInteger":{MANY}}}'),
    ("visits", '[{"date":"2026-01-05","measures":5}]'),
    ("visits", '[{"date":"2026-01-05","findings":"ab"}]'),
    ("visits", '[{"date":"2026-01-05","measures":[{"measure":"spadi","total":NaN}]}]'),
    ("visits", "date,measure,total\n2026-01-05,spadi,1e999"),
    ("visits", "[" * 100_000),
    ("visits", f'{{"visits":[{{"date":{MANY}}}]}}'),
    ("table", '"' + "x" * 200_000),
)
"""Each once ended in an error that was not ours."""


@pytest.mark.parametrize(("name", "text"), FOUND, ids=[f"{name}-{at}" for at, (name, _) in enumerate(FOUND)])
def test_what_was_found_by_fuzzing_is_said_clearly(name: str, text: str) -> None:
    with pytest.raises(CannotRead) as refused:
        TARGETS[name](text)
    assert all(0 < len(fault.sentence()) < 600 for fault in refused.value.faults)


def text_like(name: str) -> st.SearchStrategy[str]:
    """Text made of what such text holds, of anything, and of what was written well with a piece put in."""
    pieces = st.one_of(
        st.sampled_from(words(name)), st.text(max_size=6), st.sampled_from(["\n", ": ", ",", " ", "9" * 400])
    )
    made = st.lists(pieces, max_size=25).map(" ".join)
    written = st.builds(
        lambda text, at, piece, gone: text[: at % (len(text) + 1)] + piece + text[at % (len(text) + 1) + gone :],
        st.sampled_from([one[:3000] for one in seeds(name)]),
        st.integers(0, 3000),
        pieces,
        st.integers(0, 12),
    )
    return st.one_of(made, written)


@pytest.mark.parametrize("name", [name for name in TARGETS if name != "fhir_kept"])
def test_any_text_is_read_or_refused_clearly(name: str) -> None:
    @settings(max_examples=60, deadline=None, database=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(text_like(name))
    def try_it(text: str) -> None:
        run(TARGETS[name], text)

    try_it()


def test_a_table_of_words_that_name_nothing_is_read_soon() -> None:
    """It took 18 seconds of the processor when every cell was looked up; a page waits that long for nobody."""
    words_of_nothing = [f"zq{row:03d}{column:02d}x" for row in range(480) for column in range(39)]
    rows = (";".join(words_of_nothing[at : at + 39]) for at in range(0, len(words_of_nothing), 39))
    began = time.process_time()
    run(TARGETS["table"], "\n".join(rows))
    assert time.process_time() - began < 9
