"""Our scenario, a 12 m river workboat, and an empty project to start from; existing files are never replaced."""

from pathlib import Path

from selector.errors import OutputError, UsageError

WORKBOAT = Path(__file__).parent / "workboat"
LOOK_AT = (
    "deck crane pump: nothing fits. Even the largest wire of the tables loses too much voltage over 13 m; "
    "a shorter run, a lower current or a looser drop limit would do it, a thicker guess would not.",
    "forward bilge pump: its wire is fixed, because it is in the boat already. It is judged and fails on voltage drop; "
    "the after bilge pump beside it shows what would do.",
    "searchlight: incomplete, because nobody has measured its terminal screws. Fuse and wire are shown as provisional, "
    "and the lug is not vouched for.",
    "windlass feed: sized by the drop at its 110 A peak, not by the 40 A it takes in service. Its near miss says "
    "by how much the next smaller wire falls short.",
    "alternator output: air of 55 to 70 degC, oil, and a stud of 110 degC; the usual 105 degC insulation "
    "is out. The finding on its fuse holder is open: it stands in that hot air.",
    "charging bridge: a 12 V class alternator charges the 24 V bank through a bridge in a duct. Its plates reach "
    "110 degC, its junctions stay 25 K below their limit; explain 'house alternator' has the whole conversion.",
    "salvaged bridge: unserved on purpose. The avalanche bridge out of the machine begins to conduct at 20 V, below "
    "the 29.2 V it would charge with.",
    "output suppressor, regulator suppressor: two pieces take the load dump at the output; the one at the regulator "
    "begins above what they hold and takes only short pulses.",
    "alternator output: its fuse and that of the engine main stand between the engine alternator and its battery, and one that "
    "opens is a load dump. That machine's own diodes hold it at 35 V, or a must finding (T03) would say so.",
    "winding joint 1, phase leads: at 150 degC soft solder and the usual insulation are out, and butt splices are not "
    "made for the winding's solid wire; brazed joints under fluoropolymer serve.",
    "house alternator output: the same finding on its fuse holder is accepted, with the builder's reason, because that "
    "fuse stands in the cool locker.",
    "side lights, stern light, masthead light: three wires behind one fuse, that of the navigation feed, which must "
    "protect each of them.",
    "radio, chart display, depth sounder: behind the converter, which can feed a short with 70 A at most; small blade "
    "fuses will do there, and would burst beside the battery bank.",
)
"""What the demo shows, by the names of its connections."""


def write_demo(folder):
    """Copy the workboat project into ``folder``; returns the paths, in the order of their names.

    Raises ``UsageError``, with nothing written, where a file of that name is there and differs.
    """
    return _write(folder, {path.name: path.read_bytes() for path in sorted(WORKBOAT.glob("*.csv"))})


def write_empty(folder):
    """Write a project without rows: every file with the headers of all its columns, and HINTS.md beside them.

    Raises ``UsageError``, with nothing written, where a file of that name is there and differs.
    """
    from selector.demo.hints import hints_text
    from selector.project.declarations import FILES

    texts = {file: ",".join(column.title for column in columns) + "\n" for file, (columns, _) in FILES.items()}
    texts["HINTS.md"] = hints_text(texts)
    return _write(folder, {name: text.encode() for name, text in texts.items()})


def _write(folder, contents):
    from selector.report.files import write_whole

    folder = Path(folder)
    if folder.exists() and not folder.is_dir():
        raise UsageError(f"{folder} is a file: name a folder, or one that is still to be made")
    other = [name for name, content in contents.items() if _differs(folder / name, content)]
    if other:
        raise UsageError(
            f"{folder} has {', '.join(other)} already, with other contents: nothing was written. Name another folder."
        )
    paths = [folder / name for name in contents]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, content in zip(paths, contents.values(), strict=True):
            write_whole(path, content)
    except OSError as error:
        raise OutputError(f"{folder} could not be written: {error.strerror or error}") from error
    return paths


def _differs(path, content):
    return path.exists() and (not path.is_file() or path.read_bytes() != content)
