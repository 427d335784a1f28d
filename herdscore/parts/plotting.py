"""Brings along what charts are plotted with, in steps each too short to be felt."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from importlib import import_module

from PySide6 import QtCore, QtGui, QtWidgets

_AT_ONCE = 40  # names of Qt looked up in a step
_MORE_OF_QT = ("QtSvg", "QtTest", "QtOpenGL", "QtOpenGLWidgets")


def bring_plotting(_report: Callable[..., None] | None = None) -> Iterator[None]:
    """Steps after which charts can be plotted, to be taken on the window's thread.

    pyqtgraph touches every class of Qt, and each is completed when it is first touched: on another thread the window
    might meet one half done.
    """
    if "pyqtgraph" not in sys.modules:
        for module in (QtCore, QtGui, QtWidgets):
            for count, name in enumerate(dir(module), 1):
                getattr(module, name)
                if count % _AT_ONCE == 0:
                    yield
        for name in _MORE_OF_QT:
            import_module(f"PySide6.{name}")
            yield
    import_module("pyqtgraph")
    yield
