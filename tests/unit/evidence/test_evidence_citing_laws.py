"""Laws of computed values: the weakest label wins, no figure is lost, order does not matter."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from endfeel.evidence import Cited, Figure, Provenance, Source, cite, cited, number

LABELS = st.sampled_from(list(Provenance))
VALUES = st.floats(-1e6, 1e6, allow_nan=False)


@st.composite
def figures(draw: st.DrawFn) -> Figure:
    name = draw(st.sampled_from("abcdef"))
    label = draw(LABELS)
    source = Source("s", "Somebody 2001", "")
    return Figure(f"t.{name}.{label.label}", 1.0, "1", "mm", None, None, None, "", source, label)


@st.composite
def cited_values(draw: st.DrawFn) -> Cited:
    return cited(
        draw(VALUES), draw(st.lists(figures(), min_size=1, max_size=4)), draw(st.lists(st.text(max_size=3), max_size=2))
    )


SOMETHING = st.lists(st.one_of(figures(), cited_values()), min_size=1, max_size=5)


@given(VALUES, SOMETHING)
def test_a_computed_value_is_as_weak_as_the_weakest_of_its_figures(value: float, used: list[Figure | Cited]) -> None:
    made = cited(value, used)
    assert made.provenance == max(one.provenance for one in used)
    assert number(made) == value
    assert made.provenance.label in cite(made)


@given(VALUES, SOMETHING)
def test_no_figure_and_no_caveat_is_lost_and_none_is_counted_twice(value: float, used: list[Figure | Cited]) -> None:
    made = cited(value, used)
    wanted = {one.id for one in used if isinstance(one, Figure)}
    wanted.update(figure_id for one in used if isinstance(one, Cited) for figure_id in one.figures)
    assert set(made.figures) == wanted
    assert len(made.figures) == len(wanted)
    assert set(made.caveats) == {caveat for one in used if isinstance(one, Cited) for caveat in one.caveats}


@given(VALUES, SOMETHING)
def test_wrapping_in_two_steps_says_the_same_as_in_one(value: float, used: list[Figure | Cited]) -> None:
    once, twice = cited(value, used), cited(value, [cited(0.0, used)])
    assert (set(once.figures), once.provenance) == (set(twice.figures), twice.provenance)
    back = cited(value, list(reversed(used)))
    assert (set(once.figures), once.provenance) == (set(back.figures), back.provenance)
