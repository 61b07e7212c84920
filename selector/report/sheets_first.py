"""*Read first*: what the workbook is, what to be careful of, what is not served and why, and what was assumed."""

from selector.choosing.checks import FAIL, UNKNOWN
from selector.report.conversion_text import counted, first_words
from selector.report.live_checks import SIGN
from selector.report.numbers import lines
from selector.report.package import LINE, Sheet
from selector.report.rectifying import heat_lines
from selector.report.result import Sources, picks_of, plain, questions_of, sentence
from selector.report.sheets_connections import NOT_HERE
from selector.report.styles import BARE, HEADER, SECTION, STATE_WRAPPED, STRONG, TEXT, TITLE

WIDTHS = [30, 30, 26, 34, 50]
TOGETHER = sum(WIDTHS[1:])
WHAT = (
    "Parts for every connection of the project, chosen as the smallest that comply at their place. The sheets: "
    "Connections (one row each; change a yellow value or a part and the results follow), Parts list (what to buy), "
    "Reasons (every check), Near misses (what the next smaller part breaks), Bench checks (what a meter should read), "
    "Tables used and Sources (what it all rests on), Verification (the program's values beside the live cells), and last the working sheets with every step."
)


PRINT = (
    "To buy and build from: this sheet, Parts list and Cut list (with stock: From the shelf, To buy and Cut plan in their "
    "place), Bench checks, Connections, and Conversion review where there is one. Reasons, Near misses, Sources and "
    "Verification are for looking things up and run to many pages. Tables used and the working sheets are not for paper: "
    "only their heading is printed. Print single sheets, not the whole workbook."
)


class _Page:
    """Rows of the sheet: sections, lines that run across, and small tables."""

    def __init__(self):
        self.sheet = Sheet("Read first", list(WIDTHS), tab="1F4E79")

    def section(self, title):
        self.sheet.add()
        self.sheet.add((title, SECTION), *[("", SECTION)] * 4, height=16)

    def line(self, head, text, look=BARE):
        row = len(self.sheet.rows) + 1
        self.sheet.add((head, STRONG if head else BARE), (text, look), *[("", look)] * 3,
                       height=LINE * max(lines(text, TOGETHER), lines(head, WIDTHS[0] - 4)))  # fmt: skip
        self.sheet.merges.append(f"B{row}:E{row}")

    def across(self, text):
        row = len(self.sheet.rows) + 1
        self.sheet.add((text, BARE), *[("", BARE)] * 4, height=LINE * lines(text, TOGETHER + WIDTHS[0]))
        self.sheet.merges.append(f"A{row}:E{row}")

    def heads(self, *names):
        self.sheet.add(*[(name, HEADER) for name in names])

    def row(self, *texts, first=STRONG):
        height = LINE * max(lines(text, width) for text, width in zip(texts, WIDTHS, strict=True))
        self.sheet.add((texts[0], first), *[(text, TEXT) for text in texts[1:]], height=height)


def read_first(outcome, values_only):
    page = _Page()
    page.sheet.add(("Read first", TITLE), height=21)
    page.line("What this is", WHAT)
    page.line("What to print", PRINT)
    page.line("Project", outcome.project.name)
    rule = outcome.rule
    page.line("Rule set", f"{rule['rule_set']}: {rule['title']} ({rule['edition'] or 'edition not stated'})")
    if rule.get("does_not_cover"):
        page.line("It does not cover", rule["does_not_cover"])
    if values_only:
        page.line(
            "Not live",
            f"This project has {len(outcome.chosen)} connections. Above 1,000, or with ranges that make over 5,000 "
            "cases, the workbook stands as values: change the project and run again.",
        )
    if outcome.cautions:
        page.section("Cautions")
        for caution in outcome.cautions:
            page.across(f"• {caution}")
    _summary(page, outcome)
    _not_served(page, outcome)
    _findings(page, outcome)
    _conversions(page, outcome)
    _rectifiers(page, outcome)
    _defaults(page, outcome)
    _rest(page, outcome)
    return page.sheet


def _summary(page, outcome):
    page.section("Summary")
    for word, count in outcome.summary.items():
        meaning = {"served": "every must is met", "unserved": "no part of the tables meets every must",
                   "incomplete": "something needed is not known"}[word]  # fmt: skip
        page.line(SIGN[word], f"{count} connection{'s' if count != 1 else ''}: {meaning}")


def _conversions(page, outcome):
    if not outcome.reviews:
        return
    page.section("Alternators used above the voltage they were made for: see Conversion review")
    for review in outcome.reviews:
        for text in (counted(review), *first_words(review)):
            page.across(f"• {text}")


