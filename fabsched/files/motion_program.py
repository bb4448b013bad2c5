"""Motion programs in the form of ISO 6983 and RS-274: the moves of a print prepared elsewhere.

Read from the text of the standard alone, as NISTIR 6556 (2000) gives it: straight moves, arcs with
I and J or R, helices, dwell, units, distance and feed modes, offsets. E is the axis of the filament
and counts like the others; codes with M are left to each machine.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.files.length_units import said_mm
from fabsched.files.mesh_raw import LARGEST_MM, SMALLEST_MM
from fabsched.files.mesh_text import line_malformed
from fabsched.files.motion_rules import execute
from fabsched.files.motion_state import M_BASE, MOST_ROWS, ROW, Moves, State, new_state
from fabsched.files.motion_text import (
    DELIMITER,
    HIGHEST,
    MALFORMED,
    MISSING,
    NEGATIVE,
    SOUND,
    TWICE,
    UNEQUAL,
    UNKNOWN,
    G,
    Line,
    Text,
    line_end,
    new_line,
    next_line,
    scan_line,
)
from fabsched.files.motion_values import KIND, without_expressions
from fabsched.files.source import read_source
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Arcs, Program

MOST_MB = 600
"""Larger programs are refused: some twenty million lines."""
BYTES_A_MOVE = 32
"""Room made at first for so long a line; it grows where lines are shorter."""
BACKWARDS_SHARE = 0.25
"""E taken as a position may go back or stay in so many moves along the way, as when filament is
pulled back on the way; beyond it, E counts steps (own assumption: steps read as positions go back
in every other move)."""
FEWEST_POSITIONS = 8
"""With fewer moves than that, E is what the program says."""
SHOWN_CODES = 6
"""Codes left out that are listed, the most frequent first."""
LONG_S = 60.0
"""Standing still for longer is told: many programs mean thousandths of a second (own choice)."""
BOM = b"\xef\xbb\xbf"
PAIRS = {"GG": "G0, G1, G2 or G3", "XY": "X or Y", "XE": "X, Y, Z or E", "IJ": "I or J"}
"""What is missing, by two of its letters; else it is the one letter."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Run:
    """A program carried out.

    Attributes:
        moves: what it did.
        state: the machine afterwards.
        closed: whether the program says that it is over.
    """

    moves: Moves
    state: State
    closed: bool


def read_program(path: Path, unit: str | None = None) -> tuple[Program, tuple[Finding, ...]]:
    """Read a motion program.

    Args:
        path: the file.
        unit: the unit of its numbers where it names none by G20 or G21; None takes mm.

    Returns:
        The moves in mm, and what was noticed.

    Raises:
        InputError: the file cannot be used, and why, with the number of the line.
    """
    where = str(path)
    return parse_program(read_source(path, MOST_MB), where, unit)


def parse_program(
    data: bytes, where: str, unit: str | None = None
) -> tuple[Program, tuple[Finding, ...]]:
    """The moves of a motion program; arguments as for `read_program`, the file's bytes in place.

    Raises:
        InputError: see `read_program`.
    """
    if b"\0" in data:
        raise InputError(Fault.FILE_NOT_OF_KIND, where, kind=KIND)
    data = without_expressions(data.removeprefix(BOM), where)
    unit_mm = 1.0 if unit is None else said_mm(unit, where)
    run = _carried_out(data, where, unit_mm, e_steps=False)
    back = _backwards(run)
    if back > BACKWARDS_SHARE:
        run = _carried_out(data, where, unit_mm, e_steps=True)
    program = _program(run.moves)
    _check(program, where)
    return program, tuple(_findings(run, where, back, guess=unit is None))


def _carried_out(data: bytes, where: str, unit_mm: float, *, e_steps: bool) -> _Run:
    """Run through a program.

    Raises:
        InputError: a line is at fault.
    """
    line, state = new_line(), new_state(unit_mm)
    text = np.frombuffer(data, np.uint8)
    status, number, closed, moves = _follow(text, line, state, e_steps)
    if status != SOUND:
        raise _error(status, number, line.detail.tolist(), data, where)
    return _Run(moves=moves, state=state, closed=closed)


@njit(cache=True, nogil=True)
def _grown(table: NDArray[np.float64], used: int, more: int) -> NDArray[np.float64]:
    """The table, or a larger copy if there is no room for `more` rows."""
    if used + more <= table.shape[0]:
        return table
    larger = np.empty((2 * table.shape[0] + more, table.shape[1]))
    for i in range(used):
        for j in range(table.shape[1]):
            larger[i, j] = table[i, j]
    return larger


