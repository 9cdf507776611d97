"""What people were told to bring to a sitting, and what the child is kept from since then."""

from __future__ import annotations

from collections.abc import Container, Iterator

from genplan.case.possible import kept_from
from genplan.language import _
from genplan.plan import Sitting
from genplan.report.names_and_words import Names, set_of
from genplan.text.obstacles import obstacle_text


def things_left_out(names: Names, told: Sitting, only: Container[str] | None = None) -> Iterator[str]:
    """A sentence for each thing of a sitting, as people were told of it, that is not to be there; `only` of
    these, if any are named."""
    things = {set_of(names.case, probe): names.case.targets[probe.target] for probe in told.probes}
    for thing, target in things.items():
        if (only is None or thing in only) and (
            why := kept_from(names.case, target, thing, told.start.date())
        ):
            yield _(
                "Please put {thing} away and do not use it: {why}.",
                thing=names.material_set(thing),
                why=obstacle_text(names.case, why),
            )
