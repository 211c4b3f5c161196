"""Words of caution that several checks say; each defers to what no program can decide."""

from __future__ import annotations

FALLING = (
    "The load can fall when what holds it gives way: where that can hurt someone, have it assessed under the "
    "applicable standards and local codes by a licensed or otherwise qualified engineer"
)
PINCHING = (
    "The drive can pinch with this force: guard or limit it as the applicable standards and local codes ask"
)
STORED_ENERGY = (
    "A load held by friction or a drive pressed into its stop keeps energy: secure it before working on it"
)
VIBRATION = "Vibration can loosen what friction holds at any ratio: add a brake or detent, or test"
