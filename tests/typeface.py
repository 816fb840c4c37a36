"""Make the typeface of the pages anew: `python -m tests.typeface FOLDER`, with `pip install fonttools brotli`.

FOLDER holds Inter-Regular.woff2 and Inter-SemiBold.woff2 as their authors publish them (version 4.1, in the npm package
inter-ui, folder web). What comes out: the letters of Western and Central European languages, fractions, and the signs
pages use. Figures are of one width, and l and I have the shapes that cannot be taken for each other or for 1.
"""

import sys
from pathlib import Path

KEPT = Path(__file__).parents[1] / "guide" / "show" / "pages" / "type"
SIGNS = "–—‘’‚“”„†•…‹›′″−×÷·≈≠≤≥√→←↑↓↻▲▼●○◯✓½¼¾⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞€™Σ◆■□ȘșȚț"
LETTERS = [*range(0x20, 0x7F), *range(0xA0, 0x180), *map(ord, SIGNS)]
SHAPES = {"tnum": "0123456789", "cv05": "l", "cv08": "I"}  # features of the typeface that are always on here


def made(source: Path, weight: str, to: Path) -> None:
    """Cut one weight down and write it."""
    from fontTools import subset
    from fontTools.ttLib import TTFont

    font = TTFont(source)
    for feature, letters in SHAPES.items():
        shapes = _shapes(font, feature)
        for kept in (one.cmap for one in font["cmap"].tables if one.isUnicode()):  # tables may be one and the same
            kept |= {code: shapes.get(kept[code], kept[code]) for code in map(ord, letters) if code in kept}
    options = subset.Options(flavor="woff2", layout_features=["kern", "ccmp", "mark", "locl"], hinting=False)
    cut = subset.Subsetter(options)
    cut.populate(unicodes=LETTERS)
    cut.subset(font)
    for record in list(font["name"].names):
        if record.nameID in {1, 3, 4, 6, 16}:
            font["name"].setName(
                f"Fraywork {weight}", record.nameID, record.platformID, record.platEncID, record.langID
            )
    font.recalcTimestamp = False
    subset.save_font(font, str(to), options)


def _shapes(font, feature: str) -> dict[str, str]:
    """Which glyph a feature puts for which."""
    table, out = font["GSUB"].table, {}
    for record in table.FeatureList.FeatureRecord:
        for at in record.Feature.LookupListIndex if record.FeatureTag == feature else ():
            for part in table.LookupList.Lookup[at].SubTable:
                out |= getattr(getattr(part, "ExtSubTable", part), "mapping", {})
    return out


if __name__ == "__main__":
    for name in ("Regular", "SemiBold"):
        made(Path(sys.argv[1]) / f"Inter-{name}.woff2", name, KEPT / f"{name.lower()}.woff2")
