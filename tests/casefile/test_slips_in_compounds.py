"""Slips of the pen in the end of a long word and in a short one; and no alarm at what is a word of its own."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from genplan.casefile.allergen_words import may_be_in, named_in
from genplan.casefile.small_words import hazards_named, usually_small
from tests.fixtures.places import EXAMPLES


@pytest.mark.parametrize(
    ("name", "hazards"),
    [
        ("Kühlschrankmagnte", {"magnet"}),
        ("Kühlschrankmgnete", {"magnet"}),
        ("Spielzeugmagnt", {"magnet"}),
        ("Fridgemagnte", {"magnet"}),
        ("Riesenlufftballon", {"balloon"}),
        ("Magntetafel", {"magnet"}),
    ],
)
def test_a_slip_in_the_end_of_a_long_word_is_noticed(name: str, hazards: set[str]) -> None:
    assert hazards_named(name) == hazards


@pytest.mark.parametrize(
    "name", ["Holzprelen", "Glitzerpelren", "peral", "nutts", "nsus", "woodenbeasd", "Goldearing"]
)
def test_what_is_small_is_noticed_too(name: str) -> None:
    assert usually_small(name)


@pytest.mark.parametrize(
    ("name", "allergen"),
    [("mlik", "milk"), ("Mlich", "milk"), ("millk cup", "milk"), ("egsg", "egg"), ("Milhcreis", "milk")],
)
def test_two_letters_the_wrong_way_round_or_one_typed_twice_in_a_short_word(name: str, allergen: str) -> None:
    assert not named_in(name)
    assert may_be_in(name) == (allergen,)


HOUSEHOLD = """
table chair cup plate bowl spoon fork knife towel soap brush comb mirror pillow blanket curtain shelf drawer kettle
toaster lid jar bottle mug tray napkin sponge bucket broom mop basket bag backpack umbrella coat jacket shirt socks
shoes boots hat scarf gloves belt zipper laces apron bib tissue toothbrush scissors glue tape ruler pencil crayon eraser
paper folder card cards book puzzle blocks bricks train track trail trial car cart truck bus plane boat boats doll teddy
bear bears bare bunny puppet ball kite rope hoop slide swing spade rake drum piano flute whistle clock watch lamp camera
carb carbs lines linen line loin lion coil icon unit tuna film kiln mile slit lost form from farm calm clam ring rings
drain brain bran barn nest nets tens sent beats meats crate tracer sender parquet magnolia magnify magnificent
better manger mantle distribution attribution contribution matching sorting stacking beakers stickers stamps
Tisch Stuhl Tasse Teller Löffel Gabel Messer Seife Bürste Kamm Spiegel Kissen Decke Regal Schrank Kühlschrank Ofen Topf
Deckel Glas Flasche Becher Schwamm Eimer Besen Korb Kiste Tasche Rucksack Koffer Mantel Jacke Hemd Hose Socken Schuhe
Mütze Schal Gürtel Schlafanzug Schürze Windel Zahnbürste Schere Kleber Lineal Bleistift Papier Heft Karte Bildkarten
Buch Bilderbuch Puzzle Bausteine Holzeisenbahn Schienen Auto Lastwagen Flugzeug Schiff Puppe Puppenhaus Teddybär
Stofftier Hase Handpuppen Fingerpuppen Gummiball Fußball Drachen Seil Reifen Rutsche Schaukel Sandspielzeug Schaufel
Trommel Klavier Blockflöte Glockenspiel Rassel Wecker Taschenlampe Kerzenständer Planschbecken Waschbecken Kochlöffel
Schneebesen Messbecher Spülschwamm Wäschekorb Gießkanne Harke Schubkarre Fernglas Zelt Schlafsack Steckbrett
Stapelturm Kugelbahn Winterjacke Regenhose Gummistiefel Turnschuhe Trinkflasche Schultasche Malkasten Kreide
entsperren misslingen absperren gelingen zusammenbringen entfernen verschmelzen Lampenschirm Straßenlampe
Polizeihubschrauber Rettungshubschrauber Akkuschrauber Sortierring Zauberring Strickliesel Geldbörsen Elefantenfüße
Hahnenfüße Krähenfüße Einstiegsdrogen Östrogen Brustkrebs diary diaries transferring hydrogen fingering
"""
"""Words of our own choice, no source: what is in homes and playrooms, and what is near a known word by chance."""


def test_words_of_their_own_give_no_alarm() -> None:
    alarms = {
        name: found
        for name in HOUSEHOLD.split()
        if (found := (*hazards_named(name), *(["small"] if usually_small(name) else []), *may_be_in(name)))
    }
    assert not alarms


def test_a_word_that_ends_rightly_is_no_slip_of_a_longer_one() -> None:
    assert named_in("Zaubernuss") == ("nuts",)
    assert not may_be_in("Zaubernuss")


@pytest.mark.parametrize("name", ["Fingerring", "Silberringe", "Gold ring", "wedding rings"])
def test_a_ring_for_a_finger_is_small(name: str) -> None:
    assert usually_small(name)


def test_nothing_in_the_examples_is_taken_for_a_slip_of_something_in_reach() -> None:
    """A name that speaks of a magnet, a balloon or a button cell has to be meant."""
    for file in sorted(Path(EXAMPLES).rglob("case.yaml")):
        for word in set(re.findall(r"[^\W\d_]{4,}", file.read_text("utf-8"))):
            if found := hazards_named(word):
                assert re.search("magnet|ball|card|karte|cell|zelle|candle|kerze", word.lower()), (
                    word,
                    found,
                )
