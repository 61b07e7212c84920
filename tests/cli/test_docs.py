"""README.md against the program: its commands exist and run, every command, option and table is in it."""

import csv
import re
import shlex
import shutil
from pathlib import Path

import openpyxl
import pytest
import typer
from typer.testing import CliRunner

from selector.catalogue.declarations import DECLARED
from selector.cli import app
from selector.errors import SelectorError

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
COMMAND_LINE = re.compile(r"^(?:.*&& )?(?:\.venv/bin/)?selector (?P<words>[^#\n]+?)(?:\s+# exit (?P<code>\d+))?$", re.M)


def _commands():
    """Every command as the words that call it, with its options: walked, not listed."""
    found = {}

    def walk(command, words):
        found[words] = {
            option for parameter in command.params for option in (*parameter.opts, *parameter.secondary_opts)
        }
        for name, own in getattr(command, "commands", {}).items():
            walk(own, (*words, name))

    walk(typer.main.get_command(app), ())
    return found


COMMANDS = _commands()
LEAVES = [words for words in COMMANDS if words and not any(w[: len(words)] == words and w != words for w in COMMANDS)]


def _blocks(language, text=README):
    return re.findall(rf"```{language}\n(.*?)```", text, re.S)


def _shown():
    """The selector commands of README in order: (words, exit code)."""
    lines = [line for block in _blocks("sh") for line in block.splitlines()]
    found = [COMMAND_LINE.match(line) for line in lines]
    return [(shlex.split(m["words"]), int(m["code"] or 0)) for m in found if m]


def _files():
    """The project files README shows, by path."""
    pattern = re.compile(r"`(myboat/[\w/]+\.csv)`[^\n]*:\n\n```csv\n(.*?)```", re.S)
    return {m[1]: m[2] for m in pattern.finditer(README)}


@pytest.mark.parametrize("words", LEAVES, ids=" ".join)
def test_every_command_is_in_the_readme(words):
    assert f"`selector {' '.join(words)}" in README


@pytest.mark.parametrize("option", sorted({o for options in COMMANDS.values() for o in options if o.startswith("--")}))
def test_every_option_is_in_the_readme(option):
    assert re.search(rf"`{option}[ `]", README), option


def test_every_option_the_readme_names_exists():
    known = {option for options in COMMANDS.values() for option in options} | {"--help", "-h"}
    for option in re.findall(r"`(--?[a-z][a-z-]*)", README):
        assert option in known, option


def test_every_command_the_readme_names_exists():
    named = re.findall(r"`selector ((?:[a-z]+)(?: [a-z]+)?)", README)
    assert named
    for text in named:
        words = tuple(text.split())
        assert words in COMMANDS or words[:1] in COMMANDS, text


def test_the_readme_shows_every_command_that_works_on_a_project_or_tables():
    shown = {tuple(words[:2]) if words[0] == "tables" else tuple(words[:1]) for words, _ in _shown()}
    assert set(LEAVES) <= shown


@pytest.fixture(scope="module")
def walked(tmp_path_factory):
    """Every command of README run in order, in one fresh folder; the files it shows are filled in on the way."""
    folder = tmp_path_factory.mktemp("reader")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("NO_COLOR", "1")
        shutil.copytree(ROOT / "tables", folder / "tables")
        done = []
        for words, expected in _shown():
            result = CliRunner().invoke(app, words)
            error = result.exception
            code = error.exit_code if isinstance(error, SelectorError) else result.exit_code
            done.append((" ".join(words), expected, code, result.output, error))
            if words[0] == "new":
                for path, text in _files().items():
                    (folder / path).parent.mkdir(parents=True, exist_ok=True)
                    (folder / path).write_text(text, encoding="utf-8")
    return folder, done


@pytest.mark.slow
def test_the_commands_of_the_readme_end_as_it_says(walked):
    _, done = walked
    assert len(done) > 10
    wrong = [(command, expected, code, repr(error)) for command, expected, code, _, error in done if code != expected]
    assert wrong == []


@pytest.mark.slow
@pytest.mark.parametrize("place, command", [
    (0, "pick myboat"), (1, "demo out/workboat"), (2, "explain out/workboat 'house alternator'"),
])  # fmt: skip
def test_what_the_readme_shows_is_what_is_printed(walked, place, command):
    _, done = walked
    output = next(text for words, _, _, text, _ in done if words == command.replace("'", "")).splitlines()
    lines = [line for line in _blocks("text")[place].splitlines() if line]
    assert lines and [line for line in lines if line not in output] == []


@pytest.mark.slow
def test_the_readme_files_are_where_it_says(walked):
    folder, _ = walked
    for path in ("out/workboat.xlsx", "out/myboat.xlsx", "out/metric.xlsx", "out/myboat.json", "out/myboat/picks.csv"):
        assert (folder / path).is_file(), path


