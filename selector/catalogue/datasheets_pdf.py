"""Tables on the pages of a PDF: ruled ones by their lines, others by the white between their columns.

The package that takes pages apart is optional (extra ``pdf``). A page without a text layer is a picture and is said to
be one; nothing is guessed from pictures.
"""

import itertools
import re
import statistics

from selector.catalogue.datasheets import Grid, _clean, cannot

_NUMBER = re.compile(r"\d")


def read_pdf(path):
    """The grids of a PDF, page by page."""
    try:
        import pdfplumber
    except ImportError:
        raise cannot(
            path.name, None, "this is a PDF, and the package that reads them is not installed",
            "Install it with the extra 'pdf' (pip install 'offgrid-power-selector[pdf]'), or give the table as CSV.",
        ) from None  # fmt: skip
    import logging

    logging.getLogger("pdfminer").setLevel(logging.ERROR)
    try:
        book = pdfplumber.open(path)
    except Exception as error:  # the package raises whatever the broken part of the file provokes
        raise cannot(
            path.name, None, f"this is not a PDF that can be read ({type(error).__name__})", "Has it a password?"
        ) from None
    grids, scans = [], []
    with book:
        for number, page in enumerate(book.pages, 1):
            try:
                if not page.chars:
                    scans.append(number)
                    continue
                grids += _ruled(path.name, number, page) or _loose(path.name, number, page)
            except Exception as error:
                raise cannot(
                    path.name,
                    None,
                    f"page {number} cannot be taken apart ({type(error).__name__})",
                    "Give the table as CSV.",
                ) from None
    said = "page" if len(scans) == 1 else "pages"
    note = (
        f"{said} {', '.join(map(str, scans))}: a scan, a picture without text; nothing was read there" if scans else ""
    )
    if scans and not grids:
        raise cannot(path.name, None, note, "Type the table into a CSV, or have the page recognised first.")
    if scans:
        grids[0].notes.append(note)
    return grids


def _ruled(name, number, page):
    """Tables with lines around their cells."""
    grids = []
    boxes = []
    for table in page.find_tables():
        cells = [cell for cell in table.cells if cell]
        lefts = _edges([c[0] for c in cells] + [c[2] for c in cells])
        tops = _edges([c[1] for c in cells] + [c[3] for c in cells])
        if len(lefts) < 3 or len(tops) < 3:
            continue
        texts = {}
        for cell in cells:
            words = page.crop(cell, strict=False).extract_text(x_tolerance=1.5) or ""
            texts[cell] = _clean(words.replace("\n", " "))
        grid = Grid(f"{name} page {number}")
        for row in range(len(tops) - 1):
            middle = (tops[row] + tops[row + 1]) / 2
            line = []
            for column in range(len(lefts) - 1):
                at = (lefts[column] + lefts[column + 1]) / 2
                line.append(next((texts[c] for c in cells if c[0] <= at <= c[2] and c[1] <= middle <= c[3]), ""))
            if any(line):
                grid.rows.append(line)
                grid.places.append(f"page {number} row {row + 1}")
        if len(grid.rows) >= 2:
            grids.append(grid)
            boxes.append(table.bbox)
    if grids:
        outside = [line for line in _lines(page) if not any(b[1] - 1 <= line[0] <= b[3] + 1 for b in boxes)]
        for grid in grids:
            grid.loose = [" ".join(word["text"] for word in words) for _, words in outside]
    return grids


def _edges(values):
    """Distinct places of lines, those within 2 points being one."""
    edges = []
    for value in sorted(values):
        if not edges or value - edges[-1] > 2:
            edges.append(value)
    return edges


def _lines(page):
    """(top, words) of every line of text, from top to bottom; a raised footnote mark belongs to its line."""
    words = page.extract_words(x_tolerance=1.5, y_tolerance=2, extra_attrs=["size"])
    lines = []
    for word in sorted(words, key=lambda w: (w["bottom"], w["x0"])):
        if lines and word["bottom"] - lines[-1][0] <= 0.45 * max(word["size"], lines[-1][1][-1]["size"]):
            lines[-1][1].append(word)
        else:
            lines.append([word["bottom"], [word]])
    return [(bottom, sorted(own, key=lambda w: w["x0"])) for bottom, own in lines]


