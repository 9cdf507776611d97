"""The language in which things are said, and whether in plain words or in those of the trade.

Every sentence stands in the code in English and in the words of the trade, and is looked up where it is said: plain
English is a catalogue like that of another language. A front says once in which language it speaks (`speaking`);
whatever is said below it follows.
"""

from genplan.language.catalogues import CALLED, LANGUAGES, Speech, Words
from genplan.language.lists import and_list, and_list_of, or_list
from genplan.language.saying import (
    N_,
    _,
    for_files,
    ngettext,
    npgettext,
    pgettext,
    said,
    speaking,
    speech,
    speech_of_files,
)

__all__ = [
    "CALLED",
    "LANGUAGES",
    "N_",
    "Speech",
    "Words",
    "_",
    "and_list",
    "and_list_of",
    "for_files",
    "ngettext",
    "npgettext",
    "or_list",
    "pgettext",
    "said",
    "speaking",
    "speech",
    "speech_of_files",
]
