"""What the page of the county works out of what was measured."""

from __future__ import annotations

from tests.benchmarks.county import Site, county_on, page

SITE = Site(
    seed=1,
    children=50,
    probes=400,
    here=20.0,
    there=170.0,
    between=10.0,
    memory_here=150.0,
    memory_there=200.0,
    searches=300,
    sent=900,
    came_back=100,
)


def test_a_county_is_so_many_times_a_child() -> None:
    # 200 s for 50 children: 4 s a child, 900 a core and hour; 12,000 s for 3,000
    text = page([SITE])
    assert "That is 4.0 s of a core for a child, 900 children a core and hour, and 20.0 kB both ways" in text
    assert "| 1 | 3.33 |" in text
    assert "30 s of a site" in text
    assert "would hold 6.0 GB together" in text
    assert "All that goes over the network is 60 MB" in text


def test_no_site_is_done_before_its_own_command_is() -> None:
    # 3,000 s on a hundred cores are 30 s, and the command of a site takes 75 times 2 s
    assert county_on(100, 1.0, 2.0) == ("100", "0.04")
