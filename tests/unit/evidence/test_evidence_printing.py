"""A figure cannot be printed without its source, and has one printed form with it."""

from __future__ import annotations

import jinja2
import pytest

from endfeel.evidence import Cited, Figure, Provenance, Source, cite, cited, number
from endfeel.evidence.cite import interval_text, short_citation

PARK = Source("park2005", "Park 2005 J Bone Joint Surg Am 87:1446 (as tabulated in Hegedus 2008 BJSM 42:80)", "")


def figure(label: Provenance = Provenance.READ, text: str = "0.86", unit: str = "probability") -> Figure:
    return Figure("accuracy.a1.sensitivity", 0.86, text, unit, 0.76, 0.91, 125, "clinic", PARK, label)


@pytest.mark.parametrize("what", [figure(), cited(0.5, [figure()])])
@pytest.mark.parametrize(
    "way",
    [str, "{}".format, "{:.2f}".format, lambda it: f"{it}", lambda it: f"{it:>8}", lambda it: "%s" % it],  # noqa: UP031
)
def test_every_bare_printing_refuses(what: Figure | Cited, way: object) -> None:
    assert callable(way)
    with pytest.raises(TypeError, match="carries a source"):
        way(what)


@pytest.mark.parametrize(
    "page", ["{{ it }}", "{{ 'is ' ~ it }}", "{{ '%s' | format(it) }}", "{{ it | string }}", "{{ [it] | join }}"]
)
@pytest.mark.parametrize("escaped", [True, False])
def test_a_page_that_uses_a_figure_bare_fails_instead_of_leaking_it(page: str, escaped: bool) -> None:
    environment = jinja2.Environment(autoescape=escaped)  # noqa: S701 - both kinds are tried
    for it in (figure(), cited(0.5, [figure()])):
        with pytest.raises(TypeError, match="carries a source"):
            environment.from_string(page).render(it=it)


def test_a_page_prints_a_figure_through_the_cite_filter() -> None:
    environment = jinja2.Environment(autoescape=True)
    environment.filters["cite"] = cite
    assert environment.from_string("{{ it | cite }}").render(it=figure()) == "0.86 (read, Park 2005)"


def test_what_shows_in_a_traceback_is_the_id_alone() -> None:
    assert repr(figure()) == "<Figure accuracy.a1.sensitivity>"
    assert repr(cited(0.5, [figure()])) == "<Cited from accuracy.a1.sensitivity>"
    assert "0.86" not in repr([figure()])


def test_the_mark_stands_before_what_was_recalled_or_is_custom() -> None:
    assert cite(figure(Provenance.MEMORY)) == "†0.86 (memory, Park 2005)"
    assert cite(figure(Provenance.PRACTICE, "12", "minutes")) == "‡12 minutes (practice, Park 2005)"


def test_a_computed_value_prints_its_weakest_label_and_how_many_figures_stand_behind_it() -> None:
    other = Figure("error.e1.sem", 2.0, "2.0", "deg", None, None, None, "", PARK, Provenance.MEMORY)
    both = cited(3.4567, [figure(), other, cited(1.0, [figure()], ["small study"])])
    assert cite(both) == "†3.46 (memory, from 2 figures)"
    assert cite(both, digits=0) == "†3 (memory, from 2 figures)"
    assert cite(cited(100.0, [figure()])) == "100 (read, from 1 figure)"
    assert cite(cited(100.0, [figure()]), digits=0) == "100 (read, from 1 figure)"
    assert both.caveats == ("small study",)
    assert number(both) == 3.4567


def test_nothing_can_be_computed_from_no_figure() -> None:
    with pytest.raises(ValueError, match="at least one figure"):
        cited(1.0, [])


@pytest.mark.parametrize(
    ("citation", "short"),
    [
        ("Park 2005 J Bone Joint Surg Am 87:1446", "Park 2005"),
        ("de Groot and Brand 2001 Clin Biomech 16:735-743", "de Groot 2001"),
        ("van Tongel et al. 2014 BMC Musculoskelet Disord", "van Tongel 2014"),
        ("Wu G et al. J Biomech 2005;38:981-992", "Wu 2005"),
        ("common practice of the trade, no publication", "common practice of the trade"),
    ],
)
def test_the_short_form_of_a_citation_is_author_and_year(citation: str, short: str) -> None:
    assert short_citation(Source("x", citation, "")) == short


def test_an_interval_is_told_apart_from_a_range() -> None:
    assert interval_text(figure()) == "0.76 to 0.91"
    assert interval_text(Figure("a.b.c", None, "8 to 10", "deg", 8, 10, None, "", PARK, Provenance.READ)) == ""
    assert interval_text(Figure("a.b.c", 9, "9", "deg", None, 10, None, "", PARK, Provenance.READ)) == "up to 10"
