"""Every page's template uses just what its record holds, and every page is titled and labelled."""

from __future__ import annotations

import inspect
import re
from dataclasses import fields

import pytest
from jinja2 import meta, nodes

from lees.web import pages

KINDS = [
    kind
    for _, kind in inspect.getmembers(pages, inspect.isclass)
    if isinstance(kind.__dict__.get("template"), str)
]
GIVEN = {"field_id"}  # what all templates may call


def templates_of(name: str) -> set[str]:
    """Return a template with those that it extends or includes."""
    source = (pages.FOLDER / "templates" / name).read_text(encoding="utf-8")
    tree = pages.templates().parse(source)
    found = {name}
    for other in meta.find_referenced_templates(tree):
        if other is not None:
            found |= templates_of(other)
    return found


def asked_for(name: str) -> set[str]:
    asked: set[str] = set()
    for one in templates_of(name):
        source = (pages.FOLDER / "templates" / one).read_text(encoding="utf-8")
        tree = pages.templates().parse(source)
        imported = {name for one in tree.find_all(nodes.FromImport) for name in one.names}
        asked |= meta.find_undeclared_variables(tree) - imported
    return asked - GIVEN


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_template_asks_for_nothing_that_its_page_does_not_hold(kind):
    assert asked_for(kind.template) <= {field.name for field in fields(kind)}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_page_holds_nothing_that_its_template_does_not_use(kind):
    base = {field.name for field in fields(pages.Page)} | {
        field.name for field in fields(pages.CasePage)
    }
    own = {field.name for field in fields(kind)} - base
    assert own <= asked_for(kind.template)


def test_no_template_is_without_a_record():
    used = set().union(*(templates_of(kind.template) for kind in KINDS))
    assert {path.name for path in (pages.FOLDER / "templates").glob("*.html")} == used


@pytest.mark.parametrize("path", sorted((pages.FOLDER / "templates").glob("*.html")))
def test_templates_run_no_script_of_their_own(path):
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=|javascript:", text)
    assert not re.search(r"""(?:src|href|action)=["'](?:https?:)?//""", text)


@pytest.mark.parametrize("path", sorted(pages.STATIC.glob("*.*s")))
def test_files_of_ours_ask_nobody_else(path):
    if path.name.startswith("htmx"):
        return
    assert not re.search(r"https?://(?!www\.w3\.org)", path.read_text(encoding="utf-8"))
