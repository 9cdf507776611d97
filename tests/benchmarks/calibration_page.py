"""The part of the benchmark's page on the forecast's ranges, and its picture."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from html import escape

from tests.benchmarks import calibration_rows, page, whole_rows
from tests.benchmarks.calibration_rows import Choice, Share, Stated, about_8_of_10, share_of
from tests.benchmarks.rows import PAGE, read
from tests.benchmarks.tables import markdown

LOW, HIGH = 0.75, 0.85
"""Between these shares a stated 8 of 10 counts as holding."""
ABOUT = """\
**The children** are invented and hidden (`tests/benchmarks/calibration.py`): short courses of a skill or two, with
rates of 0.5, 0.7 and 0.9, the same everywhere or otherwise at each place by a standard deviation of 1 or 2 logits,
after none, two or four probes. What comes true is lived by the planner, week after week. **Held** is how often the true
week lay in the stated range, with its exact 95 % interval; **stated** the share of simulated courses in the ranges,
since whole weeks seldom hold 8 of 10 exactly: a range is to hold as often as it states, no less and no more. So are the
weeks before it (**sooner**) and after it (**later**), each beside what was stated.

These children had no part in any choice. What is thought of a rate beforehand was chosen on as many others: knowing
nothing, or that mastery is worth one probe that was met (`forecast/rates.py`).
"""
CHOICE = """\
What either belief does, on the children on whom it was chosen and on those held out, of ranges that say 70 to 90 of
100.
"""

Group = tuple[str, Callable[[Stated], object]]
GROUPS: Sequence[Group] = (
    ("stated share", lambda r: _bin(r.share)),
    ("what", lambda r: r.what),
    ("rates at places differ by, in logits", lambda r: f"{r.spread:g}"),
    ("rate", lambda r: f"{r.rate:g}"),
    ("probes before", lambda r: f"{r.before}"),
    ("case", lambda r: r.shape),
)


def _bin(share: float) -> str:
    low = next(low for low in (0.85, 0.8, 0.75, 0.0) if share >= low)
    return {0.85: "85 to 90 of 100", 0.8: "80 to 85", 0.75: "75 to 80", 0.0: "70 to 75"}[low]


def shares(rows: Sequence[Stated]) -> Iterator[tuple[str, Share]]:
    """All, those that say about 8 of 10, and of these each group."""
    some = about_8_of_10(rows)
    yield "all ranges", share_of(rows)
    yield "that say 70 to 90 of 100", share_of(some)
    for name, of in GROUPS:
        for value in sorted({str(of(r)) for r in some}):
            yield f"{name}: {value}", share_of(r for r in some if str(of(r)) == value)


def part(rows: Sequence[Stated], choices: Sequence[Choice] = ()) -> str:
    """Empty without rows."""
    if not rows:
        return ""
    children = len({r.seed for r in rows})
    head = ["", "ranges", "held", "exact 95 % interval", "stated", "sooner (stated)", "later (stated)"]
    lines = [
        [
            name,
            f"{s.ranges}",
            f"{100 * s.part:.0f} %",
            f"{100 * s.interval.low:.0f} to {100 * s.interval.high:.0f} %",
            f"{100 * s.stated:.0f} %",
            _beside(s.sooner / s.ranges, s.stated_sooner),
            _beside(s.later / s.ranges, s.stated_later),
        ]
        for name, s in shares(rows)
    ]
    said = f"{children} children, {len(rows)} ranges. {verdict(rows)}"
    picture = "![How often stated ranges held](calibration.svg)\n"
    text = ["## Do the forecast's ranges hold?\n", ABOUT, said + "\n", markdown(head, lines), picture]
    return "\n".join([*text, *_choice(choices)])


def _beside(came: float, stated: float | None) -> str:
    return f"{100 * came:.0f} %" + ("" if stated is None else f" ({100 * stated:.0f} %)")


def _choice(choices: Sequence[Choice]) -> list[str]:
    if not choices:
        return []
    head = ["children", "belief", "ranges", "held (stated)", "sooner (stated)", "later (stated)"]
    lines = [
        [
            c.where,
            c.belief,
            f"{c.ranges}",
            f"{100 * c.held:.1f} % ({100 * c.stated:.1f} %)",
            _beside(c.sooner, c.stated_sooner),
            _beside(c.later, c.stated_later),
        ]
        for c in choices
    ]
    return [CHOICE, markdown(head, lines)]


def verdict(rows: Sequence[Stated]) -> str:
    """Of those that say about 8 of 10; of all it stands in the table."""
    whole = share_of(about_8_of_10(rows)).part
    word = "hold" if LOW <= whole <= HIGH else "do not hold"
    return (
        f"The stated 8 of 10 {word}: {100 * whole:.1f} % of those that say 70 to 90 of 100 held,"
        f" between {100 * LOW:.0f} and {100 * HIGH:.0f} % were wanted."
    )


WIDTH, ROW, NAME, TOP = 640, 22, 270, 40


def picture(rows: Sequence[Stated]) -> str:
    """A point for each group with its interval, beside a mark for what was stated and a band for what was wanted."""
    some = list(shares(rows))
    height = TOP + ROW * len(some) + 44
    words = "; ".join(f"{name}: {100 * s.part:.0f} % of {s.ranges} held" for name, s in some)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" aria-labelledby="t d"'
        ' font-family="sans-serif" font-size="11" fill="#1b1b1b">',
        f'<title id="t">How often stated ranges held</title><desc id="d">{escape(words)}</desc>',
        f'<rect width="{WIDTH}" height="{height}" fill="#fff"/>',
        f'<rect x="{_x(LOW):.1f}" y="{TOP - 8}" width="{_x(HIGH) - _x(LOW):.1f}" height="{ROW * len(some) + 6}"'
        ' fill="#e6e6e6"/>',
    ]
    for tick in (0.5, 0.6, 0.7, 0.8, 0.9, 1.0):
        parts.append(f'<path d="M{_x(tick):.1f} {TOP - 12}V{height - 40}" stroke="#ccc"/>')
        parts.append(
            f'<text x="{_x(tick):.1f}" y="{TOP - 18}" text-anchor="middle">{100 * tick:.0f} %</text>'
        )
    for n, (name, share) in enumerate(some):
        parts += _line(name, share, TOP + ROW * n + 8)
    legend = (
        "point and line: held, with its exact 95 % interval; upright stroke: stated; grey: what was wanted"
    )
    parts.append(f'<text x="8" y="{height - 14}">{legend}</text>')
    return "\n".join([*parts, "</svg>\n"])


def _line(name: str, share: Share, y: float) -> Iterator[str]:
    low, high = max(share.interval.low, 0.5), share.interval.high
    yield f'<text x="{NAME - 10}" y="{y + 4:.0f}" text-anchor="end">{escape(name)} ({share.ranges})</text>'
    yield f'<path d="M{_x(low):.1f} {y}H{_x(high):.1f}" stroke="#1b1b1b"/>'
    yield f'<path d="M{_x(share.stated):.1f} {y - 7}V{y + 7}" stroke="#1b1b1b" stroke-width="2.5"/>'
    yield f'<circle cx="{_x(max(share.part, 0.5)):.1f}" cy="{y}" r="4.5" fill="#1b1b1b" stroke="#fff"/>'


def _x(share: float) -> float:
    """From a half on; less is drawn at the edge."""
    return NAME + (WIDTH - NAME - 30) * (share - 0.5) / 0.5


def renew() -> None:
    """The page with all its parts, from the rows that are kept."""
    rows = calibration_rows.read()
    text = page.page(read(), whole_rows.read(), part(rows, calibration_rows.read_choices()))
    (PAGE / "README.md").write_text(text, "utf-8")
    (PAGE / "calibration.svg").write_text(picture(rows), "utf-8")
