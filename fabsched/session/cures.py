"""What one step can put right: from a remark or fault of a part to the part as it should be."""

from dataclasses import dataclass, replace

from fabsched.model.errors import Fact, Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.project import Part
from fabsched.session.wording import cure as cure_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """One step.

    Attributes:
        text: what it says, from the user's side.
        label: key of the wording table's `[edit]`.
        part: the part afterwards.
    """

    text: str
    label: str
    part: Part


def cure_for(part: Part, noticed: InputError | Finding) -> Cure | None:
    """The step that puts right what was noticed about a part; None if there is none."""
    match noticed.code:
        case Remark.UNIT_SUSPECT | Fault.UNIT_MEANT:
            mended, label = replace(part, unit=str(noticed.facts["unit"])), "unit"
        case Fault.PART_FITS_TURNED:
            mended, label = replace(part, turn_deg=_turn(noticed.facts["turn"])), "turn"
        case _:
            return None
    return Cure(text=cure_words(noticed), label=label, part=mended)


def _turn(written: Fact) -> tuple[float, float, float]:
    """Three angles as the fault names them."""
    x, y, z = (float(degrees) for degrees in str(written).split(","))
    return x, y, z
