"""Make the fonts that Gripwright ships from the OFL faces they derive from.

    python scripts/make_fonts.py FOLDER

FOLDER holds the unpacked npm packages @expo-google-fonts/source-serif-4 0.4.1,
source-sans-3 0.4.1, patrick-hand 0.4.1 and noto-sans-math 0.4.2, each under its own name.
Every face is cut to European alphabets, gets the accidentals of Noto Sans Math, which text
faces lack, and a family name of ours: the licence of the Source faces reserves theirs.
`metrics.json` holds the advance widths that drawings are measured by, `outlines.json` the
shapes of the letters they use. Needs fontTools.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from fontTools import subset
from fontTools.misc.transform import Transform
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import flagOverlapSimple

OUT = Path(__file__).resolve().parents[1] / "src/gripwright/draw/fonts"
ACCIDENTALS = {"♭": "musicflat", "♮": "musicnatural", "♯": "musicsharp"}
FEATURES = ["kern", "mark", "mkmk", "ccmp", "locl", "liga", "calt", "tnum", "pnum", "lnum",
            "onum", "case"]  # fmt: skip
RANGES = ((0x20, 0x7E), (0xA0, 0x17F), (0x192, 0x192), (0x218, 0x21B), (0x2C6, 0x2DD),
          (0x300, 0x304), (0x306, 0x30C), (0x323, 0x328), (0x37E, 0x3CE), (0x400, 0x45F),
          (0x490, 0x491), (0x1E80, 0x1EF9), (0x2010, 0x2026), (0x2030, 0x203A),
          (0x2044, 0x2044), (0x20AC, 0x20AC), (0x2116, 0x2122), (0x2153, 0x215E),
          (0x2190, 0x2193), (0x2206, 0x2206), (0x2212, 0x2215), (0x221E, 0x221E),
          (0x2248, 0x2248), (0x2260, 0x2265), (0x25B3, 0x25B3), (0xFB01, 0xFB02))  # fmt: skip
# file, family, style, source face, how much bolder the accidentals (1/1000 em each side)
FACES = (
    ("GripwrightSerif-Regular", "Gripwright Serif", "Regular",
     "source-serif-4/400Regular/SourceSerif4_400Regular.ttf", 0),
    ("GripwrightSerif-Italic", "Gripwright Serif", "Italic",
     "source-serif-4/400Regular_Italic/SourceSerif4_400Regular_Italic.ttf", 0),
    ("GripwrightSerif-SemiBold", "Gripwright Serif", "SemiBold",
     "source-serif-4/600SemiBold/SourceSerif4_600SemiBold.ttf", 14),
    ("GripwrightSans-Regular", "Gripwright Sans", "Regular",
     "source-sans-3/400Regular/SourceSans3_400Regular.ttf", 0),
    ("GripwrightSans-SemiBold", "Gripwright Sans", "SemiBold",
     "source-sans-3/600SemiBold/SourceSans3_600SemiBold.ttf", 16),
    ("GripwrightHand-Regular", "Gripwright Hand", "Regular",
     "patrick-hand/400Regular/PatrickHand_400Regular.ttf", 6),
)  # fmt: skip
# Where the accidentals stand, as shares of the cap height: the flat's bowl on the baseline.
STAND = {"♭": (-0.03, 1.16), "♮": (-0.14, 1.14), "♯": (-0.10, 1.10)}
SLIM = 0.92
# The faces that drawings write in: `draw/outline.py` turns their letters into paths.
DRAWN = ("Gripwright Sans SemiBold", "Gripwright Sans Regular", "Gripwright Hand Regular")
BEARING = 26


def main(folder: Path) -> None:
    """Write every face and the table of advance widths."""
    math = TTFont(folder / "noto-sans-math/400Regular/NotoSansMath_400Regular.ttf")
    metrics: dict[str, object] = {}
    outlines: dict[str, object] = {}
    common = {code for low, high in RANGES for code in range(low, high + 1)}
    common |= {ord(character) for character in ACCIDENTALS}
    for file, family, style, source, bolder in FACES:
        font = cut(TTFont(folder / source, recalcTimestamp=False))
        for character, name in ACCIDENTALS.items():
            graft(font, math, character, name, bolder)
        rename(font, family, style)
        font.save(OUT / f"{file}.ttf")
        metrics[f"{family} {style}"] = widths(font)
        if f"{family} {style}" in DRAWN:
            outlines[f"{family} {style}"] = paths(font)
        if family != "Gripwright Hand":
            common &= set(font.getBestCmap())
    metrics["covers"] = "".join(chr(code) for code in sorted(common))
    write("metrics.json", metrics)
    write("outlines.json", outlines)


def write(name: str, table: dict[str, object]) -> None:
    """Write a table as JSON, one line a face."""
    lines = [
        f"{json.dumps(key)}: {json.dumps(table[key], ensure_ascii=False, separators=(',', ':'))}"
        for key in sorted(table)
    ]
    (OUT / name).write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")


def paths(font: TTFont) -> dict[str, list[object]]:
    """Return advance and outline (SVG path data, 1/1000 em, y up) of what drawings write."""
    glyphs, cmap = font.getGlyphSet(), font.getBestCmap()
    found: dict[str, list[object]] = {}
    for code in sorted(cmap):
        if 0x20 <= code < 0x7F or chr(code) in "♭♮♯′×°øΔ–":
            pen = SVGPathPen(glyphs, ntos=lambda value: f"{value:g}")
            glyphs[cmap[code]].draw(pen)
            found[chr(code)] = [round(font["hmtx"][cmap[code]][0]), pen.getCommands()]
    return found


def cut(font: TTFont) -> TTFont:
    """Return the font with our characters and features only."""
    options = subset.Options(
        layout_features=FEATURES,
        notdef_outline=True,
        hinting=False,
        name_IDs=[0, 1, 2, 3, 4, 5, 6, 13, 14],
        drop_tables=["DSIG", "STAT"],
    )
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=[c for low, high in RANGES for c in range(low, high + 1)])
    cutter.subset(font)
    return font


def graft(font: TTFont, source: TTFont, character: str, name: str, bolder: int) -> None:
    """Add one accidental: set to the cap height, made bolder, with side bearings of our own."""
    bottom, top = (share * font["OS/2"].sCapHeight for share in STAND[character])
    shape = source["glyf"][source.getBestCmap()[ord(character)]]
    size = (top - bottom - bolder) / (shape.yMax - shape.yMin)
    left = BEARING + bolder - shape.xMin * size * SLIM
    low = bottom + bolder / 2 - shape.yMin * size
    pen = TTGlyphPen(None)
    for x, y in sorted({(-bolder, 0), (bolder, 0), (0, -bolder / 2), (0, bolder / 2)}):
        move = Transform(size * SLIM, 0, 0, size, left + x, low + y)
        shape.draw(TransformPen(pen, move), source["glyf"])
    glyph = pen.glyph()
    glyph.recalcBounds(font["glyf"])
    glyph.flags[0] |= flagOverlapSimple
    font.setGlyphOrder([*font.getGlyphOrder(), name])
    font["glyf"][name] = glyph
    font["hmtx"][name] = (round(glyph.xMax + BEARING), glyph.xMin)
    for table in font["cmap"].tables:
        if table.isUnicode():
            table.cmap[ord(character)] = name


def rename(font: TTFont, family: str, style: str) -> None:
    """Give the font a family name of ours."""
    full = f"{family} {style}"
    plain = style in ("Regular", "Italic")
    names = {1: family if plain else full, 2: style if plain else "Regular", 3: full, 4: full,
             6: full.replace(" ", "-", 1).replace(" ", "")}  # fmt: skip
    if not plain:
        names |= {16: family, 17: style}
    for record in list(font["name"].names):
        if record.nameID in (16, 17, 21, 22, 25):
            font["name"].removeNames(nameID=record.nameID)
    for number, value in names.items():
        font["name"].removeNames(nameID=number)
        font["name"].setName(value, number, 3, 1, 0x409)


def widths(font: TTFont) -> dict[str, int]:
    """Return the advance widths in 1/1000 em by character."""
    scale = 1000 / font["head"].unitsPerEm
    cmap = font.getBestCmap()
    return {chr(code): round(font["hmtx"][name][0] * scale) for code, name in cmap.items()
            if code < 0x180 or chr(code) in "♭♮♯Δ△–—‘’“”…"}  # fmt: skip


if __name__ == "__main__":
    main(Path(sys.argv[1]))
