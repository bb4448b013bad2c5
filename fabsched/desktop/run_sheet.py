"""The run sheet on paper: A4, a tick box before everything that is to be done.

Everything is laid out first as lines that know their height, then shared out over pages, then drawn;
so that each page can say how many there are, and nothing is cut in two.
"""

import re
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QUuid
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter

from fabsched.desktop.offscreen import application
from fabsched.desktop.paper_items import Item, Paper, items_of
from fabsched.files.atomic import write_bytes_atomic
from fabsched.session.export_records import RunSheet

MARGIN_MM = 14.0
DPI = 600
"""Fine enough that no letter is moved to be seen."""
INFO_DATE = re.compile(rb"(/(?:Creation|Mod)Date \(D:)\d{14}(Z|[+-]\d\d'\d\d')")
XMP_DATE = re.compile(rb'(xmp:\w+Date=")\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d')
"""Where a PDF says when it was made (ISO 32000-1, 14.3.2 and 14.3.3)."""


def print_run_sheet(sheet: RunSheet, path: Path, *, now_s: int) -> None:
    """Put a run sheet into a PDF file, which is written whole or not at all.

    Args:
        sheet: what belongs on it.
        path: the file.
        now_s: the present moment, which the file is dated with.

    Raises:
        InputError: the file cannot be written.
    """
    with application():
        data = _pdf(sheet, now_s)
    write_bytes_atomic(path, data)


def pages_of(items: Sequence[Item], height: float) -> list[list[Item]]:
    """Share items out over pages.

    Args:
        items: in order; one that `leads` stays with what follows.
        height: room on a page, in the same unit as the items' heights. An item that is higher has a
            page of its own.
    """
    pages: list[list[Item]] = [[]]
    for group in _groups(items):
        used = sum(item.height for item in pages[-1])
        if pages[-1] and used + sum(item.height for item in group) > height:
            pages.append([])
        pages[-1].extend(group)
    return pages


def _groups(items: Sequence[Item]) -> list[list[Item]]:
    """Items that must not be parted."""
    groups: list[list[Item]] = []
    leading = False
    for item in items:
        if leading:
            groups[-1].append(item)
        else:
            groups.append([item])
        leading = item.leads
    return groups


def _pdf(sheet: RunSheet, now_s: int) -> bytes:
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    margins = QMarginsF(MARGIN_MM, MARGIN_MM, MARGIN_MM, MARGIN_MM)
    writer.setPageMargins(margins, QPageLayout.Unit.Millimeter)
    writer.setResolution(DPI)
    writer.setTitle(sheet.title)
    writer.setCreator("fabsched")
    writer.setDocumentId(QUuid(str(uuid5(NAMESPACE_URL, f"fabsched:{sheet.title}:{now_s}"))))
    _print(writer, sheet)
    buffer.close()
    return _dated(bytes(data.data()), now_s)


def _print(writer: QPdfWriter, sheet: RunSheet) -> None:
    painter = QPainter(writer)
    paper = Paper(writer)
    pages = pages_of(items_of(sheet, paper), paper.height - paper.foot)
    for number, items in enumerate(pages, start=1):
        if number > 1:
            writer.newPage()
        top = 0.0
        for item in items:
            item.draw(painter, top)
            top += item.height
        paper.draw_foot(painter, sheet.title, f"{number} / {len(pages)}")
    painter.end()


def _dated(data: bytes, now_s: int) -> bytes:
    """The file dated with the moment given instead of that of its making.

    Dates are replaced by ones as long, so that the offsets in the file hold.
    """
    moment = datetime.fromtimestamp(now_s, UTC)

    def info(found: re.Match[bytes]) -> bytes:
        zone = b"Z" if found[2] == b"Z" else b"+00'00'"
        return found[1] + f"{moment:%Y%m%d%H%M%S}".encode() + zone

    def xmp(found: re.Match[bytes]) -> bytes:
        return found[1] + f"{moment:%Y-%m-%dT%H:%M:%S}+00:00".encode()

    return XMP_DATE.sub(xmp, INFO_DATE.sub(info, data))
