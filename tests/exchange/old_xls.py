"""The least an old .xls needs: BIFF8 records of one sheet inside a compound file of 512-byte sectors.

Record numbers and layouts as in the published MS-XLS and MS-CFB specifications, from memory, checked by reading.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from datetime import date
from pathlib import Path

_FREE, _END, _FAT = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD
_SECTOR = 512


def old_xls(path: Path, name: str, rows: Sequence[Sequence[object]]) -> Path:
    """Write rows of text, numbers, dates and errors ("#REF!") to one sheet."""
    path.write_bytes(_compound(_workbook(name, rows)))
    return path


def _record(number: int, data: bytes = b"") -> bytes:
    return struct.pack("<HH", number, len(data)) + data


def _bof(kind: int) -> bytes:
    return _record(0x0809, struct.pack("<HHHHII", 0x0600, kind, 0x0DBB, 0x07CC, 0, 6))


def _workbook(name: str, rows: Sequence[Sequence[object]]) -> bytes:
    plain, dated = (_record(0x00E0, struct.pack("<HHHBBBBIIH", 0, form, 0, 0x20, 0, 0, 0, 0, 0, 0)) for form in (0, 14))
    before = (
        _bof(0x0005) + _record(0x0042, struct.pack("<H", 1200)) + _record(0x0022, struct.pack("<H", 0)) + plain + dated
    )
    label = struct.pack("<BB", len(name), 0) + name.encode("latin-1")
    start = len(before) + 4 + 6 + len(label) + 4
    book = before + _record(0x0085, struct.pack("<IBB", start, 0, 0) + label) + _record(0x000A)
    width = max(len(row) for row in rows)
    sheet = _bof(0x0010) + _record(0x0200, struct.pack("<IIHHH", 0, len(rows), 0, width, 0))
    for row, cells in enumerate(rows):
        for column, cell in enumerate(cells):
            sheet += _cell(row, column, cell)
    return book + sheet + _record(0x000A)


def _cell(row: int, column: int, cell: object) -> bytes:
    if cell is None:
        return b""
    if isinstance(cell, str) and cell.startswith("#"):
        return _record(0x0205, struct.pack("<HHHBB", row, column, 0, 0x17, 1))
    if isinstance(cell, str):
        return _record(0x0204, struct.pack("<HHHHB", row, column, 0, len(cell), 1) + cell.encode("utf-16-le"))
    if isinstance(cell, date):
        serial = float(cell.toordinal() - date(1899, 12, 30).toordinal())
        return _record(0x0203, struct.pack("<HHHd", row, column, 1, serial))
    assert isinstance(cell, int | float)
    return _record(0x0203, struct.pack("<HHHd", row, column, 0, float(cell)))


def _compound(stream: bytes) -> bytes:
    """One stream, Workbook, padded past the limit for short streams; FAT, directory, then the stream."""
    stream = stream.ljust(4096, b"\0")
    stream += b"\0" * (-len(stream) % _SECTOR)
    count = len(stream) // _SECTOR
    fat = [_FAT, _END, *range(3, 2 + count), _END]
    fat += [_FREE] * (_SECTOR // 4 - len(fat))
    directory = _entry("Root Entry", 5, 1, _END, 0) + _entry("Workbook", 2, _FREE, 2, len(stream))
    directory = directory.ljust(_SECTOR, b"\0")
    head = bytes.fromhex("D0CF11E0A1B11AE1") + b"\0" * 16 + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6) + b"\0" * 6
    head += struct.pack("<IIIIIIIII", 0, 1, 1, 0, 4096, _END, 0, _END, 0)
    head += struct.pack("<109I", 0, *[_FREE] * 108)
    return head + struct.pack(f"<{len(fat)}I", *fat) + directory + stream


def _entry(name: str, kind: int, child: int, start: int, size: int) -> bytes:
    text = (name + "\0").encode("utf-16-le")
    data = text.ljust(64, b"\0") + struct.pack("<HBBIII", len(text), kind, 1, _FREE, _FREE, child)
    return data + b"\0" * 36 + struct.pack("<IQ", start, size)
