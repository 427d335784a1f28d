"""Feeds in store: energy and protein as published for the kind, prices and stocks made up."""

from __future__ import annotations

from typing import Any

SILAGE: dict[str, Any] = {
    "feed": "Grass silage, first cut",
    "dm": 28.0,
    "me": 10.1,
    "cp": 12.0,
    "kind": "forage",
    "price": 38.0,
    "stock": 620.0,
    "cu": 8.0,
    "mg": 1.8,
}
LATE_SILAGE: dict[str, Any] = {
    "feed": "Grass silage, late cut",
    "dm": 30.0,
    "me": 8.8,
    "cp": 10.0,
    "kind": "forage",
    "price": 28.0,
    "stock": 410.0,
    "cu": 8.0,
    "mg": 1.6,
}
HAY: dict[str, Any] = {
    "feed": "Meadow hay",
    "dm": 85.0,
    "me": 9.0,
    "cp": 8.3,
    "kind": "forage",
    "price": 110.0,
    "stock": 36.0,
}
STRAW: dict[str, Any] = {
    "feed": "Barley straw",
    "dm": 86.0,
    "me": 6.5,
    "cp": 3.5,
    "kind": "straw",
    "price": 95.0,
    "stock": 70.0,
}
BARLEY: dict[str, Any] = {
    "feed": "Barley, rolled",
    "dm": 87.0,
    "me": 13.2,
    "cp": 11.0,
    "kind": "concentrate",
    "price": 185.0,
    "stock": 24.0,
    "cu": 5.0,
    "mg": 1.2,
}
COARSE_RATION: dict[str, Any] = {
    "feed": "Coarse ration, 16 %",
    "dm": 87.0,
    "me": 12.5,
    "cp": 17.0,
    "kind": "concentrate",
    "price": 265.0,
    "stock": 6.0,
}
MINERAL: dict[str, Any] = {
    "feed": "Pre-calving mineral",
    "dm": 98.0,
    "me": 0.0,
    "kind": "mineral",
    "price": 720.0,
    "stock": 1.0,
    "cu": 1500.0,
    "se": 30.0,
    "i": 250.0,
    "mg": 100.0,
    "dose": 100.0,
}
MAGNESIUM_LICK: dict[str, Any] = {
    "feed": "Magnesium lick bucket",
    "dm": 97.0,
    "me": 0.0,
    "kind": "lick",
    "price": 980.0,
    "stock": 0.5,
    "mg": 120.0,
    "dose": 150.0,
}
