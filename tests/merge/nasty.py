"""Thirty-odd made-up datasheets in the shapes real ones come in, each with what must come of it, value by value.

All parts are generic and all figures invented for a river workboat's store; none is anybody's product. ``lands`` maps a
key to the cells that must stand in the table afterwards, in the table's units; ``refused`` are the keys (or places) that
must be left out. Whatever is in neither must not have changed.
"""

import datetime
from dataclasses import dataclass, field

import openpyxl

from tests.merge.made import Pdf, csv_text


@dataclass
class Sheet:
    """One datasheet: how it is written, into which table, and what must come of it."""

    name: str
    table: str
    write: object
    lands: dict = field(default_factory=dict)
    refused: tuple = ()
    same: tuple = ()
    error: str = ""
    map_rows: str = ""


SHEETS = []


def sheet(name, table, **expected):
    """Declare a datasheet by the function that writes it."""

    def taken(write):
        SHEETS.append(Sheet(name, table, write, **expected))
        return write

    return taken


def text(content, encoding="utf-8"):
    """A writer of a text file."""

    def write(path):
        path.write_bytes(content.encode(encoding))

    return write


def book(path, fill):
    """Write a workbook filled by a function of its first sheet and the workbook."""
    made = openpyxl.Workbook()
    fill(made.active, made)
    made.save(path)


SHRUNK = "polyolefin 2:1 3.2 mm"

