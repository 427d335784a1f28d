from __future__ import annotations

from tests.window_rig import dressed as dressed
from tests.window_rig import look as look
from tests.window_rig import new_rig as new_rig
from tests.window_rig import nothing_left_over as nothing_left_over
from tests.window_rig import rig as rig
