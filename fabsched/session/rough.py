"""A first figure for a printed part, long before its layers have been simulated.

Heavy: imported when a request runs.
"""

from fabsched.estimate.rough import rough_print
from fabsched.estimate.turning import turned
from fabsched.files.parts import read_part
from fabsched.model.errors import InputError
from fabsched.model.materials import Filament
from fabsched.model.progress import Watch, check
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Printer
from fabsched.model.spread import Spread
from fabsched.session.inputs import EstimateInput


def rough_of_part(given: EstimateInput, watch: Watch) -> Spread | None:
    """Guess the seconds one copy takes on the quickest machine.

    Returns:
        P10, P50 and P90; None for what is no solid or cannot be read: the estimate says why.

    Raises:
        Cancelled: the watch said stop.
    """
    try:
        shape, _ = read_part(given.path, given.part.unit)
    except InputError:
        return None
    check(watch)
    if not isinstance(shape, Mesh) or not isinstance(given.material, Filament):
        return None
    mesh = turned(shape, given.part.turn_deg)
    printers = (machine for machine in given.machines if isinstance(machine, Printer))
    guesses = [rough_print(mesh, printer, given.material) for printer in printers]
    return min(guesses, key=lambda guess: guess.likely, default=None)