SHEETS += [
    Sheet("semicolons and decimal commas.csv", "sleeves",
          text("Sleeve;Expanded ID (mm);Recovered ID max. (mm);Wall (mm)\n"
               "polyolefin 2:1 3.2 mm;3,2;1,55;0,5\npolyolefin 2:1 4.8 mm;4,8;2,4;0,48\n"),
          lands={SHRUNK: {"recovered bore [mm]": 1.55, "recovered wall [mm]": 0.5}}, same=("polyolefin 2:1 4.8 mm",)),
    Sheet("windows letters.csv", "conductors",
          text("Conductor;R20 max [mΩ/m]\n1/0 AWG stranded tinned copper;0,345\n".replace("Ω", "ohm").replace("mohm", "mohm"), "cp1252"),
          lands={"1/0 AWG stranded tinned copper": {"resistance at 20 degC [ohm/km]": 0.345}}),
    Sheet("tabs and inches.csv", "lugs",
          text("Lug\tStud hole [in]\tTongue width [in]\n1/0 AWG ring M8\t21/64\t15/16\n2 AWG ring M8\t0.3307\t0.866\n", "utf-16"),
          lands={"1/0 AWG ring M8": {"hole [mm]": 8.334375, "palm width [mm]": 23.8125}}, same=("2 AWG ring M8",)),
    Sheet("titles, units row and notes.csv", "conductors",
          text("Store list of the workboat,,,\nprinted for the mate,,,\n,,,\nConductor,Conductor dia.,DC resistance at 20 °C,Remarks\n"
               ",mm,ohm/km,\n2 AWG stranded tinned copper,7.4,0.5475,\n4 AWG stranded tinned copper,5.9,0.87,\n,,,\nAll figures at 20 degrees.,,,\n"),
          lands={"2 AWG stranded tinned copper": {"diameter [mm]": 7.4, "resistance at 20 degC [ohm/km]": 0.5475},
                 "4 AWG stranded tinned copper": {"resistance at 20 degC [ohm/km]": 0.87, "diameter [mm]": 5.9}}),
    Sheet("bars and a stated delimiter.csv", "shunts",
          text("sep=|\nShunt|Rated current|Output|Continuous\n50 A 50 mV shunt|50 A|50 mV|33 A\n100 A 50 mV shunt|0.1 kA|0.05 V|66 A\n"),
          lands={"50 A 50 mV shunt": {"continuous current [A]": 33}, "100 A 50 mV shunt": {"continuous current [A]": 66}}),
    Sheet("limits, ranges and tolerances.csv", "sleeves",
          text('sleeve,"recovered bore [mm]","recovered wall [mm]"\npolyolefin 2:1 3.2 mm,1.5 max,0.50 ± 0.05\n'
               'polyolefin 2:1 4.8 mm,2.2-2.3,0.45 min\npolyolefin 2:1 6.4 mm,≤3.1,\npolyolefin 2:1 9.5 mm,typ 4.7,\n'
               'polyolefin 2:1 12.7 mm,min. 6.3,\n'),
          lands={SHRUNK: {"recovered bore [mm]": 1.5, "recovered wall [mm]": 0.45},
                 "polyolefin 2:1 4.8 mm": {"recovered bore [mm]": 2.3, "recovered wall [mm]": 0.45},
                 "polyolefin 2:1 6.4 mm": {"recovered bore [mm]": 3.1}},
          refused=("polyolefin 2:1 9.5 mm", "polyolefin 2:1 12.7 mm")),
    Sheet("typical in the head.csv", "suppressors",
          text("suppressor,Clamping voltage VC (V) typ,Steady state power (W)\n400 W surface-mount 12 V,18.9,1.1\n"),
          refused=("400 W surface-mount 12 V",)),
    Sheet("both limits given.csv", "suppressors",
          text("suppressor,VBR min (V),VBR typ (V),VBR max (V),IPP (A)\n400 W surface-mount 12 V,13.4,14.0,14.6,20.0\n"),
          lands={"400 W surface-mount 12 V": {"least breakdown [V]": 13.4, "greatest breakdown [V]": 14.6, "peak current [A]": 20.0}}),
    Sheet("window in one cell.csv", "suppressors",
          text("suppressor;Breakdown voltage VBR [V];Test current [mA]\n400 W surface-mount 13 V;14,5 – 15,8;1\n"
               "400 W surface-mount 14 V;15,7;1\n"),
          lands={"400 W surface-mount 13 V": {"least breakdown [V]": 14.5, "greatest breakdown [V]": 15.8}},
          refused=("400 W surface-mount 14 V",)),
    Sheet("units in the cells.csv", "fuses",
          text("Fuse,Breaking capacity,Voltage\nbolt-in cartridge 30 A,1.1 kA,32 V\nbolt-in cartridge 40 A,1100 A,32 V\n"
               "bolt-in cartridge 50 A,1.1e3 A,0.032 kV\nbolt-in cartridge 60 A,1100,32 V\nbolt-in cartridge 80 A,1.1 kV,32 V\n"),
          lands={f"bolt-in cartridge {n} A": {"breaking capacity [A]": 1100} for n in (30, 40, 50)},
          refused=("bolt-in cartridge 60 A", "bolt-in cartridge 80 A")),
    Sheet("two units side by side.csv", "lugs",
          text("Lug,Hole\n1/0 AWG ring M8,8.5 mm (0.335 in)\n2 AWG ring M8,8.5 mm (0.385 in)\n4 AWG ring M8,8.5 mm / 0.335 in\n"),
          lands={"1/0 AWG ring M8": {"hole [mm]": 8.5}, "4 AWG ring M8": {"hole [mm]": 8.5}}, refused=("2 AWG ring M8",)),
    Sheet("two columns, two units.csv", "lugs",
          text("Lug,Palm width (mm),Palm width (in)\n1/0 AWG ring M8,24.0,0.945\n2 AWG ring M8,21.0,0.728\n"),
          lands={"1/0 AWG ring M8": {"palm width [mm]": 24.0}}, refused=("2 AWG ring M8",)),
    Sheet("gauges.csv", "conductors",
          text("AWG,Material,Coating,Stranding,Area (cmil),Resistance (ohm/kft)\n1/0,copper,tinned,stranded,105600,0.105\n"
               "000,copper,tinned,stranded,167800,0.0661\n18,copper,tinned,stranded,1620,6.9\n"),
          lands={"1/0 AWG stranded tinned copper": {"resistance at 20 degC [ohm/km]": 0.105 / 0.3048, "area [mm2]": 53.5087},
                 "3/0 AWG stranded tinned copper": {"resistance at 20 degC [ohm/km]": 0.0661 / 0.3048, "area [mm2]": 85.026},
                 "18 AWG stranded tinned copper": {"resistance at 20 degC [ohm/km]": 6.9 / 0.3048, "area [mm2]": 0.82087}}),
    Sheet("points and commas.csv", "sleeves",
          text("sleeve;recovered wall [mm];recovered bore [mm]\npolyolefin 2:1 3.2 mm;0.5;1,5\npolyolefin 2:1 4.8 mm;0,5;2.3\n"),
          refused=(SHRUNK, "polyolefin 2:1 4.8 mm")),
    Sheet("a thousand or a decimal.csv", "fuses",
          text("fuse;Interrupting rating [A]\nbolt-in cartridge 30 A;1.100\nbolt-in cartridge 40 A;1.200\n"),
          refused=("bolt-in cartridge 30 A", "bolt-in cartridge 40 A")),
    Sheet("thousands that are certain.csv", "fuses",
          text('fuse,Interrupting rating [A],Voltage rating [V]\nbolt-in cartridge 30 A,"1,100",32.0\nbolt-in cartridge 40 A,1 200,32.0\n'),
          lands={"bolt-in cartridge 30 A": {"breaking capacity [A]": 1100}, "bolt-in cartridge 40 A": {"breaking capacity [A]": 1200}}),
    Sheet("said twice.csv", "lugs",
          text("lug,palm width [mm]\n1/0 AWG ring M8,24.5\n1/0 AWG ring M8,24.5\n2 AWG ring M8,21.5\n2 AWG ring M8,20.5\n"),
          lands={"1/0 AWG ring M8": {"palm width [mm]": 24.5}}, refused=("2 AWG ring M8",)),
    Sheet("classes as titles.csv", "fuses",
          text("Fuse,Rated current [A],Voltage [V],Breaking capacity [A]\nblade small,,,\nblade small 1 A,1,32,1000\n"
               "bolt-in cartridge,,,\nbolt-in cartridge 35 A,35,32,1000\n"),
          lands={"blade small 1 A": {"class": "blade small", "rating [A]": 1, "voltage rating [V]": 32, "breaking capacity [A]": 1000},
                 "bolt-in cartridge 35 A": {"class": "bolt-in cartridge", "rating [A]": 35, "voltage rating [V]": 32,
                                            "breaking capacity [A]": 1000}}),
    Sheet("wire ranges.csv", "lugs",
          text("Lug,Wire range (mm²)\n1/0 AWG ring M8,42.5-60\n2 AWG ring M8,27–42\n4 AWG ring M8,17…26\n6 AWG ring M8,16\n"),
          lands={"1/0 AWG ring M8": {"least area [mm2]": 42.5, "greatest area [mm2]": 60},
                 "2 AWG ring M8": {"least area [mm2]": 27, "greatest area [mm2]": 42},
                 "4 AWG ring M8": {"least area [mm2]": 17, "greatest area [mm2]": 26}},
          refused=("6 AWG ring M8",)),
    Sheet("no names.csv", "fuses",
          text("Class,Rated current (A),Rated voltage (V),Interrupting rating (kA)\nblade small,30,32,1.05\nblade small,9,32,1\nNH gG,100,32,1\n"),
          lands={"blade small 30 A": {"breaking capacity [A]": 1050},
                 "blade small 9 A 32 V": {"class": "blade small", "rating [A]": 9, "voltage rating [V]": 32, "breaking capacity [A]": 1000}},
          refused=("NH gG 100 A 32 V",)),
    Sheet("Fahrenheit.csv", "sleeves",
          text("sleeve,Operating temperature (°F),coldest [°F]\npolyolefin 2:1 3.2 mm,266,-67\npolyolefin 2:1 4.8 mm,275 °F,-40\n"
               "polyolefin 2:1 6.4 mm,-67 to 266,-67\n"),
          lands={SHRUNK: {"temperature rating [degC]": 130}, "polyolefin 2:1 4.8 mm": {"temperature rating [degC]": 135, "coldest [degC]": -40}},
          refused=("polyolefin 2:1 6.4 mm",)),
    Sheet("unit settled by what is known.csv", "lugs",
          text("lug,palm width\n1/0 AWG ring M8,0.984\n2 AWG ring M8,0.866\n4 AWG ring M8,0.650\n8 AWG ring M8,0.591\n6 AWG ring M8,0.615\n"),
          lands={"6 AWG ring M8": {"palm width [mm]": 15.621}},
          same=("1/0 AWG ring M8", "2 AWG ring M8", "4 AWG ring M8", "8 AWG ring M8")),
    Sheet("heads in nobody's language.csv", "lugs",
          text("lug,Breite,Loch,Preis\n1/0 AWG ring M8,25,8.4,3\n2 AWG ring M8,22,8.4,2\n4 AWG ring M8,16.5,8.4,2\n8 AWG ring M8,15,8.4,1\n6 AWG ring M8,15.5,8.4,1\n"),
          lands={"6 AWG ring M8": {"palm width [mm]": 15.5}},
          same=("1/0 AWG ring M8", "2 AWG ring M8", "4 AWG ring M8", "8 AWG ring M8")),
    Sheet("unit nobody gives.csv", "lugs",
          text("lug,palm width\n1/0 AWG ring M8,24.5\n2 AWG ring M8,21.5\n"), refused=("1/0 AWG ring M8", "2 AWG ring M8")),
    Sheet("footnotes.csv", "fuses",
          text("Fuse,Breaking capacity [A],Voltage rating [V]\nbolt-in cartridge 30 A,1100*,32\nbolt-in cartridge 40 A,1200 1),32\n"
               "bolt-in cartridge 50 A,1100†,32\nbolt-in cartridge 60 A,1100²,32\n* at 32 V dc\n1) below 40 degC\n† in kA for the marine type\n² times two in free air\n"),
          lands={"bolt-in cartridge 30 A": {"breaking capacity [A]": 1100}, "bolt-in cartridge 40 A": {"breaking capacity [A]": 1200}},
          refused=("bolt-in cartridge 50 A", "bolt-in cartridge 60 A")),
    Sheet("empty words.csv", "fuses",
          text("Fuse,Breaking capacity [A],Voltage rating [V],Price,Stock place\nbolt-in cartridge 30 A,n/a,–,12.50,A4\nbolt-in cartridge 40 A,tbd,32,?,B1\n"
               "bolt-in cartridge 50 A,about 1100,32,,\n"),
          lands={"bolt-in cartridge 50 A": {"breaking capacity [A]": 1100}}, same=("bolt-in cartridge 30 A", "bolt-in cartridge 40 A")),
    Sheet("map with a constant.csv", "fuses",
          text("Nennstrom;Ausschaltvermögen\n9;1,0\n30;1,05\n"),
          map_rows="datasheet column,unit,column,value,note\nNennstrom,A,rating,,\nAusschaltvermögen,kA,breaking capacity,,\n,,class,blade small,\n,V,voltage rating,32,\n",
          lands={"blade small 9 A 32 V": {"rating [A]": 9, "breaking capacity [A]": 1000, "class": "blade small", "voltage rating [V]": 32},
                 "blade small 30 A": {"breaking capacity [A]": 1050}}),
    Sheet("not a datasheet.csv", "fuses", text("name,telephone\nharbour office,112\n"), error="no table for fuses.csv"),
]  # fmt: skip


