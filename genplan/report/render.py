"""Filling in the templates: escaping always on, and a page that may load nothing."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from typing import TYPE_CHECKING

from genplan.language.templates import speak_in
from genplan.report.names_and_words import clean

if TYPE_CHECKING:
    from jinja2 import Environment

STYLESHEET = "style.css"


@cache
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    from genplan.report.compiled_templates import CompiledTemplates

    environment = Environment(
        loader=PackageLoader("genplan.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_finished,
        trim_blocks=True,
        lstrip_blocks=True,
        bytecode_cache=CompiledTemplates("page"),
    )
    speak_in(environment)
    return environment


def _finished(value: object) -> object:
    """Every text of a user's passes here on its way into a page; escaped text is of another type."""
    return clean(value) if type(value) is str else value


@cache
def content_security_policy() -> str:
    """A policy that lets a page load, send and run nothing; only its own stylesheet counts, by its hash."""
    style = _tidy(_environment().get_template(STYLESHEET).render())
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def render(template: str, **context: object) -> str:
    """The page as text. Raises jinja2.UndefinedError if a template asks for what it was not given."""
    filled = _environment().get_template(template).render(policy=content_security_policy(), **context)
    return _tidy(filled) + "\n"


def _tidy(text: str) -> str:
    """Without empty lines and blanks at line ends."""
    return "\n".join(line.rstrip() for line in text.split("\n") if line.strip())
