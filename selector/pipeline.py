"""From a project's path to an outcome: read, work out, choose in rounds, and hand over what the reports need."""

from dataclasses import dataclass, field
from typing import Any

from selector.catalogue.reading import fold_key
from selector.errors import DefinitionError, Problems, ProjectError, TableError, UsageError, nearest, quoted


@dataclass
class Outcome:
    """Everything a report needs of one run."""

    project: Any
    catalogue: Any
    settings: Any
    rule: dict
    places: Any
    chosen: list
    kinds: dict
    candidates: dict
    wanted: list
    chooser: Any
    brief: bool = False
    circuit: Any = None
    notes: list = field(default_factory=list)
    findings: list = field(default_factory=list)
    cautions: list = field(default_factory=list)
    reviews: list = field(default_factory=list)

    @property
    def summary(self):
        count = dict.fromkeys(("served", "unserved", "incomplete"), 0)
        for one in self.chosen:
            count[one.status] += 1
        return count

    @property
    def exit_code(self):
        """0 where every connection is served. Findings of the whole are told; they are of no one connection."""
        return 1 if self.summary["unserved"] or self.summary["incomplete"] else 0


def run(path, tables=None, rules=None, encoding=None, brief=False, as_built=False, progress=None, idle=False):
    """Read a project and choose its parts.

    Parameters
    ----------
    path : a project folder or .xlsx
    tables : folder of tables in place of the shipped ones
    rules : rule set in place of the project's
    brief : leave out near misses and what holds until when
    as_built : every part is the user's; what a row leaves empty is not filled but named as missing
    idle : read the tables too that no pick rests on
    """
    from selector.catalogue.catalogue import load
    from selector.project.files import read_project

    _check_encoding(encoding)
    problems, catalogue = Problems(), None
    project = read_project(path, problems, encoding)
    try:
        catalogue = load(tables, project.own_tables, encoding, idle=idle)
    except TableError as error:
        if not problems:
            raise
        problems.extend(error)
    # Where single cells are wrong the names can still be checked; where a whole row or column is, they cannot.
    if catalogue is None or any(p.line is None or not p.column for p in problems):
        _refuse(project, problems)
    return choose(project, catalogue, rules, brief, as_built, progress, problems)


def _check_encoding(encoding):
    import codecs

    try:
        codecs.lookup(encoding or "utf-8")
    except (LookupError, ValueError):
        raise UsageError(
            f"--encoding: {quoted(encoding)} is not a known encoding. Write one such as utf-8 or cp1252."
        ) from None


def _refuse(project, problems):
    """Raise every problem so far, with remarks on headers that look misspelled."""
    if problems:
        error = ProjectError(f"{project.name} cannot be used", problems)
        error.remarks = [note for note in project.notes if "did you mean" in note.casefold()]
        raise error


def choose(project, catalogue, rules=None, brief=False, as_built=False, progress=None, problems=None):
    """Choose the parts of a project already read; ``problems`` are those found on reading it."""
    from selector.catalogue.families import FAMILIES, candidates
    from selector.catalogue.kinds import read_kinds
    from selector.catalogue.own import own_check_rows, own_families
    from selector.choosing.choose import Chooser
    from selector.choosing.circuit import solve
    from selector.choosing.order import add_builders_order
    from selector.choosing.rounds import Rounds
    from selector.facts import registry as facts_registry
    from selector.project.consistency import check_consistency
    from selector.project.places import Builder
    from selector.project.settings import read_settings
    from selector.project.wanted import kinds_of, read_wanted
    from selector.report.circuit_findings import CODES
    from selector.report.joining import CODES as JOINT_CODES
    from selector.report.returns import CODES as RETURN_CODES
    from selector.report.transients import CODES as TRANSIENT_CODES

    problems = Problems() if problems is None else problems
    try:
        own = own_families(project.own_tables)
    except DefinitionError as error:
        if not problems:
            raise
        problems.extend(error)
        own = []
    own_rows = [*own_check_rows(project), *(row for family in own for row in family.checks)]
    rows = [*catalogue.rows("checks.csv"), *own_rows]
    codes = {row["code"].casefold(): row["spare"] or "no" for row in rows}
    settings = read_settings(project, catalogue, problems, codes)
    _take_rules(settings, catalogue, rules)
    rule = next(row for row in catalogue.rows("rule_sets.csv") if row["rule_set"] == settings.rule_set)
    parts = {name: candidates(family, catalogue, rule) for name, family in FAMILIES.items()}
    parts |= {family.name: family.candidates for family in own}
    own_order = [row for family in own for row in family.preference]
    bought = {name: add_builders_order(own, settings, rule) for name, own in parts.items()}
    kinds = read_kinds(catalogue, {name: frozenset(own.columns) for name, own in parts.items()})
    builder = Builder(project, catalogue, settings, rule, problems, kinds)
    places = builder.build()
    places.constants["cut_allowance_m"] = settings.number("cut allowance")
    served = kinds_of(project, places, kinds, problems, catalogue)
    wanted = read_wanted(project, places, kinds, parts, served, builder, problems, as_built)
    whole = (*CODES, *RETURN_CODES, *JOINT_CODES, *TRANSIENT_CODES)
    _check_accepted(project, places, problems, [*codes, *(code.casefold() for code in whole)])
    roles = {row["role"].casefold() for row in catalogue.rows("kinds.csv")}
    check_consistency(
        project, builder, kinds, roles | {role.role for kind in kinds.values() for role in kind.roles}, problems
    )
    _refuse(project, problems)
    chooser = Chooser(catalogue, rule, settings, facts_registry, kinds, parts, bought, own_rows, own_order)
    chooser.progress = progress
    rounds = Rounds(chooser, places, served, wanted)
    chosen = rounds.choose(brief, alone=rounds.share_limits())
    if as_built:
        _name_missing(chosen, wanted)
    outcome = Outcome(project, catalogue, settings, rule, places, chosen, kinds, parts, wanted, chooser, brief)
    outcome.circuit = solve(places, chosen, wanted)
    outcome.notes = [*project.notes, *catalogue.hints, *_odd_rows(catalogue), *_odd_currents(places)]
    from selector.report.conversion import findings_of_reviews
    from selector.report.conversion_text import reviews_of
    from selector.report.findings import cautions_of, findings_of

    outcome.reviews = reviews_of(outcome)
    outcome.findings = [*findings_of(outcome), *findings_of_reviews(outcome.reviews)]
    _hold_back_joints(outcome)
    outcome.cautions = cautions_of(outcome)
    return outcome


