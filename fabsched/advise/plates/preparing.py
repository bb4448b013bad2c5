"""A way that cuts plates, made ready to be planned. Heavy: imported when there is one."""

from fabsched.advise.plates.bending import gives
from fabsched.advise.plates.choosing import Chosen, chosen
from fabsched.advise.plates.compare_input import CompareInput
from fabsched.advise.plates.holding import untold
from fabsched.advise.plates.making import made_of
from fabsched.advise.plates.seams import seams_of
from fabsched.advise.plates.slabs import Found
from fabsched.advise.plates.spares import spares_for, with_spares
from fabsched.advise.plates.splitting import Split, as_drawn, split
from fabsched.advise.plates.stocks import sheets_mm, stocks_of
from fabsched.advise.plates.substituting import fresh_ids, instead
from fabsched.advise.plates.variants import Estimates, Variant
from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Project


def prepared(
    given: CompareInput, found: Found, pick: tuple[int, ...]
) -> tuple[Variant, Project, Estimates]:
    """The variant that cuts some plates, with the project and the estimates it is planned with.

    Args:
        given: the part.
        found: its plates, and what comes close.
        pick: numbers of those that are cut.

    Raises:
        InputError: a plate cannot be cut with the others, or something cannot be made.
    """
    stocks = stocks_of(given.shop)
    ready = chosen(given.mesh, found, pick, sheets_mm(given.shop), given.part.file)
    done = _split(given, ready)
    materials = {stock.thickness_mm: stock.material for stock in stocks}
    bent = gives(done, materials, given.press)
    if given.joinery.spares and (spares := spares_for(done, bent)):
        done = with_spares(done, spares)
        bent = gives(done, materials, given.press)
    made = made_of(done, given.part, given.shop, stocks, fresh_ids(given.project), given.names)
    project = instead(given.project, given.part, made)
    bare = Variant(
        pick=ready.numbers,
        split=done,
        made=made,
        gives=bent,
        untold=untold(done, materials, {give.plate for give in bent}),
        seams=seams_of(done, given.press),
        changes=ready.changes,
    )
    return bare, project, {**given.estimates, **made.estimates}


def _split(given: CompareInput, ready: Chosen) -> Split:
    """The part taken apart.

    Raises:
        InputError: too little is left of a plate where it meets a larger one at a slant.
    """
    done = split(ready.mesh, ready.slabs, given.joinery, where=given.part.file)
    for slab, number in zip(ready.slabs, ready.numbers, strict=True):
        if slab in done.askew:
            raise InputError(Fault.PLATE_ASKEW, given.part.file, number=number + 1)
    return as_drawn(done, sum(change.volume_mm3 for _, change in ready.changes))