@njit(cache=True, nogil=True)
def _follow(data: Text, line: Line, state: State, e_steps: bool) -> tuple[int, int, bool, Moves]:
    """Carry out line after line until the program is over or a line is at fault.

    Returns:
        What became of the last line, its number from 1, whether the program is closed, and the moves.
    """
    used = np.zeros(2, np.int64)
    rows, arcs = np.empty((data.size // BYTES_A_MOVE + MOST_ROWS, ROW)), np.empty((64, 4))
    left_out = np.zeros((2, HIGHEST + 1), np.int64)
    at = number = delimiters = 0
    status = SOUND
    while at < data.size and not state.ended:
        number += 1
        end = line_end(data, at)
        status = scan_line(data, at, end, line)
        at = next_line(data, end)
        if status == DELIMITER:
            delimiters += 1
            state.ended = delimiters == 2
            status = SOUND
            continue
        if status == SOUND:
            rows, arcs = _grown(rows, used[0], MOST_ROWS), _grown(arcs, used[1], 1)
            status = execute(line, state, Moves(rows, arcs, used, left_out), e_steps)
        if status != SOUND:
            break
    return status, number, state.ended != 0, Moves(rows, arcs, used, left_out)


def _error(status: int, line: int, detail: Sequence[float], data: bytes, where: str) -> InputError:
    """The error for a line at fault."""
    if status == MALFORMED:
        return line_malformed(line, data, where, kind=KIND)
    one, two = _word(detail[0]), _word(detail[1])
    if status == TWICE:
        return InputError(Fault.WORDS_CLASH, where, line=line, one=one, two=two)
    if status == MISSING:
        what = PAIRS.get(one + two, one)
        return InputError(Fault.WORD_MISSING, where, line=line, what=what)
    if status == NEGATIVE:
        return InputError(Fault.WORD_NEGATIVE, where, line=line, word=one)
    if status == UNKNOWN:
        word = _code(int(detail[2])) if detail[0] == G else one
        return InputError(Fault.MOTION_UNKNOWN, where, line=line, word=word)
    return _arc_error(status, line, detail, where)


def _arc_error(status: int, line: int, detail: Sequence[float], where: str) -> InputError:
    """The error for an arc that does not fit its ends."""
    one, two = (float(f"{length:.6g}") for length in detail[:2])
    if status == UNEQUAL:
        return InputError(Fault.ARC_UNEQUAL, where, line=line, start=one, end=two)
    return InputError(Fault.ARC_UNREACHED, where, line=line, radius=one, chord=two)


def _word(detail: float) -> str:
    """A letter by its number, or a code, which come as negative numbers.

    >>> _word(8), _word(-11), _word(M_BASE - 30)
    ('I', 'G1', 'M30')
    """
    if detail <= M_BASE:
        return f"M{M_BASE - int(detail)}"
    return chr(ord("A") + int(detail)) if detail >= 0 else _code(-int(detail) - 1)


def _code(tenths: int) -> str:
    """A code with G as it is written.

    >>> _code(611), _code(10)
    ('G61.1', 'G1')
    """
    return f"G{tenths / 10:g}"


def _backwards(run: _Run) -> float:
    """Share of moves along the way in which E, taken as a position, does not go on."""
    state = run.state
    return state.backwards / state.positions if state.positions >= FEWEST_POSITIONS else 0.0


def _program(moves: Moves) -> Program:
    """The moves as they are passed on."""
    rows, arcs = moves.rows[: moves.used[0]], moves.arcs[: moves.used[1]]
    points = np.zeros((len(rows) + 1, 3))
    points[1:] = rows[:, :3]
    return Program(
        points_mm=points,
        filament_mm=rows[:, 3].copy(),
        speed_mm_s=rows[:, 4].copy(),
        dwell_s=rows[:, 5].copy(),
        exact=rows[:, 6] > 0.0,
        arcs=Arcs(
            move=arcs[:, 0].astype(np.int64),
            centre_mm=arcs[:, 1:3].copy(),
            sweep_rad=arcs[:, 3].copy(),
        ),
    )


def _check(program: Program, where: str) -> None:
    """Refuse programs that move nothing, or further than any machine, or have endless numbers."""
    if not len(program.filament_mm):
        raise InputError(Fault.NO_MOVES, where)
    for word, values in (("E", program.filament_mm), ("P", program.dwell_s)):
        if not np.isfinite(values).all():
            raise InputError(Fault.NUMBER_NOT_FINITE, where, what=word)
    size_mm = float(np.ptp(program.points_mm, axis=0).max())
    if not size_mm <= LARGEST_MM:
        size = float(f"{size_mm:.4g}")
        raise InputError(Fault.SIZE_ABSURD, where, size=size, low=SMALLEST_MM, high=LARGEST_MM)


def _findings(run: _Run, where: str, back: float, *, guess: bool) -> list[Finding]:
    """What is worth a remark."""
    state, found = run.state, []
    if guess and state.guessed:
        unit = {"unit": "millimeter"}
        found.append(Finding(code=Remark.UNIT_ASSUMED, where=where, facts=unit))
    if back > BACKWARDS_SHARE:
        share = {"share": f"{back:.0%}"}
        found.append(Finding(code=Remark.FILAMENT_IN_STEPS, where=where, facts=share))
    counts = {Remark.HOME_ASSUMED: state.homes, Remark.WAITS_FOR_HANDS: state.pauses}
    for code, count in counts.items():
        if count:
            found.append(Finding(code=code, where=where, facts={"count": int(count)}))
    still_s = float(run.moves.rows[: run.moves.used[0], 5].sum())
    if still_s >= LONG_S:
        facts = {"seconds": round(still_s)}
        found.append(Finding(code=Remark.STANDS_STILL, where=where, facts=facts))
    found.extend(_left_out(run.moves, where))
    if not run.closed:
        found.append(Finding(code=Remark.PROGRAM_OPEN, where=where))
    return found


def _left_out(moves: Moves, where: str) -> list[Finding]:
    """The remark on codes that were left out, the most frequent first."""
    often = {
        (f"M{code}" if letter else _code(int(code))): int(moves.left_out[letter, code])
        for letter, code in np.argwhere(moves.left_out).tolist()
    }
    if not often:
        return []
    codes = sorted(often, key=lambda code: -often[code])
    listed = ", ".join(codes[:SHOWN_CODES]) + ("..." if len(codes) > SHOWN_CODES else "")
    facts: dict[str, str | int | float] = {"count": sum(often.values()), "codes": listed}
    return [Finding(code=Remark.CODES_LEFT_OUT, where=where, facts=facts)]