def _hold_back_joints(outcome):
    """A joint that takes none of the wires picked at its node is not settled, whatever its own checks say."""
    joints = {outcome.places.names[one.place]: one for one in outcome.chosen if one.kind.name == "joint"}
    for finding in outcome.findings:
        if finding["code"] != "J17":
            continue
        for one in (joints[name] for name in finding["connections"] if name in joints):
            if one.status == "served":
                one.status = "incomplete"
                questions = outcome.places.questions
                questions[finding["cure"]] = [*questions.get(finding["cure"], ()), one.place]


JUDGED = ("rectifiers.csv", "diodes.csv", "suppressors.csv", "heatsinks.csv", "shunts.csv", "sleeves.csv", "lugs.csv",
          "splices.csv")  # fmt: skip
"""Tables of parts whose rows are judged by themselves alone, or against no more than what is always read."""


def _odd_rows(catalogue):
    """Rows of the user's own that cannot be true, by the rules a datasheet's rows are held to."""
    own = {(file, fold_key(key)) for file, key in catalogue.own_rows if file in JUDGED}
    if not own:
        return []
    from selector.catalogue.judging import REFUSE, Tables, judge

    rows = Tables.of(catalogue)
    return [
        f"project tables/{finding}"
        for file in sorted({file for file, _ in own})
        for finding in judge(file, rows)
        if finding.severity == REFUSE and (file, fold_key(finding.key)) in own
    ]


def _take_rules(settings, catalogue, rules):
    if rules is None:
        return
    known = catalogue["rule_sets.csv"]["rule_set"].to_list()
    chosen = next((key for key in known if key.casefold() == rules.casefold()), None)
    if chosen is None:
        near = nearest(rules, known)
        hint = f" Did you mean '{near}'?" if near else ""
        raise UsageError(f"--rules: {quoted(rules)} is not a rule set; known are {', '.join(known)}.{hint}")
    settings.rule_set = chosen
    settings.stated.add("rule set")


ODD_CURRENT_A = 1000.0


def _odd_currents(places):
    """Currents that are more often a power in the wrong column."""
    return [
        f"{places.names[i]}: {places.columns['current_a'][i]:g} A is much for a cable. Was power [W] meant?"
        for i in range(len(places.names))
        if places.columns["current_a"][i] >= ODD_CURRENT_A
    ]


def _name_missing(chosen, wanted):
    """As built, a role without a part is something not known: what would be served is incomplete."""
    for one in chosen:
        if one.status == "served" and any(want.missing for want in wanted[one.place].values()):
            one.status = "incomplete"


def _check_accepted(project, places, problems, codes):
    frame = project.frames["accepted.csv"]
    names = {fold_key(name) for name in places.names if name}
    known, seen = [code.upper() for code in codes], {}
    for row in project.rows("accepted.csv"):
        connection, code = row["connection"] or "", (row["code"] or "").casefold()
        folded = fold_key(connection)
        if folded and folded not in names:
            problems.add(frame.label, row["_line"], frame.headers["connection"],
                         f"{quoted(connection)} is not a connection of this project",
                         "Write one of connections.csv.", nearest(connection, [name for name in places.names if name]))  # fmt: skip
        if code and code not in codes:
            problems.add(frame.label, row["_line"], frame.headers["code"], f"{quoted(row['code'])} is not the code of a check",
                         "Write a code such as C23.", nearest(code.upper(), known))  # fmt: skip
        first = seen.setdefault((folded, code), row["_line"])
        if first != row["_line"]:
            problems.add(frame.label, row["_line"], frame.headers["code"], f"line {first} accepts the same finding",
                         "Keep one of them.")  # fmt: skip