def _pieces(words):
    """Words of one line joined to cells: a gap of more than a wide space parts them."""
    pieces = []
    for word in words:
        if pieces and word["x0"] - pieces[-1][1] <= 0.55 * word["size"]:
            pieces[-1][1] = word["x1"]
            gap = "" if word["x0"] - pieces[-1][3] < 0.12 * word["size"] else " "
            pieces[-1][2] += gap + word["text"]
            pieces[-1][3] = word["x1"]
        else:
            pieces.append([word["x0"], word["x1"], word["text"], word["x1"]])
    return [(x0, x1, text) for x0, x1, text, _ in pieces]


def _loose(name, number, page):
    """Tables without lines: columns by the white that runs down between them."""
    lines = [(bottom, _pieces(words)) for bottom, words in _lines(page)]
    blocks = _blocks(lines)
    grids = []
    inside = {id(line) for block in blocks for line in block}
    around = [" ".join(p[2] for p in line[1]) for line in lines if id(line) not in inside]
    for block in blocks:
        columns = _columns(block)
        if len(columns) < 2:
            continue
        grid = Grid(f"{name} page {number}", loose=around)
        pitch = statistics.median([b[0] - a[0] for a, b in itertools.pairwise(block)] or [12.0])
        last = None
        for bottom, pieces in block:
            cells = _placed(pieces, columns)
            close = last is not None and bottom - last < 0.8 * pitch
            if close and not all(cells) and grid.rows and any(_NUMBER.search(c) for c in grid.rows[-1]):
                _wrap(grid, cells)
                last = bottom
                continue
            last = bottom
            grid.rows.append(cells)
            grid.places.append(f"page {number} line {1 + next(i for i, line in enumerate(lines) if line[0] == bottom)}")
        if len(grid.rows) >= 2:
            grids.append(grid)
    return grids


def _wrap(grid, cells):
    """A line that goes on with the row above."""
    above = grid.rows[-1]
    grid.rows[-1] = [_clean(f"{a} {b}") for a, b in zip(above, cells, strict=True)]
    if any(b and _NUMBER.search(b) and a and _NUMBER.search(a) for a, b in zip(above[1:], cells[1:], strict=True)):
        grid.remarks[len(grid.rows) - 1] = "!a cell of numbers runs over two lines"


def _blocks(lines):
    """Runs of lines that look like rows: at least two cells each; a lone line between them belongs to them."""
    blocks, current, lone = [], [], []
    for line in lines:
        if len(line[1]) >= 2:
            if current and line[0] - current[-1][0] > 60:
                blocks.append(current)
                current, lone = [], []
            current += [*lone, line]
            lone = []
        elif current:
            lone.append(line)
            if len(lone) > 2:
                blocks.append(current)
                current, lone = [], []
    if current:
        blocks.append(current)
    return [block for block in blocks if sum(len(line[1]) >= 2 for line in block) >= 2]


def _columns(block):
    """(left, right) of each column, from the lines that carry numbers."""
    body = [pieces for _, pieces in block if len(pieces) >= 2 and sum(bool(_NUMBER.search(p[2])) for p in pieces) >= 1]
    widest = statistics.mode([len(pieces) for pieces in body]) if body else 0
    body = [pieces for pieces in body if len(pieces) >= 0.6 * widest]
    spans = sorted((x0, x1) for pieces in body for x0, x1, _ in pieces)
    columns = []
    for x0, x1 in spans:
        if columns and x0 <= columns[-1][1] + 1.0:
            columns[-1][1] = max(columns[-1][1], x1)
        else:
            columns.append([x0, x1])
    return [tuple(column) for column in columns]


def _placed(pieces, columns):
    """Cells of one line; a piece that stands over several columns is in each of them."""
    cells = [""] * len(columns)
    for x0, x1, text in pieces:
        over = [i for i, (left, right) in enumerate(columns) if min(x1, right) - max(x0, left) > 0.5]
        if not over:
            middle = (x0 + x1) / 2
            over = [min(range(len(columns)), key=lambda i: abs((columns[i][0] + columns[i][1]) / 2 - middle))]
        for i in over:
            cells[i] = _clean(f"{cells[i]} {text}")
    return cells