@sheet("merged heads.xlsx", "lugs",
       lands={"1/0 AWG ring M8": {"bore [mm]": 11.5, "barrel diameter [mm]": 15.5, "palm width [mm]": 24.5},
              "2 AWG ring M8": {"barrel diameter [mm]": 13.5}})  # fmt: skip
def _(path):
    def fill(cover, made):
        cover["A1"] = "Store of the workboat"
        data = made.create_sheet("Lugs 2026")
        data["B2"] = "Crimp lugs"
        for cell, value in {
            "B6": "Lug",
            "C6": "Barrel",
            "E6": "Palm width",
            "C7": "bore",
            "D7": "outer diameter",
            "C8": "mm",
            "D8": "mm",
            "E8": "mm",
        }.items():
            data[cell] = value
        for cells in ("B6:B7", "C6:D6", "E6:E7"):
            data.merge_cells(cells)
        for row in (("1/0 AWG ring M8", 11.5, 15.5, 24.5), ("2 AWG ring M8", 9.4, 13.5, None)):
            data.append([None, *row])

    book(path, fill)


@sheet("dates and errors.xlsx", "lugs", lands={"4 AWG ring M8": {"hole [mm]": 8.5}},
       refused=("1/0 AWG ring M8", "2 AWG ring M8", "6 AWG ring M8"))  # fmt: skip
