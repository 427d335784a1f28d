"""Numbers of ear tags: the forms a reader says them in, range checks, the UK check digit, and how they are shown.

Layout and ranges are those of ISO 11784; tag codes those of Implementing Regulation (EU) 2021/520, Article 12.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum, auto

LARGEST_NATIONAL = 2**38 - 1
LARGEST_COUNTRY = 999
LONGEST_TAG = 24
"""Characters of any number taken for a tag: longer ones are two numbers run together."""
_FLAG, _RETAG, _USER, _RESERVED, _COUNTRY = 63, 60, 55, 49, 38  # lowest bit of each field; bit 48: more data follows

# ISO 3166-1, numeric; Greece is EL and Northern Ireland XI (899) in tag codes.
COUNTRIES = {
    "AT": 40,
    "BE": 56,
    "BG": 100,
    "CH": 756,
    "CY": 196,
    "CZ": 203,
    "DE": 276,
    "DK": 208,
    "EE": 233,
    "EL": 300,
    "ES": 724,
    "FI": 246,
    "FR": 250,
    "HR": 191,
    "HU": 348,
    "IE": 372,
    "IT": 380,
    "LT": 440,
    "LU": 442,
    "LV": 428,
    "MT": 470,
    "NL": 528,
    "NO": 578,
    "PL": 616,
    "PT": 620,
    "RO": 642,
    "SE": 752,
    "SI": 705,
    "SK": 703,
    "UK": 826,
    "XI": 899,
}
_UK = 826
_WITH_LETTERS = ("UK", "IE", "ES", "IT", "PT")  # letters among the twelve places, animals born before 2000

_NOT_SAID = re.compile(r"[\x00-\x1f\x7f]+")
_BETWEEN = re.compile(r"[ _.:;,=/#\-]+")
_DECIMAL = re.compile(r"(?<![0-9A-F])[01]?(\d{3})[ _.\-]?(\d{12})(?![0-9A-F])")
_DOT_HEX = re.compile(r"(?<![0-9A-Z])([0-9A-F]{3})\.([0-9A-F]{6,10})(?![0-9A-Z])")
_HEX = re.compile(r"(?<![0-9A-Z])(?:0X)?([0-9A-F]{16})(?![0-9A-Z])")
_UK_TAG = re.compile(r"[A-Z]*UK(\d{6})(\d)(\d{5})")
_CODE = re.compile(r"([A-Z]{2}|\d{3})([0-9A-Z]{1,12})")
_PLAIN = re.compile(r"[0-9A-Z]+")


class Kind(Enum):
    """What a number is: the code inside an electronic tag, a code printed on one, or any other number."""

    EID = auto()
    UK_TAG = auto()
    TAG = auto()
    PLAIN = auto()


@dataclass(frozen=True, slots=True)
class Reading:
    """A number understood, without blanks: 15 digits of an EID, letters and digits of a tag.

    `checked`: whether the check digit of a UK tag is right, None where there is none.
    """

    kind: Kind
    number: str
    checked: bool | None = None


@dataclass(frozen=True, slots=True)
class Misread:
    """A number that cannot be, and why."""

    text: str
    why: str


def read(text: str) -> Reading | Misread:
    """Understand what a reader said or a person typed, in the order in which the forms exclude each other.

    >>> read("\\x02999 123456789012\\r").number, read("8000F9DCBE991A14").number, read("3E7.1CBE991A14").number
    ('999123456789012', '999123456789012', '999123456789012')
    >>> read("uk 123450 600001")
    Reading(kind=<Kind.UK_TAG: 2>, number='UK123450600001', checked=True)
    """
    said = _NOT_SAID.sub(" ", text).strip().upper()
    if not said:
        return Misread(text, "nothing was said")
    decimal = list(_DECIMAL.finditer(said))
    code = _HEX.search(said)
    if decimal:
        country, national = decimal[-1].groups()
        found = _eid(text, int(country), int(national))
        # Sixteen figures that are out of range with the first one dropped may be a hex number without letters.
        return found if isinstance(found, Reading) or code is None else _of_bits(text, code[1])
    dotted = _DOT_HEX.search(said)
    if dotted:
        return _eid(text, int(dotted[1], 16), int(dotted[2], 16))
    if code:
        return _of_bits(text, code[1])
    digits = re.sub(r"^[A-Z]+", "", _BETWEEN.sub("", said))
    if re.fullmatch(r"[01]?\d{15}", digits):
        return _eid(text, int(digits[-15:-12]), int(digits[-12:]))
    return _printed(text, _BETWEEN.sub("", said))


def check_digit(herd_mark: str, serial: str) -> int:
    """Check digit of a UK tag, 1 to 7, from its six-figure herd mark and five-figure serial.

    >>> check_digit("123450", "00001"), check_digit("284205", "00017")
    (6, 1)
    """
    return int(herd_mark + serial) % 7 + 1


def eid_of(text: str) -> str | None:
    """The 15 digits of an electronic tag in any form, None when it is anything else.

    >>> eid_of("276 000312312345"), eid_of("512")
    ('276000312312345', None)
    """
    found = read(text)
    return found.number if isinstance(found, Reading) and found.kind is Kind.EID else None


def is_code(text: str) -> bool:
    """Whether a text is a tag code as the regulation has it: two letters or three digits, then at most twelve digits.

    >>> is_code("UK 123450 600001"), is_code("372 1234567890123"), is_code("Daisy 7")
    (True, False, False)
    """
    return re.fullmatch(r"([A-Z]{2}|\d{3})\d{1,12}", _BETWEEN.sub("", text).upper()) is not None


def show(number: str) -> str:
    """A number in groups, as it is read out.

    >>> show("UK123450600001"), show("FR1234567890"), show("276000312312345"), show("826123450600001")
    ('UK 123450 600001', 'FR 12 3456 7890', '276 0003 1231 2345', '826 123450 600001')
    """
    plain = "".join(number.split()).upper()
    if re.fullmatch(r"\d{15}", plain):
        head, rest = plain[:3], plain[3:]
        return _grouped(head, rest, (6, 6) if int(head) == _UK else (4, 4, 4))
    code = re.fullmatch(r"([A-Z]{2})([0-9A-Z]{5,12})", plain)
    if code is None or code[1] not in COUNTRIES:
        return number.strip()
    if code[1] == "UK" and len(code[2]) == 12:
        return _grouped("UK", code[2], (6, 6))
    return _grouped(code[1], code[2], (2, 4, 4) if code[1] == "FR" else (4, 4, 4))


def to_hex(eid: str, *, reversed_bits: bool = False) -> str:
    """An EID of an animal as 16 hex digits, first bit first or last.

    >>> to_hex("276000312312345"), to_hex("999123456789012", reversed_bits=True)
    ('80004500129D8219', '2858997D3B9F0001')
    """
    bits = (1 << _FLAG) | (int(eid[:3]) << _COUNTRY) | int(eid[3:])
    return f"{_turned(bits) if reversed_bits else bits:016X}"


def to_dot_hex(eid: str) -> str:
    """An EID as country and number in hex.

    >>> to_dot_hex("999123456789012")
    '3E7.1CBE991A14'
    """
    return f"{int(eid[:3]):03X}.{int(eid[3:]):010X}"


def _eid(text: str, country: int, national: int) -> Reading | Misread:
    if not 1 <= country <= LARGEST_COUNTRY:
        return Misread(text, f"no country or maker has the code {country}")
    if national > LARGEST_NATIONAL:
        return Misread(text, f"the number after the country is above {LARGEST_NATIONAL}, more than a tag can hold")
    return Reading(Kind.EID, f"{country:03d}{national:012d}")


def _of_bits(text: str, code: str) -> Reading | Misread:
    """64 bits, whichever end comes first: the reading of an animal's tag that leaves the reserved bits empty."""
    bits = int(code, 16)
    readings = [one for one in (bits, _turned(bits)) if one >> _FLAG and 1 <= _country(one) <= LARGEST_COUNTRY]
    if not readings:
        return Misread(text, "it is not the number of an animal's tag")
    best = min(readings, key=_strange)
    return _eid(text, _country(best), best & LARGEST_NATIONAL)


