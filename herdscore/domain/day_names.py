"""Names of months and days of the week in English, whatever the computer speaks; short forms are their first three."""

from __future__ import annotations

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
SHORT_MONTHS = tuple(name[:3] for name in MONTHS)
SHORT_DAYS = tuple(name[:3] for name in DAYS)
