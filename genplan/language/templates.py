"""The same in a template. What `_` says is text there and is escaped as every text is; a sentence with markup of its
own is said by `_html`, in which the values are escaped and the sentence is not."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from genplan.language.catalogues import translations
from genplan.language.saying import _, ngettext, npgettext, pgettext, said, speech
from genplan.language.sentences import capital

if TYPE_CHECKING:
    from jinja2 import Environment


def speak_in(environment: Environment) -> None:
    """Gives the templates of the environment the functions by which a sentence is said."""
    from markupsafe import Markup

    finished: Callable[[object], object] = environment.finalize or (lambda value: value)

    def filled(sentence: str, values: dict[str, object]) -> Markup:
        return Markup(sentence).format(**{name: finished(value) for name, value in values.items()})

    def html(sentence: str, /, **values: object) -> Markup:
        return filled(translations(speech()).gettext(sentence), values)

    def nhtml(one: str, many: str, number: int, /, **values: object) -> Markup:
        return filled(translations(speech()).ngettext(one, many, number), {"n": number, **values})

    environment.globals.update(_html=html, nhtml=nhtml, language=lambda: speech().tag)
    environment.filters["capital"] = capital
    environment.globals.update(_=_, ngettext=ngettext, pgettext=pgettext, npgettext=npgettext, said=said)