def _not_served(page, outcome):
    left = [one for one in outcome.chosen if one.status != "served"]
    if not left:
        return
    page.section("What is not served, and why")
    sources = Sources(outcome)
    for one in left:
        name = outcome.places.names[one.place] or ""
        page.line(f"{SIGN[one.status]}: {name}", "; ".join(why(outcome, one, sources)), TEXT)
        page.sheet.rows[-1].cells[0] = (f"{SIGN[one.status]}: {name}", STATE_WRAPPED)
    page.sheet.states.append(f"A{len(page.sheet.rows) - len(left) + 1}:A{len(page.sheet.rows)}")


def why(outcome, one, sources):
    """In a builder's words: what fails, what is not known, and what to ask."""
    said = []
    for check, status, actual, limit in one.verdicts:
        if check.must and status == FAIL:
            said.append(sentence(check, status, actual, limit, sources, one.place))
    if one.status == "unserved":
        said = [f"The nearest fit fails: {text}" if i == 0 else text for i, text in enumerate(said)]
        wanted = outcome.wanted[one.place]
        empty = [r.role for r in one.kind.roles if wanted[r.role].present and one.pick(r.role) < 0]
        said += [f"no part for: {', '.join(empty)}"] if empty else []
    said += [("To find out: " if n == 0 else "") + question for n, question in enumerate(questions_of(outcome, one))]
    if not said:
        unknown = [c.text for c, status, *_ in one.verdicts if status == UNKNOWN and c.must]
        said = [f"not known: {text}" for text in unknown] or ["its parts kept changing with those of other rows"]
    return said


def _findings(page, outcome):
    if not outcome.findings:
        return
    page.section("Findings")
    page.heads("Check", "Concerns", "Weight", "Cure", "What was found")
    for finding in outcome.findings:
        weight = finding["severity"] + (" (accepted)" if finding.get("accepted") else "")
        reason = f" Accepted: {finding['reason']}" if finding.get("reason") else ""
        concerns = ", ".join([*finding.get("connections", []), *finding.get("nodes", [])])
        page.row(finding["code"], concerns, weight, finding.get("cure") or "", finding["text"] + reason)


def _rectifiers(page, outcome):
    """What each rectifier gives off, as picked; the live figures stand on *Connections*."""
    said = [(outcome.places.names[one.place] or "", list(heat_lines(outcome, one))) for one in outcome.chosen]
    if not any(own for _, own in said):
        return
    page.section("Heat of the rectifiers, as picked")
    for name, own in said:
        if own:
            page.line(name, ". ".join(f"{label[:1].upper()}{label[1:]}: {value}" for label, value in own) + ".", TEXT)


def _defaults(page, outcome):
    served = {one.place for one in outcome.chosen}
    used = [(d, [int(i) for i in d.rows if int(i) in served]) for d in outcome.places.defaults]
    used = [(d, rows) for d, rows in used if rows]
    if not used:
        return
    page.section("Assumed, because the project does not say")
    page.heads("What", "Value", "Where to set it", "Question to ask", "Concerns")
    for default, rows in used:
        value = plain(default.value) if not isinstance(default.value, str) else default.value
        names = [outcome.places.names[i] or "" for i in rows]
        concerns = "all connections" if len(rows) == len(served) else _some(names, 8)
        value = f"{value} {default.unit}".strip()
        page.row(default.what, value, default.set_in, default.question or NOT_HERE, concerns)


def _some(names, count):
    more = f" and {len(names) - count} more" if len(names) > count else ""
    return ", ".join(names[:count]) + more


def _rest(page, outcome):
    memory = {}
    for one in outcome.chosen:
        for pick in picks_of(outcome, one):
            if pick["data_status"] == "memory":
                memory.setdefault(pick["part"], []).append(outcome.places.names[one.place] or "")
    if memory:
        page.section("Picks that rest on values from memory: confirm them before buying")
        for part, names in memory.items():
            page.line(part, _some(list(dict.fromkeys(names)), 12), TEXT)
    if outcome.catalogue.own_rows:
        page.section("Table rows that are the project's own")
        rows = {}
        for file, key in outcome.catalogue.own_rows:
            rows.setdefault(file, []).append(str(key))
        for file, keys in rows.items():
            page.line(file, _some(keys, 40), TEXT)
    if outcome.project.not_used:
        page.section("Read but not used yet")
        for text in outcome.project.not_used:
            page.across(f"• {text}")
    if outcome.notes:
        page.section("Notes")
        for text in outcome.notes:
            page.across(f"• {text}")
