"""How long it will take: when each target will be generalised and its coverage finished at the present hours, whether
dates will hold, and what holds it up.

`line` plans the weeks ahead as if every probe were met; `courses` runs through them many times with probes that fail as
often as `rates` says, for the range; `held_up` finds in the weeks what stands in the way.
"""

from genplan.forecast.compose import forecast
from genplan.forecast.values import (
    Assumptions,
    BottleneckKind,
    Forecast,
    HeldUp,
    Milestone,
    TargetForecast,
    Verdict,
    WishForecast,
)

__all__ = [
    "Assumptions",
    "BottleneckKind",
    "Forecast",
    "HeldUp",
    "Milestone",
    "TargetForecast",
    "Verdict",
    "WishForecast",
    "forecast",
]
