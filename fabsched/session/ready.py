"""Whether everything is in hand before a weekend begins: for the window and the command line."""

from collections.abc import Iterator
from dataclasses import dataclass

from fabsched.advise.ready import Lack, lacks, starts_of
from fabsched.advise.wiring import WiringRoom, wiring_room
from fabsched.model.errors import InputError
from fabsched.model.project import Channel, Component
from fabsched.session.project_session import Session
from fabsched.session.requests import PlanResponse
from fabsched.session.stock_records import Stock
from fabsched.session.wording import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """What is known before a weekend begins.

    Attributes:
        lacks: what is not in hand, the most pressing first.
        faults: files that cannot be read or made, hours that never meet, ways that are missing.
        mixed_up: components that go in only one way round, with their notes.
        wirings: channels, each with the room in it.
    """

    lacks: tuple[Lack, ...]
    faults: tuple[InputError, ...]
    mixed_up: tuple[Component, ...]
    wirings: tuple[tuple[Channel, WiringRoom], ...] = ()

    @property
    def is_ready(self) -> bool:
        """Whether nothing stands in the way; spares that are missing do not."""
        crowded = any(not room.fits for _, room in self.wirings)
        return not self.faults and not crowded and not any(lack.essential for lack in self.lacks)


def readiness(
    session: Session, response: PlanResponse | None, fault: InputError | None, now_s: int
) -> Readiness:
    """What stands in the way of a weekend.

    Args:
        session: the open project; estimated as far as that is possible.
        response: its plan; None if there is none.
        fault: why there is no plan.
        now_s: the present moment, from which it begins unless the project says otherwise.
    """
    project = session.project
    start_s = int(project.start.timestamp()) if project.start else now_s
    begin_s = max(now_s, start_s)
    starts = starts_of(response.weekend, response.answer) if response else {}
    stock = response.stock if response else None
    found = [*lacks(project, begin_s, starts), *(_of_stock(stock, begin_s) if stock else ())]
    problems = [error for errors in session.problems.values() for error in errors]
    told = {str(error): error for error in (*problems, *((fault,) if fault else ()))}
    return Readiness(
        lacks=tuple(sorted(found, key=lambda lack: (lack.by_s, not lack.essential))),
        faults=tuple(told.values()),
        mixed_up=tuple(component for component in project.components if component.note),
        wirings=tuple(
            (each, wiring_room(each.cables_mm, each.size_mm)) for each in project.channels
        ),
    )


def _of_stock(stock: Stock, begin_s: int) -> Iterator[Lack]:
    """Filament and sheets the plan takes that are not there."""
    for filament in stock.filaments:
        if filament.buy_g > 0:
            yield Lack(
                id=filament.material,
                what=filament.material,
                buy=round(filament.buy_g),
                unit="g",
                have=round(filament.have_g),
                by_s=begin_s,
            )
    for sheet in stock.sheets:
        if sheet.buy:
            thick = "" if sheet.thickness_mm is None else f" {sheet.thickness_mm:g} mm"
            yield Lack(
                id=sheet.stock or sheet.material,
                what=phrase("lack-sheet", what=f"{sheet.material}{thick}"),
                buy=sheet.buy,
                have=sheet.have,
                by_s=begin_s,
            )
