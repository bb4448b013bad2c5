"""Compiled kernels under mesh repair: corners joined, half-edges paired, facets gathered into shells.

Half-edge `h` of a mesh is edge `h % 3` of facet `h // 3`, running from corner `h % 3` to the next.
All kernels are linear in the number of corners and give the same answer on every machine.
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

from fabsched.model.shapes import Faces

Indices = NDArray[np.int32]
"""One-dimensional int32 array."""
Bits = NDArray[np.uint32]
"""(n, k) rows compared bit by bit."""
Slots = NDArray[np.uint64]
"""Places in a hash table."""
Flags = NDArray[np.uint8]
"""One-dimensional array of zeros and ones."""


AHEAD = 128
"""Rows that are looked up together (measured: half the time of one after the other)."""


@njit(cache=True, nogil=True)
def _row_hash(rows: Bits, i: int) -> np.uint64:
    """Multiply and shift, word by word, then the finaliser of SplitMix64.

    Steele, Lea & Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014.
    """
    key = np.uint64(0)
    for j in range(rows.shape[1]):
        key = (key ^ np.uint64(rows[i, j])) * np.uint64(0x9E3779B97F4A7C15)
        key ^= key >> np.uint64(32)
    key = (key ^ (key >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    key = (key ^ (key >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return key ^ (key >> np.uint64(31))


@njit(cache=True, nogil=True)
def _same_row(rows: Bits, i: int, others: Bits, j: int) -> bool:
    for k in range(rows.shape[1]):  # noqa: SIM110 - generators are not compiled
        if rows[i, k] != others[j, k]:
            return False
    return True


@njit(cache=True, nogil=True)
def _larger_table(kept: Bits, count: int) -> Indices:
    """An open hash table of the first rows, with room for as many again to be found quickly."""
    slots = 4 * AHEAD
    while slots < 4 * (count + AHEAD):
        slots *= 2
    table = np.full(slots, -1, np.int32)
    mask = np.uint64(slots - 1)
    for i in range(count):
        slot = _row_hash(kept, i) & mask
        while table[slot] >= 0:
            slot = (slot + np.uint64(1)) & mask
        table[slot] = i
    return table


@njit(cache=True, nogil=True)
def _look_ahead(
    rows: Bits, begin: int, end: int, table: Indices, kept: Bits, slots: Slots
) -> np.uint32:
    """Find the slots of some rows, and read what each will be compared with.

    The reads do not wait for each other, so that what they need is near when its turn comes. Their
    sum is of no use but to keep the compiler from leaving them out.
    """
    mask = np.uint64(table.size - 1)
    for i in range(begin, end):
        slots[i - begin] = _row_hash(rows, i) & mask
    touched = np.uint32(0)
    for slot in slots[: end - begin]:
        touched += kept[max(0, table[slot]), 0]
    return touched


@njit(cache=True, nogil=True)
def first_seen(rows: Bits) -> tuple[Indices, Indices]:
    """Number equal rows alike, in the order in which they first appear.

    Args:
        rows: (n, k) uint32.

    Returns:
        The number of every row, (n,), and the row where each number first appears, (m,).
    """
    number = np.empty(rows.shape[0], np.int32)
    first = np.empty(rows.shape[0], np.int32)
    kept = np.zeros((rows.shape[0] + 1, rows.shape[1]), np.uint32)  # one of each, side by side
    slots = np.empty(AHEAD, np.uint64)
    table = _larger_table(kept, 0)
    count = 0
    for begin in range(0, rows.shape[0], AHEAD):
        end = min(rows.shape[0], begin + AHEAD)
        if 2 * (count + AHEAD) > table.size:
            table = _larger_table(kept, count)
        _look_ahead(rows, begin, end, table, kept, slots)
        for i in range(begin, end):
            slot = slots[i - begin]
            while table[slot] >= 0 and not _same_row(rows, i, kept, table[slot]):
                slot = (slot + np.uint64(1)) & np.uint64(table.size - 1)
            if table[slot] < 0:
                table[slot] = count
                first[count] = i
                for k in range(rows.shape[1]):
                    kept[count, k] = rows[i, k]
                count += 1
            number[i] = table[slot]
    return number, first[:count].copy()


@njit(cache=True, nogil=True)
def _group_starts(faces: Faces, vertices: int) -> Indices:
    """Where the half-edges of each vertex start, (vertices + 1,), filed under their lower ones."""
    start = np.zeros(vertices + 1, np.int32)
    for f in range(faces.shape[0]):
        a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
        start[min(a, b) + 1] += 1
        start[min(b, c) + 1] += 1
        start[min(c, a) + 1] += 1
    for v in range(vertices):
        start[v + 1] += start[v]
    return start


@njit(cache=True, nogil=True)
def _edges_by_low(faces: Faces, start: Indices) -> tuple[Indices, Indices]:
    """All half-edges, grouped by the lower of their two vertices (a counting sort).

    Returns:
        The half-edges, (3m,), as `2 h`, and one more if they run upwards; the higher vertex of
        each.
    """
    fill = start[:-1].copy()
    edges = np.empty(3 * faces.shape[0], np.int32)
    highs = np.empty(3 * faces.shape[0], np.int32)
    for f in range(faces.shape[0]):
        for i in range(3):
            a, b = faces[f, i], faces[f, i + 1 if i < 2 else 0]
            place = fill[min(a, b)]
            edges[place] = 2 * (3 * f + i) + (a < b)
            highs[place] = max(a, b)
            fill[min(a, b)] = place + 1
    return edges, highs


@njit(cache=True, nogil=True)
def _sort_group(edges: Indices, highs: Indices) -> None:
    """Sort one group by the higher vertex, then by half-edge.

    A group has few members, where this is a plain insertion sort, but for the hub of a fan with
    its thousands, where wide gaps come first (Shell, Communications of the ACM 2, 1959; gaps by
    Knuth, The Art of Computer Programming 3, section 5.2.1).
    """
    gap = 1
    while 9 * gap < edges.size:
        gap = 3 * gap + 1
    while gap > 0:
        for i in range(gap, edges.size):
            edge, high = edges[i], highs[i]
            j = i - gap
            while j >= 0 and (highs[j] > high or (highs[j] == high and edges[j] > edge)):
                edges[j + gap], highs[j + gap] = edges[j], highs[j]
                j -= gap
            edges[j + gap], highs[j + gap] = edge, high
        gap //= 3


@njit(cache=True, nogil=True)
def _pair_edge(edges: Indices, twins: Indices, clashes: Indices) -> None:
    """Pair the half-edges of one edge: opposite ones as twins, the rest two by two as clashes.

    `edges` serves as the stack of those without a twin so far, which all run the same way.
    """
    count = 0
    for edge in edges:
        if count > 0 and (edges[count - 1] ^ edge) & 1:
            count -= 1
            mate = edges[count] >> 1
            twins[edge >> 1], twins[mate] = mate, edge >> 1
        else:
            edges[count] = edge
            count += 1
    for i in range(0, count - 1, 2):
        one, two = edges[i] >> 1, edges[i + 1] >> 1
        clashes[one], clashes[two] = two, one


@njit(cache=True, nogil=True)
def _pair_plain(faces: Faces, start: Indices, twins: Indices) -> bool:
    """Pair half-edges while no edge has more than two facets, running against each other.

    Returns:
        False at the first edge that has, with some pairs made.
    """
    fill = start[:-1].copy()
    # Of each edge met: its higher corner, and the half-edge that waits for its twin, -1 once found.
    met = np.empty((start[-1], 2), np.int32)
    for f in range(faces.shape[0]):
        for i in range(3):
            a, b = faces[f, i], faces[f, i + 1 if i < 2 else 0]
            low, high, edge = min(a, b), max(a, b), 2 * (3 * f + i) + (a < b)
            slot, end = start[low], fill[low]
            while slot < end and met[slot, 0] != high:
                slot += 1
            if slot == end:
                met[slot, 0], met[slot, 1] = high, edge
                fill[low] = end + 1
                continue
            other = met[slot, 1]
            if other < 0 or not (other ^ edge) & 1:
                return False
            twins[edge >> 1], twins[other >> 1] = other >> 1, edge >> 1
            met[slot, 1] = -1
    return True


@njit(cache=True, nogil=True)
def pair(faces: Faces, vertices: int) -> tuple[Indices, Indices, int]:
    """Find the other side of every half-edge.

    Where more than two facets meet at an edge, neighbours in the order of the facets are paired.
    What is left over at an edge all runs the same way: of two such facets one faces the wrong way,
    and they clash.

    Args:
        faces: (m, 3), no facet using a vertex twice.
        vertices: how many vertices there are.

    Returns:
        `twins` and `clashes`, (3m,) each: the half-edge running the other way between the same
        vertices, and the one running the same way; -1 where there is none. A half-edge in neither
        is open. Then the number of edges at which more than two facets meet.
    """
    twins = np.full(3 * faces.shape[0], -1, np.int32)
    clashes = np.full(3 * faces.shape[0], -1, np.int32)
    start = _group_starts(faces, vertices)
    if _pair_plain(faces, start, twins):
        return twins, clashes, 0
    twins[:] = -1
    edges, highs = _edges_by_low(faces, start)
    crowded = 0
    for v in range(vertices):
        a, end = start[v], start[v + 1]
        _sort_group(edges[a:end], highs[a:end])
        while a < end:
            b = a + 1
            while b < end and highs[b] == highs[a]:
                b += 1
            _pair_edge(edges[a:b], twins, clashes)
            crowded += b - a > 2
            a = b
    return twins, clashes, crowded


@njit(cache=True, nogil=True)
def _root(parent: Indices, turned: Flags, facet: int) -> tuple[int, int]:
    """The facet that stands for the shell of `facet`, and whether the two face unlike ways.

    Paths are halved on the way (Tarjan & van Leeuwen, Journal of the ACM 31, 1984).
    """
    odd = 0
    while parent[facet] != facet:
        up = parent[facet]
        turned[facet] ^= turned[up]
        parent[facet] = parent[up]
        odd ^= turned[facet]
        facet = parent[facet]
    return facet, odd


@njit(cache=True, nogil=True)
def _tie(parent: Indices, turned: Flags, links: Indices, odd: int) -> None:
    """Join the shells of all facets that `links` connects, `odd` if the two face unlike ways."""
    for h in range(links.size):
        if links[h] < h:
            continue
        one, one_odd = _root(parent, turned, h // 3)
        two, two_odd = _root(parent, turned, links[h] // 3)
        if one != two:
            low, high = min(one, two), max(one, two)
            parent[high] = low
            turned[high] = one_odd ^ two_odd ^ odd


@njit(cache=True, nogil=True)
def shells(twins: Indices, clashes: Indices) -> tuple[Indices, Flags]:
    """Gather facets that hang together by their edges.

    Of a surface with one side only (a Moebius strip) some clash is left unanswered.

    Args:
        twins: (3m,) as from `pair`.
        clashes: (3m,) as from `pair`.

    Returns:
        The lowest facet of each facet's shell, (m,), and whether it faces unlike that one, (m,).
    """
    count = twins.size // 3
    parent = np.arange(count).astype(np.int32)
    turned = np.zeros(count, np.uint8)
    _tie(parent, turned, twins, 0)
    _tie(parent, turned, clashes, 1)
    shell = np.empty(count, np.int32)
    unlike = np.empty(count, np.uint8)
    for facet in range(count):
        shell[facet], unlike[facet] = _root(parent, turned, facet)
    return shell, unlike
