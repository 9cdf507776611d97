"""In which language and words the command line speaks: in the language that `--language` asks for, else as the case
says, else English; in the case's words, and plainly where there is none: whoever begins may be of any trade or none."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Sequence
from contextlib import suppress
from itertools import pairwise
from pathlib import Path

from genplan.errors import GenplanError
from genplan.language import LANGUAGES, Speech, Words

OPTION = "--language"


def asked_for(typed: Sequence[str]) -> Speech:
    """Before the words are read, since help pages and what is wrong with the words are said too, and days are read as
    the language writes them. A language that is not known is told of by whoever reads them."""
    values = [word.partition("=")[2] for word in typed if word.startswith(f"{OPTION}=")]
    values += [after for word, after in pairwise(typed) if word == OPTION]
    found = _of_a_case_among(typed)
    return Speech(next((v for v in values if v in LANGUAGES), found.language), found.words)


def _of_a_case_among(typed: Sequence[str]) -> Speech:
    """As the case says whose folder was typed. Which word names it is known only once they are read; what stands in the
    way of reading its files is told then."""
    for word in typed:
        with suppress(GenplanError, OSError, ValueError):
            if not Path(word).is_dir():
                continue
            from genplan.casefile.speech import is_begun, speech_of

            if is_begun(Path(word)):
                return speech_of(Path(word))
    return Speech(words=Words.PLAIN)


def as_the_case_says(words: Namespace) -> Speech:
    """Once it is known which case is meant, if any."""
    folder = getattr(words, "folder", None)
    if not isinstance(folder, Path):
        return Speech(words.language or LANGUAGES[0], Words.PLAIN)
    from genplan.casefile.speech import is_begun, speech_of

    found = speech_of(folder, words.language)
    if is_begun(folder):
        return found
    from genplan.start.draft import words_so_far

    return Speech(found.language, words_so_far(folder))
