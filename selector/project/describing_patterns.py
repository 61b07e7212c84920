"""How figures are written in descriptions: one pattern for each way, in the order in which they are tried."""

import re

_PLAIN = r"(?:\d+(?:[.,]\d+)*|[.,]\d+)"
_FRACTION = r"(?:\d{1,4}[ -]\d{1,4}/\d{1,4}|\d{1,4}/\d{1,4})"
_ANY = rf"(?:{_FRACTION}|{_PLAIN})"
_SIZE = r"(?:[1-6]/0|0{1,4}|\d{1,2})"
_GAUGE = r"(?:awg|ga|gauge|gage|guage|jauge|calibre|calibro|b\s?&\s?s(?:\s?(?:gauge|ga))?)"
_TO = r"\s*(?:-|to|bis|\.\.|–)\s*"
_END = r"(?![A-Za-z0-9])"
_AREA = (
    r"(?:mm2|mm\^2|sq\.?\s?mm|mm\.?\s?sq|q\s?mm|mm\s?q|mm\s?carres?|mm\s?quadrat[io]?|mm\s?cuadrados?|mm\s?quadri"
    r"|quadratmillimeter|quadrat\s?mm|square\s(?:mm|millimet(?:er|re)s?)|vierkante?\smm|mm\s?kwadraat|kwadraat\s?mm)"
)
METRES = {"m": 1.0, "mtr": 1.0, "mtrs": 1.0, "mt": 1.0, "meter": 1.0, "meters": 1.0, "metre": 1.0, "metres": 1.0,
           "metro": 1.0, "metros": 1.0, "metri": 1.0, "mts": 1.0, "ml": 1.0, "lfm": 1.0, "cms": 0.01, "cm": 0.01, "centimetre": 0.01, "centimetres": 0.01,
           "centimeter": 0.01, "centimeters": 0.01, "km": 1000.0, "yd": 0.9144, "yard": 0.9144, "yards": 0.9144,
           "dm": 0.1, "mm": 0.001}  # fmt: skip
