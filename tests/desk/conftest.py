from __future__ import annotations

from tests.window_rig import nothing_left_over as nothing_left_over
