"""`python -m herdscore` is `herdscore`."""

from __future__ import annotations

import sys

from herdscore.app import main

if __name__ == "__main__":
    sys.exit(main())
