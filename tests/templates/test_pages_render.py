"""Bases, error pages and form parts render as they must, also with nothing at hand."""

from __future__ import annotations

import re

import pytest
from django import forms
from django.template import engines
from django.template.loader import get_template, render_to_string

ERROR_PAGES = ["400.html", "403.html", "403_csrf.html", "404.html", "500.html"]


class SpanForm(forms.Form):
    """A field with a hint, an optional one and a tick."""

    span = forms.IntegerField(help_text="Clear, between bearings.")
    note = forms.CharField(required=False)
    ceiling = forms.BooleanField(required=False, label="Ceiling below")


def test_error_pages_need_no_context_and_no_request() -> None:
    for name in ERROR_PAGES:
        page = get_template(name).render()
        assert page.count("<h1>") == 1
        assert 'href="/"' in page


def test_error_pages_name_the_request_where_it_is_known() -> None:
    assert "ab12cd" in render_to_string("404.html", {"request_id": "ab12cd"})
    assert "name this request" not in render_to_string("404.html")


@pytest.mark.parametrize("base", ["base.html", "base_builder.html"])
def test_a_base_offers_skip_link_one_heading_and_live_region(base: str) -> None:
    source = f'{{% extends "{base}" %}}{{% block heading %}}Quotes{{% endblock %}}'
    page = engines["django"].from_string(source).render({})
    assert page.index('href="#main"') < page.index('id="main"')
    assert re.findall(r"<h1[^>]*>(.*?)</h1>", page) == ["Quotes"]
    assert 'id="live" role="status" aria-live="polite"' in page


def test_the_menu_marks_the_current_entry_in_both_widths() -> None:
    entries = [
        {"label": "Today", "url": "/", "current": False},
        {"label": "Quotes", "url": "/q/", "current": True},
    ]
    page = render_to_string("base.html", {"nav": entries})
    assert page.count('<a href="/q/" aria-current="page">Quotes</a>') == 2
    assert page.count("aria-current") == 2


def test_a_field_is_tied_to_its_label_hint_and_error() -> None:
    form = SpanForm({"span": "wide"})
    html = render_to_string("includes/form.html", {"form": form})
    described = re.search(r'<input type="number"[^>]*aria-describedby="([^"]+)"', html)
    assert described is not None
    ids = set(re.findall(r'\bid="([^"]+)"', html))
    assert described[1].split() == ["id_span_helptext", "id_span_error"]
    assert set(described[1].split()) <= ids
    assert set(re.findall(r'<label[^>]* for="([^"]+)"', html)) == {"id_span", "id_note", "id_ceiling"}
    assert html.count("(optional)") == 1


def test_the_error_summary_links_to_the_field_and_takes_the_focus() -> None:
    html = render_to_string("includes/error_summary.html", {"form": SpanForm({"span": "wide"})})
    assert 'href="#id_span"' in html
    assert "autofocus" in html
    assert render_to_string("includes/error_summary.html", {"form": SpanForm({"span": "3"})}).strip() == ""


@pytest.mark.parametrize(
    ("state", "asks_again"), [("waiting", True), ("started", True), ("done", False), ("parked", False)]
)
def test_a_page_asks_itself_for_its_work_and_takes_over_named_parts(state: str, asks_again: bool) -> None:
    context = {"job": {"pk": 7, "state": state}, "page_url": "/quotes/abc/", "parts": "#actions, #stages"}
    html = render_to_string("includes/job.html", context)
    assert ('hx-get="/quotes/abc/"' in html) is asks_again
    assert ('hx-select-oob="#actions, #stages"' in html) is asks_again


def test_a_paper_names_its_number_revision_and_cautions() -> None:
    context = {
        "paper_name": "Quote",
        "paper_number": "Q-2026-0001",
        "paper_revision": "R2",
        "cautions": ["Brace it."],
    }
    html = render_to_string("pdf/_paper.html", context | {"paper_size": "a4"})
    assert '<body class="a4">' in html
    assert html.index("Q-2026-0001") < html.index("Brace it.")
    assert "url(&" not in html
