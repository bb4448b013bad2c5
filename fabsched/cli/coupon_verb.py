"""`fabsched coupon`: cut a test print around a critical dimension out of a part."""

import json
from argparse import Namespace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from fabsched.cli.documents import Document, quantiles
from fabsched.cli.planning import tell
from fabsched.cli.progress import run_in
from fabsched.model.errors import Fault, InputError
from fabsched.session.bench import Bench
from fabsched.session.clock import duration
from fabsched.session.compare_request import part_named
from fabsched.session.copy_request import (
    copy_request,
    note_copy,
    open_try,
    passed,
    play_of,
    take_copy,
)
from fabsched.session.coupon_request import (
    add_coupon,
    coupon_request,
    fit_named,
    remove_coupon,
    write_coupon,
)
from fabsched.session.pool import Pool
from fabsched.session.wording import phrase, pointed, share

if TYPE_CHECKING:
    from fabsched.advise.coupon_items import PlannedCoupon  # brings in the compiler

ENDINGS = (".stl", ".3mf")
"""Files a coupon can be written as."""


def coupon(arguments: Namespace, now: datetime) -> None:
    """Cut the coupon, print what it is, write it and put it into the project if that is asked for.

    Or take it out again, or let its part be like the copy that fits.

    Args:
        arguments: what was asked for.
        now: the present moment.

    Raises:
        InputError: a file is at fault, there is no such part or dimension, or nothing at its place.
        WorkerLost: a worker process died.
    """
    _check_ending(arguments.write)
    bench = Bench.open(arguments.project)
    if arguments.remove:
        _remove(arguments, bench)
        return
    if arguments.fits is not None:
        _take(arguments, bench, now)
        return
    request = coupon_request(bench, arguments.part, arguments.fit)
    with Pool() as pool:
        (done,) = run_in(pool, [request])
    planned = done.planned
    if arguments.write is not None:
        write_coupon(arguments.write, _content(planned, arguments.write))
    if arguments.add:
        add_coupon(bench, planned)
    if arguments.json:
        document = _document(planned, arguments.write, added=arguments.add)
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
        return
    for line in _lines(bench, planned, added=arguments.add):
        print(line)  # noqa: T201 - the output
    if arguments.write is not None:
        tell(phrase("coupon-written", path=str(arguments.write)))


def _remove(arguments: Namespace, bench: Bench) -> None:
    """Take the coupon out.

    Raises:
        InputError: there is none, or the project cannot be saved.
    """
    ident = remove_coupon(bench, arguments.part, arguments.fit)
    if arguments.json:
        document: Document = {"part": arguments.part, "fit": arguments.fit, "removed": ident}
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
    else:
        print(phrase("coupon-removed", what=ident))  # noqa: T201 - the output


def _take(arguments: Namespace, bench: Bench, now: datetime) -> None:
    """Draw the part like the copy that fits, and tell the log that the check is passed.

    Raises:
        InputError: there is no such part, dimension or copy, or a file cannot be read or written.
        WorkerLost: a worker process died.
    """
    part = part_named(bench.project, arguments.part)
    fit = fit_named(part, arguments.fit)
    play_mm = play_of(fit, arguments.fits, "--fits")
    gate, file = open_try(bench, part, fit), part.file
    if play_mm:
        with Pool() as pool:
            (made,) = run_in(pool, [copy_request(bench, part.id, fit.id, play_mm)])
        file = take_copy(bench, made)
    else:
        note_copy(bench, part, fit)
    if gate is not None:
        bench.tell(passed(gate, fit, play_mm, now))
    if arguments.json:
        document: Document = {
            "part": part.id,
            "fit": fit.id,
            "play_mm": play_mm,
            "file": file,
            "passed": gate.id if gate else None,
        }
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
        return
    code = "copy-taken" if play_mm else "copy-drawn"
    play = pointed(f"{play_mm:+.2f}")
    print(phrase(code, part=part.name, number=arguments.fits, play=play, file=file))  # noqa: T201 - the output
    if gate is not None:
        print(phrase("copy-passed", what=gate.name))  # noqa: T201 - the output


def _check_ending(path: Path | None) -> None:
    if path is not None and path.suffix.lower() not in ENDINGS:
        facts = {"ending": path.suffix.lower(), "known": ", ".join(ENDINGS)}
        raise InputError(Fault.FILE_KIND_UNWRITTEN, str(path), **facts)


def _content(planned: "PlannedCoupon", path: Path) -> bytes:
    """The coupon in the format of a file."""
    import numpy as np  # noqa: PLC0415 - heavy

    from fabsched.files.threemf_out import BedObject, threemf_bytes  # noqa: PLC0415 - likewise

    if path.suffix.lower() == ".stl":
        return planned.content
    bed = BedObject(planned.edit.coupon.name, planned.coupon.mesh, (np.eye(4),))
    return threemf_bytes([bed])


def _lines(bench: Bench, planned: "PlannedCoupon", *, added: bool) -> list[str]:
    coupon = planned.coupon
    x, y, z = (round(size, 1) for size in coupon.mesh.size_mm)
    first = next(iter(planned.estimates.values()))
    time = duration(first.seconds.likely)
    if len(coupon.steps_mm) == 1:
        size = phrase("coupon-single", x=x, y=y, z=z, time=time, share=share(coupon.share))
        lines = [size]
    else:
        steps = ", ".join(pointed(f"{step:+.2f}") for step in coupon.steps_mm)
        count = len(coupon.steps_mm)
        lines = [phrase("coupon-ladder", count=count, x=x, y=y, z=z, time=time, steps=steps)]
    lines += [phrase("coupon-notches")] if coupon.notched else []
    lines += [phrase("coupon-fits")] if len(coupon.steps_mm) > 1 and added else []
    return [
        *lines,
        phrase("coupon-added", what=planned.edit.coupon.id) if added else _place(bench, planned),
    ]


def _place(bench: Bench, planned: "PlannedCoupon") -> str:
    part = next(part for part in bench.project.parts if part.id == planned.part)
    if planned.edit.look is None:
        return phrase("coupon-no-gate", part=part.name, ident=part.id)
    eased = next(g for g in bench.project.gates if g.id == planned.edit.look.eases)
    return phrase("coupon-eases", part=part.name, gate=eased.name)


def _document(planned: "PlannedCoupon", path: Path | None, *, added: bool) -> Document:
    coupon, look = planned.coupon, planned.edit.look
    return {
        "part": planned.part,
        "fit": planned.fit.id,
        "coupon": planned.edit.coupon.id,
        "size_mm": list(coupon.mesh.size_mm),
        "volume_mm3": coupon.volume_mm3,
        "share": coupon.share,
        "steps_mm": list(coupon.steps_mm),
        "notched": coupon.notched,
        "time_s": {ident: quantiles(e.seconds) for ident, e in planned.estimates.items()},
        "mass_g": {ident: e.mass_g for ident, e in planned.estimates.items()},
        "check": look.id if look else None,
        "eases": look.eases if look else None,
        "left": look.left if look else None,
        "added": added,
        "file": str(path) if path else None,
    }
