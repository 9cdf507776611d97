"""Brings the catalogues up to what the code says: `python -m genplan.language.catalogue`.

Each language has every sentence, untranslated ones empty, and plain words only those that they say differently. What
the code no longer says is left out.
"""

from __future__ import annotations

import sys
from copy import deepcopy
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.language.catalogues import DOMAIN, LANGUAGES, LOCALES, Speech, Words
from genplan.language.extraction import all_found

if TYPE_CHECKING:
    from babel.messages import Catalog

BEGUN = datetime(2026, 11, 27, tzinfo=UTC)
"""One moment for all catalogues, so that a run that changes nothing writes the same bytes."""
OURS = {
    "project": DOMAIN,
    "version": "1",
    **dict.fromkeys(
        ("copyright_holder", "msgid_bugs_address", "last_translator", "language_team"), "the genplan authors"
    ),
}


def folders() -> tuple[str, ...]:
    """All catalogues: English of the trade is in the code."""
    found = {name for language in LANGUAGES for name in Speech(language, Words.PLAIN).catalogues}
    return tuple(sorted(found - {LANGUAGES[0]}))


def path_of(folder: str) -> Path:
    return LOCALES / folder / "LC_MESSAGES" / f"{DOMAIN}.po"


def is_plain(folder: str) -> bool:
    return "@" in folder


def said_by_the_code() -> Catalog:
    """A catalogue of all sentences, without translations."""
    from babel.messages import Catalog

    template = Catalog(creation_date=BEGUN)
    for found in all_found():
        ids = (found.one, found.many) if found.many else found.one
        template.add(ids, locations=[(found.file, 0)], context=found.context or None)
    return template


def up_to_date(folder: str, template: Catalog) -> Catalog:
    """What the folder has, with every sentence of the template and none besides."""
    from babel.messages import Catalog
    from babel.messages.pofile import read_po

    path, language = path_of(folder), folder.partition("@")[0]
    if path.exists():
        with path.open("rb") as file:
            catalogue = read_po(file, locale=language)
    else:
        catalogue = Catalog(language, creation_date=BEGUN, revision_date=BEGUN, fuzzy=False, **OURS)
        catalogue.header_comment = f"# Sentences of genplan: {folder}."
    # a copy, since what is new in it becomes a part of the catalogue
    catalogue.update(deepcopy(template), no_fuzzy_matching=True, update_creation_date=False)
    return catalogue


def write(folder: str, catalogue: Catalog) -> None:
    """The catalogue as text and as what gettext reads."""
    from io import BytesIO

    from babel.messages.mofile import write_mo
    from babel.messages.pofile import write_po

    if is_plain(folder):
        for message in list(catalogue):
            if message.id and not is_said(message.string):
                catalogue.delete(message.id, message.context)
    text, compiled = BytesIO(), BytesIO()
    write_po(text, catalogue, width=0, sort_output=True, ignore_obsolete=True, include_lineno=False)
    write_mo(compiled, catalogue)
    path = path_of(folder)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.getvalue())
    path.with_suffix(".mo").write_bytes(compiled.getvalue())


def is_said(string: str | list[str] | tuple[str, ...] | None) -> bool:
    """Whether there is a translation, of a plural in all its forms."""
    return bool(string) if isinstance(string, str) else bool(string and all(string))


def main() -> int:
    template, missing = said_by_the_code(), 0
    for folder in folders():
        catalogue = up_to_date(folder, template)
        lacking = [m.id for m in catalogue if m.id and not is_said(m.string)]
        write(folder, catalogue)
        if not is_plain(folder):
            missing += len(lacking)
            print(f"{folder}: {len(template)} sentences, {len(lacking)} without a translation")
            for one in lacking:
                print(f"  {one!r}")
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