_FOOT = r"(?:ft\.?|foot|feet|fuss|pieds?|pies|piedi|voet|')"
_INCH = r"(?:in\.?(?!\s(?:the|a|an|my|this|total|all|stock|box|bag|tin|drawer|locker|one)\b)|inch|inches|zoll|pouces?|pulgadas?|pollic[ei]|duim|\"|'')"
_PIECES = (
    r"(?:pcs?\.?|pces?|off|st\.|stc?k\.?|st(?!\s?/)|stuecke?|stucke?|stuks?|units?|unites?|uds?\.?|unidad(?:es)?|pezzi|pezzo"
    r"|pz\.?|piezas?|pieces?|ea|each|nos|no(?!\s?[a-z])|left|remaining|spares?|count|ct|uebrig|ubrig|lengths?|offcuts?|jumpers?|tails?|coils?|rolls?|sticks?|reststuecke?|reststucke?"
    r"|trozos?|tramos?|spezzon[ei]|stukken|stukjes|rotol[oi]|morceaux|coupes|chutes|rollos?|(?:er)?[ -]?(?:pack|pk|pkg))"
)
"""Words that count what stands before them: pieces, or the lengths and packs they come in."""
_QUANTITY = (
    r"(?:qty|quantity|quant\.?|menge|anzahl|qte|quantite|cantidad|cant\.?|quantita|qta|n\.(?=\s)|aantal|pz\.?|pezzi|n\.?\s?pezzi|pcs|stueck|stuck"
    r"|stuks)"
)
_COUNTED_OUT = {
    2: r"two|zwei|deux|dos|twee|due(?=\s(?:pezz|spezz|rotol|tratt|cav|fil|cap|fus|diod|scat))",
    3: "three|drei|trois|tres|tre|drie",
    4: "four|vier|quatre|cuatro|quattro",
    5: "five|funf|fuenf|cinq|cinco|cinque|vijf",
    6: "six|sechs|seis|sei|zes",
    7: "seven|sieben|sept|siete|sette|zeven",
    8: "eight|acht|huit|ocho|otto",
    9: "nine|neun|nueve|nove|negen",
    10: "ten|zehn|diez|dieci|tien",
    11: "eleven|elf|onze|undici",
    12: r"twelve|zwolf|zwoelf|douze|twaalf|(?:a\s)?dozen|doz\.?|dutzend|douzaine|docena|dozzina|dozijn",
}
_OF_A_PIECE = (
    r"(?:phas|fas[ei]|fasig|core|ader|adrig|hole|loch|trou|aguj|fori|gat|pol[eai]|polig|pole|conduct|condut|wire|strand|way|bolt|pin"
    r"|wall|pared|paret|paroi|stage|part|extrusion)"
)
"""What a number word before them tells of one piece, not of several."""
_LENGTH_UNITS = "|".join(sorted((u for u in METRES if u != "mm"), key=len, reverse=True))
_LENGTH = rf"(?:{'|'.join(sorted(METRES, key=len, reverse=True))}|mm|{_FOOT}|{_INCH})"
_HELD = (
    r"(?:box|bag|packs?|packet|pkt|pk|strip|card|set|tape|tube|tub|tin|jar|tray|lot|bundle|carton|beutel|tute|schachtel|packung"
    r"|pack(?:chen)?|satz|karton|dose|boite|sachet|paquet|jeu|bolsa|caja|paquete|juego|lote|scatola|busta|sacchetto|conf(?:\.|ezione)?"
    r"|pacco|doos|doosje|zak|zakje|pak)"
)
_HOLDING = r"(?:of|with|w/|a|mit|von|zu|de|avec|con|da|di|met|van)"
"""Words for what pieces come in: the number behind ``of`` (``de``, ``von`` …) counts them, unless a unit or another figure goes on with it."""
_NOT_A_COUNT = (
    rf"(?![\w/]|[.,]\d|\s*(?:-|to\b|x|/|:|°|\.\.|\d+/)|\s*(?:{_AREA}|{_GAUGE}|kcmil|mcm|{_LENGTH}|[km]?[avw]|volts?|amps?"
    rf"|amperes?|watts?|ohms?|deg|degc|[cf]|celsius|fahrenheit|grad|circuits?|poles?|cores?|ways?|conductors?){_END})"
)
_TERMINAL_RANGE = r"(?:(?P<a>22)-(?P<b>18)|(?P<c>16)-(?P<d>14)|(?P<e>12)-(?P<f>10)|(?P<g>22)-(?P<h>16))"
"""The ranges terminals are sold in; no area in mm2 is written so, as sizes in mm2 rise and these fall."""
_BIG_AREA = r"(?:25|35|50|70|95|120|150|185|240)"
_BIG_STUD = r"(?:5|6|8|10|12|14|16)"
"""``35-8``, a lug of 35 mm2 for M8: only areas no gauge is a number of; from 16 down it may be a range of gauges."""
_AND_A_HALF = (
    "and a half|y medio|y media|e mezzo|et demie?|und (?:ein|eine)? ?halb(?:er|en)?|en een half(?:ve)?|en een halve"
)
_HALF_A = "half an?|half|(?:ein(?:en)? )?halbe[rn]?|un demi|demi|medio|mezzo|(?:een )?halve"
_MONEY = r"(?:[$€£]|eur|euros?|usd|gbp|chf|aud)"
_PER = r"(?:\s?(?:/|per|je|al|pro)\s?(?:m|ft|foot|met(?:er|re|ro)|mtr|pcs?|piece|ea|each|st|stk|stuck|stuk|pz|ud))?"
_PLACE = r"(?:drawer|shelf|bin|locker|rack|crate|aisle|schublade|fach|kiste|regal|tiroir|cajon|cassetto|scaffale|lade|vak|kast)"
_NO_MEASURE = (
    rf"(?!\s*(?:°|(?:{_AREA}|{_GAUGE}|kcmil|mcm|{_LENGTH}|[km]?[avw]|volts?|amps?|amperes?|watts?|ohms?|deg|degc|[cf]"
    rf"|celsius|fahrenheit|grad){_END}))"
)
"""No unit behind a number: in ``locker 221 F`` the locker has no number."""
_NO_UNIT = rf"(?!\s*(?:{_AREA}|{_GAUGE}|kcmil|(?!mm){_LENGTH}|[av]|amps?|pcs){_END})"

_TENS = {12: "twelve|zwolf|douze|doce|dodici|twaalf", 15: "fifteen|quinze|quince|quindici", 20: "twenty|zwanzig|vingt|veinte|venti|twintig",
         30: "thirty|dreissig|trente|treinta|trenta|dertig", 40: "forty|vierzig", 50: "fifty|funfzig", 100: "hundred|a hundred|hundert"}  # fmt: skip