@pytest.mark.slow
def test_the_sheets_the_readme_names_are_in_the_workbook(walked):
    folder, _ = walked
    (section,) = re.findall(r"### 4. Read the workbook\n(.*?)###", README, re.S)
    named = re.findall(r"\*([A-Z][a-z ]+)\*", section.replace("\n", " "))
    assert len(set(named)) > 6
    book = openpyxl.load_workbook(folder / "out" / "myboat.xlsx", read_only=True)
    assert set(named) == {name for name in book.sheetnames if not name.startswith("Working ")}


def test_a_workbook_makes_its_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for path, text in _files().items():
        Path(path).parent.mkdir(parents=True, exist_ok=True)
        Path(path).write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, ["pick", "myboat"])
    assert result.exception is None
    assert Path("out/myboat.xlsx").is_file()


def test_the_project_of_the_readme_has_each_file_it_needs():
    assert {"myboat/connections.csv", "myboat/nodes.csv", "myboat/tables/wires.csv"} <= set(_files())


def _table_rows():
    return {m[1]: int(m[2]) for m in re.finditer(r"^\| `([a-z_]+\.csv)` \| (\d+) \|", README, re.M)}


def test_the_readme_has_a_line_for_every_table():
    assert set(_table_rows()) == {path.name for path in (ROOT / "tables").glob("*.csv")}


def test_every_table_of_the_folder_is_declared():
    """A file nobody declared would be read by nobody."""
    assert {path.name for path in (ROOT / "tables").glob("*.csv")} <= set(DECLARED)


@pytest.mark.parametrize("file, said", _table_rows().items())
def test_the_row_counts_of_the_readme_are_about_right(file, said):
    with (ROOT / "tables" / file).open(newline="", encoding="utf-8") as handle:
        there = sum(1 for _ in csv.DictReader(handle))
    assert abs(there - said) <= max(3, 0.1 * there)


def test_the_readme_names_every_rule_set():
    with (ROOT / "tables" / "rule_sets.csv").open(newline="", encoding="utf-8") as handle:
        names = [row["rule set"] for row in csv.DictReader(handle)]
    assert re.findall(r"^\| `([a-z-]+)` \| [^|]+ \| [^|]+ \|$", README, re.M)[-len(names) :] == names


def test_the_paths_developers_names_are_there():
    paths = re.findall(r"`((?:selector|tests|tables|\.ci)/[\w./{},*-]*)`", DEVELOPERS)
    assert len(paths) > 20
    for path in paths:
        assert "{" in path or "*" in path or (ROOT / path).exists(), path


def test_the_readme_opens_with_the_job():
    paragraphs = [part for part in README.split("\n\n") if not part.startswith("#")]
    assert all(word in paragraphs[0] for word in ("fuse", "wire", "lug", "sleeve", "workbook", "why"))


def test_the_family_of_its_own_the_readme_shows_works(tmp_path):
    """The three files of the battery switch and its row of connections.csv, as they stand there, beside a battery."""
    section = README.partition("### Checks and families of your own")[2].partition("\n## ")[0]
    heads = {"switch,rating": "tables/switches.csv", "what,name": "tables/switches.family.csv", "kind,order": "tables/kinds.csv",
             "connection,kind": "connections.csv"}  # fmt: skip
    found = {heads[start]: text for text in _blocks("csv", section) for start in heads if text.startswith(start)}
    assert set(found) == set(heads.values())
    found["nodes.csv"] = "node,system,role,stud\nbattery,12 V,supply,M8\nmain bus,12 V,bus,M8\n"
    found["supplies.csv"] = "node,type,chemistry,capacity [Ah]\nbattery,battery,agm,200\n"
    found["systems.csv"] = "system,nominal [V]\n12 V,12\n"
    for path, text in found.items():
        (tmp_path / path).parent.mkdir(exist_ok=True)
        (tmp_path / path).write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, ["pick", str(tmp_path), "--no-workbook"])
    assert result.exit_code == 0 and "+ main switch  battery switch 200 A" in result.output


def test_the_map_file_the_readme_shows_is_one(tmp_path):
    from selector.catalogue.merging import merge
    from tests.merge.made import copied_tables

    (text,) = [block for block in _blocks("csv") if block.startswith("datasheet column")]
    (tmp_path / "map.csv").write_text(text, encoding="utf-8")
    sheet = tmp_path / "sheet.csv"
    sheet.write_text("Type No.,Rated,Price list\nblade medium 45 A,45,1.20\n", encoding="utf-8")
    report = merge(sheet, "fuses", copied_tables(tmp_path), tmp_path / "map.csv", dry_run=True)
    (row,) = report.rows
    assert (row.result, row.new["class"], row.new["rating_a"]) == ("new", "blade medium", 45.0)