def _(path):
    def fill(data, made):
        data.append(["Lug", "Hole [mm]"])
        data.append(["1/0 AWG ring M8", datetime.datetime(2026, 3, 8)])
        data.append(["2 AWG ring M8", "#N/A"])
        data.append(["4 AWG ring M8", 8.5])
        data.append(["6 AWG ring M8", "=8+0.5"])

    book(path, fill)


@sheet(
    "hidden and struck out.xlsx", "lugs", lands={"4 AWG ring M8": {"palm width [mm]": 17}}, refused=("2 AWG ring M8",)
)
def _(path):
    def fill(data, made):
        data.append(["Lug", "Palm width [mm]"])
        data.append(["2 AWG ring M8", 21.5])
        data.append(["4 AWG ring M8", 17])
        data["B2"].font = openpyxl.styles.Font(strike=True)
        old = made.create_sheet("before 2020")
        old.append(["Lug", "Palm width [mm]"])
        old.append(["1/0 AWG ring M8", 99])
        old.sheet_state = "hidden"

    book(path, fill)


@sheet("parts in columns.xlsx", "fuses",
       lands={"bolt-in cartridge 30 A": {"breaking capacity [A]": 1100}, "bolt-in cartridge 40 A": {"breaking capacity [A]": 1200}},
       same=("bolt-in cartridge 50 A",))  # fmt: skip