def _country(bits: int) -> int:
    return (bits >> _COUNTRY) & 0x3FF


def _strange(bits: int) -> tuple[bool, bool]:
    """How little a value looks like a tag: reserved bits set, then counter or user field set."""
    return bool(bits >> _RESERVED & 0x3F), bool(bits >> _USER & 0x1F or bits >> _RETAG & 0x7)


def _turned(bits: int) -> int:
    return int(f"{bits:064b}"[::-1], 2)


def _printed(text: str, plain: str) -> Reading | Misread:
    uk = _UK_TAG.fullmatch(plain)
    if uk:
        herd_mark, check, serial = uk.groups()
        right = check_digit(herd_mark, serial) == int(check)
        return Reading(Kind.UK_TAG, f"UK{herd_mark}{check}{serial}", right)
    code = _CODE.fullmatch(plain)
    if code and code[1] in COUNTRIES and (code[2].isdigit() or code[1] in _WITH_LETTERS):
        return Reading(Kind.TAG, plain)
    if _PLAIN.fullmatch(plain) and len(plain) <= LONGEST_TAG:
        return Reading(Kind.PLAIN, plain)
    return Misread(text, "it is not the number of a tag")


def _grouped(head: str, rest: str, sizes: tuple[int, ...]) -> str:
    parts, at = [head], 0
    for size in sizes:
        parts.append(rest[at : at + size])
        at += size
    return " ".join(part for part in (*parts, rest[at:]) if part)
