"""What is read without a search for cycles is no obstacle to the next search: a page reads a case again and again."""

from __future__ import annotations

import gc
from weakref import ref

import pytest

from genplan.casefile.cycles import no_search_for_cycles


class _Loop:
    def __init__(self) -> None:
        self.itself = self


def test_nothing_is_looked_for_within_and_all_is_found_afterwards() -> None:
    before, searched = gc.get_threshold(), gc.isenabled()
    gc.enable()
    gc.set_threshold(100, 1, 1)
    try:
        first = ref(_Loop())
        for _ in range(50):
            with no_search_for_cycles():
                assert not gc.isenabled()
                loops = [ref(_Loop()) for _ in range(500)]
                assert all(loop() for loop in loops)
            assert gc.isenabled()
            _some = [_Loop() for _ in range(200)]
        assert first() is None
        assert not any(loop() for loop in loops)
    finally:
        gc.set_threshold(*before)
        if not searched:
            gc.disable()


@pytest.mark.parametrize("searched", [True, False])
def test_what_was_switched_off_before_stays_off(searched: bool) -> None:
    before = gc.isenabled()
    (gc.enable if searched else gc.disable)()
    try:
        with pytest.raises(ValueError, match="in the middle"), no_search_for_cycles():
            raise ValueError("in the middle")
        assert gc.isenabled() is searched
    finally:
        (gc.enable if before else gc.disable)()
