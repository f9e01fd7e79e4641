"""What is asked for: a label of which market, by the law of which day, of which lot, printed how."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from labelgen.errors import RecipeError, RuleError
from labelgen.law.registry import market_named

#: The last year a day of making may lie in, so that every shelf life ends on a day of the calendar.
_LAST_YEAR = 2999


@dataclass(frozen=True)
class Job:
    """How labels are to be printed. stock: a name, "" = a label of ``label_size`` ("100x150mm"), or one as
    high as it needs to be. page: where labels without stock go: "" or "label" = a page each. copies: 0 =
    as many as fill the page. nudge: (right, up) [pt].
    """

    stock: str = ""
    label_size: str = ""
    page: str = ""
    copies: int = 0
    start: int = 1
    cut_marks: bool = False
    nudge: tuple[float, float] = (0.0, 0.0)

    @property
    def on_sheets(self) -> bool:
        """Whether more than the label itself is printed."""
        more = self.stock or self.copies > 1 or self.start > 1 or self.cut_marks or any(self.nudge)
        return bool(more or self.page not in ("", "label"))

    @property
    def made_with(self) -> dict[str, str]:
        """What to know besides the declaration to make the same label again."""
        return {
            name: value for name, value in (("stock", self.stock), ("label_size", self.label_size)) if value
        }


@dataclass(frozen=True)
class Order:
    """One label asked for, checked. market: a code, in any case. on: the day whose law holds. lot: "" = a
    trial. made_on: the day the food was made, where it is known.

    Raises RuleError for a market labelgen does not know or a day nobody made food on, RecipeError for a lot
    that cannot be printed as it is written.

    >>> Order("EU", date(2026, 11, 25), "A1").market
    'eu'
    """

    market: str
    on: date
    lot: str = ""
    made_on: date | None = None
    job: Job = field(default_factory=Job)

    def __post_init__(self) -> None:
        object.__setattr__(self, "market", market_named(self.market).code)
        if self.lot != self.lot.strip() or (self.lot and not self.lot.isprintable()):
            raise RecipeError(
                f"--lot {self.lot!r}: write the lot without spaces around it, for example --lot A1"
            )
        if self.made_on and self.made_on.year > _LAST_YEAR:
            raise RuleError(f"{self.made_on} is no day anybody made food on: check its year")
