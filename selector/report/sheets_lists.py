"""*Parts list*, *Near misses* and *Sources*: plain lists."""

from selector.report.numbers import lines
from selector.report.package import LINE, Sheet
from selector.report.result import Sources, misses_of, parts_of
from selector.report.sheets_connections import FIRST, HEAD, NOT_HERE
from selector.report.sheets_tables import WORDS_OF_STATUS
from selector.report.styles import HEADER, STRONG, TEXT, TITLE, number


def start(title, hint, widths, heads, freeze="B"):
    sheet = Sheet(title, widths, head=HEAD, freeze=f"{freeze}{FIRST}")
    sheet.add((title, TITLE), height=21)
    sheet.hint(hint)
    sheet.add()
    sheet.add(*[(text, HEADER) for text in heads], height=28)
    return sheet


def parts_list(outcome):
    """What to buy: the sum of the picks of served and incomplete connections."""
    widths = [36, 12, 10, 8, 30, 46, 20, 24]
    heads = ("Part", "Size", "Quantity", "Unit", "Pieces", "Where used", "Status of its data", "Source")
    hint = (
        "Served and incomplete connections only; a wire's quantity includes the cut allowance at every piece. Parts of "
        "incomplete connections (see Read first) may still change: buy those last."
    )
    sheet = start("Parts list", hint, widths, heads)
    sources = {own.table: dict(zip(own.keys, own.sources, strict=True)) for own in outcome.candidates.values()}
    for part in parts_of(outcome):
        pieces = pieces_words(part["pieces"]) or NOT_HERE
        used = ", ".join(part["connections"])
        status = WORDS_OF_STATUS.get(part.get("data_status"), part.get("data_status") or "")
        source = sources.get(part["table"], {}).get(part["part"]) or ""
        look = number("m" if part["unit"] == "m" else "whole")
        quantity = part["quantity"] if part["quantity"] is not None else "unknown"
        texts = zip((part["part"], pieces, used, source), (widths[0], widths[4], widths[5], widths[7]), strict=True)
        height = LINE * max(lines(text, width) for text, width in texts)
        sheet.add((part["part"], STRONG), (part["size"] or NOT_HERE, TEXT), (quantity, look), (part["unit"], TEXT),
                  (pieces, TEXT), (used, TEXT), (status, TEXT), (source, TEXT), height=height)  # fmt: skip
    return sheet


def pieces_words(pieces):
    """``2 x 8.1 m, 1 x 3 m``."""
    count = {}
    for length in pieces:
        count[length] = count.get(length, 0) + 1
    words = [f"{n} x {length:g} m" if length is not None else f"{n} x unknown" for length, n in count.items()]
    return ", ".join(words)


def near_misses(outcome):
    """The next smaller part of every free role, with what it fails and by how much."""
    widths = [22, 13, 36, 12, 7, 46, 12, 9, 14, 8]
    heads = ("Connection", "Role", "Next smaller part", "Size", "Code", "What it fails", "Actual", "Sense", "Limit",
             "Unit")  # fmt: skip
    hint = "The next smaller part of each role, and what it fails; for an unserved connection the nearest there is."
    sheet = start("Near misses", hint, widths, heads)
    checks = {check.code: check for one in outcome.chosen for check, *_ in one.verdicts}
    checks |= {f[0].code: f[0] for one in outcome.chosen for miss in one.misses for f in miss.fails}
    for one in outcome.chosen:
        name = outcome.places.names[one.place] or ""
        for miss in misses_of(outcome, one):
            for fail in miss["fails"]:
                check = checks.get(fail["code"])
                what = check.text if check is not None else "No later part fits"
                sense = check.sense if check is not None else NOT_HERE
                look = number(fail["unit"])
                unit = fail["unit"] or ("yes/no" if check is not None else NOT_HERE)
                actual, limit = (value if value is not None else "unknown" for value in (fail["actual"], fail["limit"]))
                looks = [TEXT if isinstance(value, str) else look for value in (actual, limit)]
                size, part = miss["size"] or NOT_HERE, miss["part"]
                texts = [(name, widths[0]), (part, widths[2]), (what, widths[5])]
                texts += [(limit, widths[8])] if isinstance(limit, str) else []
                words = [(text, TEXT) for text in (miss["role"], part, size, fail["code"], what)]
                sheet.add((name, STRONG), *words, (actual, looks[0]), (sense, TEXT), (limit, looks[1]), (unit, TEXT),
                          height=LINE * max(lines(text, width) for text, width in texts))  # fmt: skip
    return sheet


def sources(outcome):
    """The bibliography rows that are cited here: by the checks, the parts picked and the rule set."""
    widths = [26, 56, 30, 30, 15, 12, 36]
    heads = ("Key", "Title", "Edition", "Section", "Kind", "Status", "Note")
    hint = "What this workbook cites. Status: read (seen in the source) or from memory (confirm before relying on it)."
    sheet = start("Sources", hint, widths, heads)
    names = Sources(outcome)
    cited = {outcome.rule["source"]}
    for one in outcome.chosen:
        cited |= {names.key(names.of(check, one.place)) for check, *_ in one.verdicts}
        for role in one.kind.roles:
            index = one.pick(role.role)
            if index >= 0:
                cited.add(outcome.candidates[role.family].sources[index])
    for row in outcome.catalogue.rows("sources.csv"):
        if row["source"] not in cited:
            continue
        cells = [row.get(name) or "" for name in ("source", "title", "edition", "section", "kind")]
        cells += [WORDS_OF_STATUS.get(row.get("status"), row.get("status") or ""), row.get("note") or ""]
        height = LINE * max(lines(text, width) for text, width in zip(cells, widths, strict=True))
        sheet.add((cells[0], STRONG), *[(text, TEXT) for text in cells[1:]], height=height)
    return sheet