_COUNTS = rf"(?:\s(?:off?|pieces|pcs|lengths|x)(?=\s))?{_END}(?![ -]?{_OF_A_PIECE})(?!\s?(?:{_LENGTH}|{_AREA}|amps?|volts?|watts?){_END})"
"""What may stand behind a number word that counts pieces."""
NUMBER_WORD = re.compile(
    rf"\b(?:(?P<n1>one|ein|un|een)|{'|'.join(f'(?P<n{n}>{w})' for n, w in {**_COUNTED_OUT, **_TENS}.items())})"
    r"(?=\s(?:and a half|y medi[oa]|e mezzo|et demie?|feet|foot|met(?:er|re|ro|ri)s?|inch(?:es)?|amps?|volts?|watts?|mm|cm|zoll|fuss|pieds|pies)\b)",
    re.IGNORECASE,
)
"""A number in words before a unit: ``ten feet``."""
LARGE_NUMBER = re.compile(rf"\b(?:{'|'.join(f'(?P<n{n}>{w})' for n, w in _TENS.items() if n > 12)})\b", re.IGNORECASE)
"""A number in words that can hardly be anything but a number."""

PATTERNS = tuple(
    (kind, re.compile(pattern, re.IGNORECASE))
    for kind, pattern in (
        ("price", rf"(?:@\s?)?{_MONEY}\s?\d+(?:[.,]\d{{1,2}})?(?:[.,]-)?{_PER}(?!\w)"),
        ("price", rf"(?:@\s?)?\d+(?:[.,]\d{{1,2}})?\s?{_MONEY}{_PER}(?!\w)"),
        ("place", rf"{_PLACE}\s?(?:no\.?|nr\.?|#)?\s?(?:[a-z]-?\d{{1,3}}|-?\d{{1,3}}{_NO_MEASURE}|[a-z])(?![\w]|[.,]\d)"),
        ("year", r"(?:bought|purchased|dated|since|from|ex|year|bj\.?|baujahr|gekauft|achete|comprado|comprato|gekocht)\s(?:in\s)?"
                 r"(?:(?:0?[1-9]|1[0-2])[/.])?(?P<a>(?:19|20)\d\d)(?![\w]|[.,]\d)"),
        ("year", r"(?:0?[1-9]|1[0-2])[/.](?P<a>(?:19|20)\d\d)(?![\w]|[.,]\d)"),
        ("bracketed", r"\(\s*(?P<a>\d{1,5})\s*\)"),
        ("coil", rf"ringe?n?\s(?:(?:zu|je|a|von|mit)\s)?(?P<a>{_PLAIN})\s?m{_END}|(?P<b>{_PLAIN})\s?m[ -]?ring{_END}"),
        ("metres and centimetres", r"(?P<a>\d{1,3})\s?m\s?(?P<b>\d\d)(?:\s?cm)?(?![\w/]|[.,]\d)"),
        ("strands", r"(?P<a>\d{1,4})\s?[x/]\s?(?P<b>0[.,]\d{1,3})(?:\s?mm)?(?![\w/]|[.,]\d)"),
        ("length", rf"(?:m\.|mt|mtr|metri|metres?|meters?|lg|lungh)\.?\s(?P<a>{_PLAIN})(?!\s?(?:{_LENGTH}|x|{_AREA}){_END})(?![\w/])"),
        ("length", r"(?-i:m)\s(?P<a>\d+[.,]\d+)(?![\w/])"),
        ("and a half", rf"(?P<a>\d{{1,3}})\s?m(?:et(?:er|re|res|ri|ros)|etros?)?\s(?:{_AND_A_HALF}){_END}"),
        ("and a half", rf"(?P<a>\d{{1,3}})\s?(?:{_AND_A_HALF})\s?(?:m|met(?:er|re|ro)s?){_END}"),
        ("and a half", rf"(?:{_HALF_A})\s?-?(?:m|met(?:er|re|ro)){_END}"),
        ("feet and inches", rf"(?P<a>{_PLAIN})\s*{_FOOT}\s*(?:and\s+)?(?P<b>{_ANY})\s*(?:{_INCH}{_END}|(?<=\d)(?=\s*(?:$|[,;)])))"),
        ("gauge range", rf"(?:awg\s*)?(?P<a>{_SIZE})\s*(?:awg\s*)?{_TO}(?P<b>{_SIZE})\s*{_GAUGE}{_END}"),
        ("gauge range", rf"(?P<a>\d\d)/(?P<b>\d\d)\s*{_GAUGE}{_END}"),
        ("gauge range", rf"awg\s*(?P<a>{_SIZE}){_TO}(?P<b>{_SIZE}){_END}"),
        ("gauge", rf"(?:(?:no|nr)\.?\s*|#\s*)?(?P<a>{_SIZE})\s*-?\s*{_GAUGE}{_END}"),
        ("gauge", rf"(?:awg[\s.:]*|{_GAUGE}[\s.:]+)(?:(?:no|nr)\.?\s*|#\s*)?(?P<a>{_SIZE})(?![\w.,/]?\d|[A-Za-z])"),
        ("terminal range", rf"{_TERMINAL_RANGE}(?:(?=\s+\d/\d)|{_NOT_A_COUNT}(?!-))"),
        ("bare area range", rf"(?P<a>0[.,]5|0[.,]3|1[.,]5|2[.,]5)-(?P<b>1|1[.,]5|2[.,]5|0[.,]8|6){_NOT_A_COUNT}(?!-)"),
        ("packs", rf"(?P<a>\d{{1,3}})\s?x?\s?{_HELD}(?:s|es|e|en|n)?\s{_HOLDING}\s+(?P<b>\d{{1,5}})(?:\s?{_PIECES}{_END}|{_NOT_A_COUNT})"),
        ("count", rf"(?:(?:sealed|full|unopened|plastic|small|large|new)\s)?{_HELD}\s{_HOLDING}\s+(?P<b>\d{{1,6}})(?:\s?{_PIECES}{_END}|{_NOT_A_COUNT})"),
        ("bracketed", rf"(?:reel|roll|sheet|stick)\s(?:of|with)\s(?P<a>\d{{1,5}}){_NOT_A_COUNT}"),
        ("count", r"(?P<b>\d{1,6})\sof(?=\s*(?:$|[,.;)]))"),
        ("count", rf"(?:pack|packet|pkt|pk|pckt)\.?[ :]\s?(?P<b>\d{{1,6}}){_NOT_A_COUNT}"),
        ("count", rf"(?P<b>\d{{1,6}})(?:\s(?:per|in\sa|to\sa)\s|\s?/\s?)(?:bag|box|pack|packet|pkt){_END}"),
        ("count", rf"(?:bag|box|pack|packet|pkt|pk)\s?/\s?(?P<b>\d{{1,6}}){_NOT_A_COUNT}"),
        ("count", r"(?P<b>\d{1,5})\s(?=in\s(?:the|a|my|this|total|all|stock|box|bag|tin|drawer)\b)"),
        ("count", r"(?P<b>\d{1,4})\s?@(?=\s?\d)"),
        ("dozens", r"(?P<a>\d{1,2}|half(?:\sa)?)[ -]?doz(?:en|\.)?(?!\w)"),
        ("count", rf"(?P<b>\d{{1,6}})\s(?:of|x)\s(?:them|these|those){_END}"),
        ("length", rf"(?P<a>{_PLAIN})\s?(?P<u>mm|cm)\s(?:pieces|lengths|bits|long|sticks|stuecke|stucke|lang|morceaux|trozos|pezzi|stukken){_END}"),
        *(("number word", rf"(?P<n{value}>(?:{words})){_COUNTS}") for value, words in _COUNTED_OUT.items()),
        ("pair", rf"(?:(?:a\s)?pair|couple|paire|coppia)(?:\s(?:of|de|di))?{_END}"),
        ("kcmil", rf"(?P<a>\d+)\s*(?:kcmil|mcm){_END}"),
        ("gauge", r"(?P<a>[1-6]/0|0{2,4})(?![.,/]?\d|[A-Za-z])"),
        ("area", rf"(?P<a>{_PLAIN})(?:{_TO}(?P<b>{_PLAIN}))?\s*{_AREA}{_END}"),
        ("area", rf"(?P<a>{_PLAIN})\s?(?:sq|square|quadrat)(?![\w]|\.?\s?(?:cm|in|ft|m\b))"),
        ("ratio", rf"(?P<a>{_PLAIN})\s*(?::|\bto\b)\s*(?P<b>1){_END}(?![.,:]\d)"),
        ("thermal", rf"(?P<a>{_PLAIN})\s*(?:k|°\s?c|degc)/w{_END}"),
        ("speed", rf"(?P<a>{_PLAIN})\s*m/s{_END}"),
        ("temperature", rf"(?P<a>-?{_PLAIN})\s*(?:°|deg\.?|degrees?|grad)?\s*(?P<u>celsius|fahrenheit|c|f){_END}(?!/\s?w)"),
        ("temperature", rf"(?P<a>-?{_PLAIN})\s*(?:grad(?:en|i|os)?|gr|degres?){_END}"),
        ("temperature", rf"(?!45|90)(?P<a>{_PLAIN})\s*(?:°|deg\.?|degs|degrees?){_END}"),
        ("voltage", rf"(?P<a>{_PLAIN})(?:\s*/\s*(?P<b>{_PLAIN}))?\s*(?P<u>kv|v|volts?|voltios?)(?:\s?(?:d\.?c|a\.?c)\.?{_END}|\s?[=~]|{_END})"),
        ("millivolts", rf"(?P<a>{_PLAIN})\s*(?P<u>mv|milli\s?volts?){_END}"),
        ("current", rf"(?P<a>{_PLAIN})\s*(?P<u>ka|ma|a|amps?|amperes?|amperios?|amperios){_END}"),
        ("power", rf"(?P<a>{_PLAIN})\s*(?P<u>kw|w|watts?){_END}"),
        ("block", rf"(?P<a>{_PLAIN})\s?(?:mm)?\s?x\s?(?P<b>{_PLAIN})\s?(?:mm)?\s?x\s?(?P<c>{_PLAIN})(?![\d/]|[.,]\d)(?:\s*mm)?{_END}"),
        ("surface", rf"(?P<a>{_PLAIN})\s*(?:cm2|cm\^2|sq\.?\s?cm|q\s?cm|cm\s?q|square\scm){_END}"),
        ("dims in inches", rf"(?P<a>{_FRACTION})\s?(?:{_INCH})?\s?x\s?(?P<b>{_FRACTION})(?![\w/])(?:\s*{_INCH}{_END})?"),
        ("size and stud", rf"(?P<a>{_BIG_AREA})\s?[-/x]\s?(?P<u>m?)(?P<b>{_BIG_STUD}){_NOT_A_COUNT}(?!-)"),
        ("dims", rf"(?P<a>{_PLAIN})\s?x\s?(?P<b>{_PLAIN})(?![\d/]|[.,]\d){_NO_UNIT}(?:\s*(?P<u>mm){_END})?"),
        ("count", rf"(?P<a>\d{{1,6}})\s*x(?=\s*\S|$)(?![A-Za-z])|(?P<b>\d{{1,6}})\s*{_PIECES}{_END}|{_QUANTITY}[.:\s]*(?P<c>\d{{1,6}}){_END}"),
        ("count", rf"(?P<a>\d{{1,6}})\s*x(?=[A-Za-z#])|(?<![\w.])x\s?(?P<b>\d{{1,6}})(?:\s?{_PIECES}{_END}|{_NOT_A_COUNT})"),
        ("before and after", rf"(?P<a>{_PLAIN})\s*/\s*(?P<b>{_PLAIN})\s*mm{_END}"),
        ("before and after", r"(?P<a>\d{1,2}[.,]\d)\s?/\s?(?P<b>\d{1,2}(?:[.,]\d)?)(?![\w/]|[.,]\d)"),
        ("mm", rf"(?P<a>{_PLAIN})\s*(?:mm|millimet(?:er|re)s?|millimetri|milimetros){_END}"),
        ("length", rf"(?P<a>{_ANY})\s*(?P<u>{_LENGTH_UNITS}){_END}(?!\s?/\s?s{_END})"),
        ("feet", rf"(?P<a>{_ANY})\s*{_FOOT}{_END}"),
        ("inches", rf"(?P<a>{_ANY})\s*{_INCH}{_END}"),
        ("curve", r"(?P<u>[BCDKZ])(?:\s?(?P<a>\d{1,3})\s?A|(?P<b>\d{1,3}))(?![\w.])"),
        ("thread", r"M\s?(?P<a>\d{1,2}(?:[.,]5)?)(?!\w|/(?!\s?\d+\s?(?:mm|q|sq))|[.,]\d)"),
        ("fraction", rf"(?P<a>{_FRACTION})(?![\w/])"),
        ("hash", r"(?:#\s?|(?:no|nr)\.?\s?|n°\s?)(?P<a>\d{1,2})(?![\w/]|[.,]\d)"),
    )
)  # fmt: skip
LAST_PATTERNS = tuple(
    (kind, re.compile(pattern))
    for kind, pattern in (
        ("trailing", r"(?<=[,;:\-]\s)(?P<a>\d{1,4})(?=\s*(?:only|spare|loose|in\sstock)?\s*$)"),
        ("code", r"[A-Za-z]+[-/.]?\d[\w./-]*|\d+(?:[.,]\d+)?[A-Za-z][\w/-]*"),
        ("number", rf"(?P<a>(?:(?<![A-Za-z0-9)])[-+])?{_ANY})"),
        ("word", r"[^\W\d_]+(?:['-][^\W\d_]+)*"),
        ("doubt", r"[?]"),
        ("roughly", r"[~≈±]"),
        ("sign", r"[^\s\w,;.()\[\]\-–—+/:&*'\"!|@]"),
    )
)
