"""Made-up datasheets for the tests: a small writer of PDF pages, workbooks, and copies of the shipped tables."""

import csv
import io
import shutil
import zlib
from pathlib import Path

from selector.catalogue.catalogue import shipped_tables


def copied_tables(folder):
    """A copy of the shipped tables below ``folder``."""
    target = Path(folder) / "tables"
    target.mkdir(parents=True)
    for path in sorted(shipped_tables().glob("*.csv")):
        if path.name != "history.csv":
            shutil.copyfile(path, target / path.name)
    return target


def rows_of(path):
    """Rows of a plain table by key, cells as written."""
    with open(path, newline="", encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    first = next(iter(rows[0]))
    return {row[first]: row for row in rows}


def csv_text(rows, delimiter=",", line_end="\n"):
    """Rows of cells as CSV text."""
    stream = io.StringIO(newline="")
    csv.writer(stream, delimiter=delimiter, lineterminator=line_end).writerows(rows)
    return stream.getvalue()


class Pdf:
    """Pages of text, lines and grey pictures, enough for a table in a datasheet."""

    def __init__(self):
        self.pages = []
        self.page()

    def page(self):
        """A new page, A4."""
        self.pages.append(([], False))

    def text(self, x, y, text, size=9):
        """A text with its left end at x, y points from the upper left corner."""
        raw = text.encode("cp1252").replace(b"\\", b"\\\\").replace(b"(", b"\\(").replace(b")", b"\\)")
        self.pages[-1][0].append(b"BT /F1 %g Tf 1 0 0 1 %g %g Tm (%s) Tj ET" % (size, x, 842 - y, raw))

    def line(self, x0, y0, x1, y1):
        """A thin line."""
        self.pages[-1][0].append(b"0.5 w %g %g m %g %g l S" % (x0, 842 - y0, x1, 842 - y1))

    def scan(self):
        """Make this page a picture without text."""
        self.pages[-1] = ([b"q 500 0 0 700 40 70 cm /Im0 Do Q"], True)

    def ruled(self, left, top, widths, rows, height=16, size=8):
        """A table with lines; a cell given as (text, columns) spans that many, None belongs to the cell above."""
        edges = [left]
        for width in widths:
            edges.append(edges[-1] + width)
        y = top
        for number, row in enumerate(rows):
            at = 0
            for cell in row:
                text, span = cell if isinstance(cell, tuple) else (cell, 1)
                if text is not None:
                    self.line(edges[at], y, edges[at + span], y)
                    for piece, part in enumerate(text.split("\n")):
                        self.text(edges[at] + 3, y + 11 + 9 * piece, part, size)
                self.line(edges[at], y, edges[at], y + height)
                at += span
            self.line(edges[-1], y, edges[-1], y + height)
            y += height
            if number == len(rows) - 1:
                self.line(edges[0], y, edges[-1], y)
        return y

    def loose(self, lefts, top, rows, pitch=14, size=9):
        """A table without lines: texts at given left ends."""
        for number, row in enumerate(rows):
            for left, cell in zip(lefts, row, strict=True):
                if cell:
                    self.text(left, top + number * pitch, cell, size)
        return top + len(rows) * pitch

    def write(self, path):
        """Write the file."""
        objects = [b"<< /Type /Catalog /Pages 2 0 R >>", b""]
        objects.append(b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>")
        picture = zlib.compress(bytes(range(64)) * 64)
        objects.append(
            b"<< /Type /XObject /Subtype /Image /Width 64 /Height 64 /ColorSpace /DeviceGray /BitsPerComponent 8 "
            b"/Filter /FlateDecode /Length %d >>\nstream\n%s\nendstream" % (len(picture), picture)
        )
        kids = []
        for parts, _ in self.pages:
            stream = b"\n".join(parts)
            objects.append(b"<< /Length %d >>\nstream\n%s\nendstream" % (len(stream), stream))
            objects.append(
                b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents %d 0 R "
                b"/Resources << /Font << /F1 3 0 R >> "
                b"/XObject << /Im0 4 0 R >> >> >>" % len(objects)
            )
            kids.append(len(objects))
        objects[1] = b"<< /Type /Pages /Kids [%s] /Count %d >>" % (b" ".join(b"%d 0 R" % k for k in kids), len(kids))
        out, places = bytearray(b"%PDF-1.4\n"), []
        for number, body in enumerate(objects, 1):
            places.append(len(out))
            out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
        start = len(out)
        out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
        out += b"".join(b"%010d 00000 n \n" % place for place in places)
        out += b"trailer << /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, start)
        Path(path).write_bytes(bytes(out))
