"""Pictures saved to a file: as dots (.png) or as drawn shapes that grow without blur (.svg)."""

from __future__ import annotations

import base64
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QImage, QImageWriter, QPainter, QPicture
from PySide6.QtWidgets import QWidget

from herdscore import shipped
from herdscore.errors import Problem
from herdscore.files import write_whole
from herdscore.parts.theme import FAMILY

_FONT_FILES = {
    400: "InterTab-Regular.ttf",
    500: "InterTab-Medium.ttf",
    600: "InterTab-SemiBold.ttf",
    700: "InterTab-Bold.ttf",
}
DOTS_A_PX = 2
_SOON_PRESSED = 40  # of 100: a quarter sooner done for a file a tenth larger
Paint = Callable[[QPainter], None]


def save_picture(path: Path, size: QSize, paint: Paint) -> Path:
    """Save what `paint` draws into a box of `size` px; the ending of the path says in which form."""
    form = path.suffix.lower()
    if form == ".svg":
        data = _as_svg(size, paint, path.stem)
    elif form == ".png":
        data = _as_png(size, paint)
    else:
        raise Problem(f"A picture is not saved as {form or 'a folder'}.", "", "Choose a name ending in .png or .svg.")
    return write_whole(path, data)


def paint_widget(widget: QWidget) -> Paint:
    """Draw a widget with what is inside it, as it is on the screen; as shapes on paper too."""

    def paint(painter: QPainter) -> None:
        # Straight onto a printer Qt would render a picture of dots.
        drawn = QPicture()
        into = QPainter(drawn)
        widget.render(into, QPoint(0, 0))
        into.end()
        painter.drawPicture(0, 0, drawn)

    return paint


def _as_png(size: QSize, paint: Paint) -> bytes:
    image = QImage(size * DOTS_A_PX, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(DOTS_A_PX)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    paint(painter)
    painter.end()
    held = QByteArray()
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QImageWriter(buffer, QByteArray(b"png"))  # QImage.save refuses the bytes its types ask for
    writer.setCompression(_SOON_PRESSED)
    writer.write(image)
    return bytes(held.data())


def _as_svg(size: QSize, paint: Paint, title: str) -> bytes:
    from PySide6.QtSvg import QSvgGenerator  # late: nothing else needs it

    held = QByteArray()
    buffer = QBuffer(held)
    made = QSvgGenerator()
    made.setOutputDevice(buffer)
    made.setResolution(96)
    made.setSize(size)
    made.setViewBox(QRect(QPoint(0, 0), size))
    made.setTitle(title)
    painter = QPainter(made)
    paint(painter)
    painter.end()
    return _with_fonts(bytes(held.data()).decode("utf-8")).encode("utf-8")


def _with_fonts(drawn: str) -> str:
    """The program's type put into the picture, in the weights it uses: on another computer words keep their width."""
    faces = []
    for weight, file in sorted(_FONT_FILES.items()):
        if f'font-weight="{weight}"' in drawn and f'font-family="{FAMILY}"' in drawn:
            held = base64.b64encode((shipped.resources() / "fonts" / file).read_bytes()).decode("ascii")
            source = f"src:url(data:font/ttf;base64,{held}) format('truetype')"
            faces.append(f"@font-face{{font-family:'{FAMILY}';font-weight:{weight};{source}}}")
    return drawn.replace("<defs>", f"<defs><style>{''.join(faces)}</style>", 1) if faces else drawn