def _(path):
    def fill(data, made):
        data.append(["Fuse", "bolt-in cartridge 30 A", "bolt-in cartridge 40 A", "bolt-in cartridge 50 A"])
        data.append(["Rated current [A]", 30, 40, 50])
        data.append(["Breaking capacity [kA]", 1.1, 1.2, 1])
        data.append(["Voltage [V]", 32, 32, 32])

    book(path, fill)


@sheet(
    "two sheets that disagree.xlsx",
    "lugs",
    lands={"4 AWG ring M8": {"palm width [mm]": 17}},
    refused=("2 AWG ring M8",),
)
def _(path):
    def fill(data, made):
        data.title = "spring"
        data.append(["Lug", "Palm width [mm]"])
        data.append(["2 AWG ring M8", 21.5])
        data.append(["4 AWG ring M8", 17])
        autumn = made.create_sheet("autumn")
        autumn.append(["Lug", "Palm width [mm]"])
        autumn.append(["2 AWG ring M8", 20.5])

    book(path, fill)


@sheet("numbers as text, and per cent.xlsx", "conductors",
       lands={"2 AWG stranded tinned copper": {"resistance at 20 degC [ohm/km]": 0.5475}}, refused=("4 AWG stranded tinned copper",))  # fmt: skip
def _(path):
    def fill(data, made):
        data.append(["Conductor", "Resistance at 20 °C [Ω/km]"])
        data.append(["2 AWG stranded tinned copper", "0,5475"])
        data.append(["4 AWG stranded tinned copper", 0.87])
        data["B3"].number_format = "0.00%"

    book(path, fill)


@sheet("ruled.pdf", "fuses",
       lands={"bolt-in cartridge 30 A": {"breaking capacity [A]": 1100}, "bolt-in cartridge 40 A": {"breaking capacity [A]": 1200}},
       refused=("bolt-in cartridge 50 A",))  # fmt: skip
def _(path):
    page = Pdf()
    page.text(50, 60, "Fuses for the river workboat", 14)
    page.text(50, 80, "All of them are made up. Class bolt-in cartridge, 32 V.")
    rows = [["Fuse", "Rated current\n[A]", "Breaking capacity\n[kA]", "Voltage [V]"], ["bolt-in cartridge 30 A", "30", "1.1", "32"],
            ["bolt-in cartridge 40 A", "40", "1.2", "32"], ["bolt-in cartridge 50 A", "50", "typ. 1.2", "32"]]  # fmt: skip
    page.ruled(50, 100, [140, 80, 90, 70], rows, 26)
    page.text(50, 260, "Page 1 of 1")
    page.write(path)


@sheet("merged and ruled.pdf", "suppressors",
       lands={"400 W surface-mount 12 V": {"least breakdown [V]": 13.4, "greatest breakdown [V]": 14.6, "clamping [V]": 19.7},
              "400 W surface-mount 13 V": {"greatest breakdown [V]": 15.8}})  # fmt: skip
def _(path):
    page = Pdf()
    rows = [["Suppressor", ("Breakdown voltage VBR", 2), "Clamping", "Peak"], ["", "min", "max", "voltage VC", "current IPP"], ["", "V", "V", "V", "A"],
            ["400 W surface-mount 12 V", "13.4", "14.6", "19.7", "20.1"], ["400 W surface-mount 13 V", "14.4", "15.8", "21.5", "18.6"]]  # fmt: skip
    page.ruled(40, 80, [150, 70, 70, 70, 70], rows, 18)
    page.write(path)


@sheet("without lines.pdf", "lugs",
       lands={"1/0 AWG ring M8": {"hole [mm]": 8.5, "palm width [mm]": 24.5}, "2 AWG ring M8": {"palm width [mm]": 21.5}},
       refused=("4 AWG ring M8",))  # fmt: skip
def _(path):
    page = Pdf()
    page.text(60, 50, "Tinned copper ring lugs", 13)
    page.text(60, 66, "from the store of the boat, as measured by nobody; for the exercise only")
    page.loose([60, 220, 320, 420], 100, [
        ["Lug", "Stud hole (mm)", "Palm width (mm)", "Remark"], ["1/0 AWG ring M8", "8.5", "24.5", ""],
        ["2 AWG ring M8", "8.4", "21.5", "new die"], ["4 AWG ring M8", "8.4", "16.5 (0.75 in)", ""]])  # fmt: skip
    page.text(60, 200, "Dimensions may change.")
    page.write(path)


@sheet("over two pages.pdf", "shunts",
       lands={"50 A 50 mV shunt": {"continuous current [A]": 33}, "100 A 50 mV shunt": {"continuous current [A]": 66},
              "200 A 50 mV shunt": {"continuous current [A]": 132}})  # fmt: skip
def _(path):
    page = Pdf()
    head = ["Shunt", "Rated current [A]", "Output [mV]", "Continuous current [A]"]
    page.loose(
        [60, 220, 320, 420],
        100,
        [head, ["50 A 50 mV shunt", "50", "50", "33"], ["100 A 50 mV shunt", "100", "50", "66"]],
    )
    page.page()
    page.loose([60, 220, 320, 420], 60, [head, ["200 A 50 mV shunt", "200", "50", "132"]])
    page.write(path)


@sheet("goes on without a head.pdf", "shunts",
       lands={"50 A 50 mV shunt": {"continuous current [A]": 33}, "100 A 50 mV shunt": {"continuous current [A]": 66},
              "200 A 50 mV shunt": {"continuous current [A]": 132}, "300 A 50 mV shunt": {"continuous current [A]": 199}})  # fmt: skip
def _(path):
    page = Pdf()
    head = ["Shunt", "Rated current [A]", "Output [mV]", "Continuous current [A]"]
    widths = [140, 90, 90, 120]
    page.ruled(
        60, 600, widths, [head, ["50 A 50 mV shunt", "50", "50", "33"], ["100 A 50 mV shunt", "100", "50", "66"]]
    )
    page.page()
    page.ruled(60, 60, widths, [["200 A 50 mV shunt", "200", "50", "132"], ["300 A 50 mV shunt", "300", "50", "199"]])
    page.write(path)


@sheet("broken over lines, with footnotes.pdf", "fuses",
       lands={"bolt-in cartridge 30 A": {"breaking capacity [A]": 1100}, "bolt-in cartridge 40 A": {"breaking capacity [A]": 1200}})  # fmt: skip
def _(path):
    page = Pdf()
    page.loose([60, 220, 320], 100, [["Fuse", "Voltage [V]", "Breaking capacity [A]"]])
    page.text(60, 122, "bolt-in cartridge")
    page.text(60, 131, "30 A")
    page.text(220, 122, "32")
    page.text(320, 122, "1100*")
    page.text(60, 153, "bolt-in cartridge 40 A")
    page.text(220, 153, "32")
    page.text(320, 153, "1200")
    page.text(60, 175, "bolt-in cartridge 50 A")
    page.text(220, 175, "32")
    page.text(320, 175, "1000")
    page.text(60, 230, "* at 32 V dc, once only")
    page.write(path)


@sheet("one page a scan.pdf", "lugs", lands={"2 AWG ring M8": {"palm width [mm]": 21.5}})
def _(path):
    page = Pdf()
    page.scan()
    page.page()
    page.ruled(60, 100, [120, 100], [["Lug", "Palm width [mm]"], ["2 AWG ring M8", "21.5"]])
    page.write(path)


@sheet("all a scan.pdf", "lugs", error="page 1: a scan")
def _(path):
    page = Pdf()
    page.scan()
    page.write(path)


@sheet(
    "quoted heads with line ends.csv",
    "lugs",
    lands={"1/0 AWG ring M8": {"palm width [mm]": 24.5, "barrel diameter [mm]": 15.6}},
)
def _(path):
    rows = [["Type", "Tongue\nwidth\n(mm)", "Barrel OD,\nmm", "Colour"], ["1/0 AWG ring M8", "24.5", "15.6", "grey"]]
    path.write_text(csv_text(rows, line_end="\r\n"), encoding="utf-8-sig", newline="")
