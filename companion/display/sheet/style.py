"""How the page looks: CSS for paper (CSS Paged Media) and for screens of any width. Nothing is fetched."""

from __future__ import annotations

from companion.display.sheet import paper as sizes
from companion.display.sheet import typeface
from companion.display.sheet.drawing import FONTS
from companion.display.sheet.paper import (
    MARGIN,
    WORDS_LINE,
    Layout,
    Paper,
    cord_width,
    loading_width,
    third_width,
    title_size,
    work_width,
)

_BOTH = """\
* {{ box-sizing: border-box; }}
html {{ font-family: {fonts}; color: #000; background: #fff; }}
svg, img {{ display: block; }}
h1, h2, h3, p, ul, ol, figure, table {{ margin: 0; padding: 0; }}
ul, ol {{ list-style: none; }}
h1 {{ line-height: 1.1; }}
h2 {{ border-bottom: {sizes.HEADING_RULE:g}pt solid #000; }}
.swatch {{ display: inline-block; border: 0.7pt solid #000; border-radius: 3pt; font-weight: bold; text-align: center;
  -webkit-print-color-adjust: exact; print-color-adjust: exact; }}
.number {{ display: inline-block; background: #000; color: #fff; border-radius: 6pt; text-align: center;
  -webkit-print-color-adjust: exact; print-color-adjust: exact; }}
.words {{ font-weight: bold; }}
.line {{ border-bottom: 0.6pt solid #555; }}
.blank {{ display: inline-block; border-bottom: 0.6pt solid #000; }}
table {{ border-collapse: collapse; }}
th, td {{ padding: 0; }}
th {{ text-align: left; font-weight: bold; vertical-align: top; }}
td {{ vertical-align: top; }}
td span {{ white-space: nowrap; }}
figcaption {{ font-weight: bold; white-space: nowrap; }}
"""

_PRINT = """\
@page {{ size: {paper}; margin: {margin:.2f}pt; }}
@media print {{
  html {{ font-size: {sizes.BODY:g}pt; line-height: {sizes.LINE:g}; }}
  body {{ margin: 0; }}
  h1 {{ font-size: {title}pt; }}
  h2 {{ font-size: {sizes.HEADING_SIZE:g}pt; margin: 0 0 {sizes.HEADING_GAP:g}pt; padding-bottom: 0; }}
  .about {{ font-size: {sizes.ABOUT:g}pt; margin-top: 1pt; }}
  .note {{ margin-top: 2pt; }}
  .top {{ display: flex; margin-top: {sizes.ABOVE:g}pt; }}
  .loading {{ width: {loading:.2f}pt; margin-right: {sizes.SIDE_GAP:g}pt; }}
  .cord {{ width: {cord:.2f}pt; }}
  .faces {{ display: flex; align-items: flex-end; }}
  .faces figure {{ margin-right: 10pt; }}
  .faces td span {{ white-space: nowrap; }}
figcaption {{ margin-bottom: 2pt; font-size: 8.5pt; }}
  .loading svg {{ margin: 2pt 0; }}
  .hands th {{ padding-right: {sizes.CELL_GAP:g}pt; white-space: nowrap; }}
  .hands td {{ padding-right: {sizes.CELL_GAP:g}pt; }}
  .swatch {{ width: 11pt; line-height: 10pt; font-size: {sizes.BODY:g}pt; margin: 0 1pt; }}
  .work {{ margin-top: {sizes.ABOVE:g}pt; }}
  .moves ol {{ display: grid; grid-template-columns: repeat({columns}, {drawing:.2f}pt);
    gap: {sizes.ROW_GAP:g}pt {sizes.COLUMN_GAP:g}pt; }}
  .moves li {{ break-inside: avoid; }}
  .words {{ font-size: {words}pt; line-height: {words_line:.2f}pt; padding-left: {sizes.NUMBER:g}pt;
    text-indent: -{sizes.NUMBER:g}pt; }}
  .number {{ min-width: 14pt; padding: 0 2pt; margin-right: 1.6pt; line-height: 10.9pt; font-size: {sizes.BODY:g}pt;
    text-indent: 0; }}
  .legend {{ font-size: {sizes.LEGEND_SIZE:g}pt; line-height: 1.2; margin-bottom: 4pt; }}
  .bottom {{ display: flex; margin-top: {sizes.ABOVE_BOTTOM:g}pt; }}
  .bottom > div {{ width: {third:.2f}pt; margin-right: {sizes.SIDE_GAP:g}pt; }}
  .bottom > div:last-child {{ margin-right: 0; }}
  .bottom p, .bottom li {{ margin-bottom: {sizes.GAP:g}pt; }}
  .notes {{ margin-top: 4pt; }}
  .line {{ height: {sizes.NOTE:g}pt; }}
  .blank {{ width: 34pt; height: 9pt; }}
  footer {{ margin-top: {sizes.ABOVE_FOOTER:g}pt; }}
}}
"""

_BESIDE = """\
@media print {{
  .top, .bottom {{ float: left; display: block; width: {side:.2f}pt; }}
  .bottom {{ clear: left; }}
  .work {{ float: right; width: {rest:.2f}pt; margin-top: {sizes.ABOVE:g}pt; }}
  .loading, .cord, .bottom > div {{ width: auto; margin-right: 0; }}
  .cord, .bottom section {{ margin-top: {sizes.PART_GAP:g}pt; }}
  .bottom {{ margin-top: 0; }}
  footer {{ clear: both; padding-top: {sizes.PART_GAP:g}pt; }}
}}
"""

_SCREEN = """\
@media screen {{
  html {{ font-size: 100%; line-height: 1.45; }}
  body {{ margin: 0 auto; padding: 1rem; max-width: 64rem; }}
  h1 {{ font-size: 2rem; }}
  h2 {{ font-size: 1.25rem; margin: 1.5rem 0 0.5rem; padding-bottom: 0.2rem; }}
  .about {{ font-size: 1.15rem; margin: 0.4rem 0; }}
  p, li {{ margin-bottom: 0.4rem; }}
  svg {{ max-width: 100%; height: auto; }}
  .loading svg, .moves svg {{ width: 100%; }}
  .loading svg {{ max-width: 40rem; }}
  .faces {{ display: flex; flex-wrap: wrap; gap: 1.5rem; }}
  .faces img {{ width: 6rem; height: auto; }}
  .faces td span {{ white-space: nowrap; }}
figcaption {{ margin-bottom: 0.3rem; }}
  .hands th, .hands td {{ padding-right: 0.8rem; }}
  .swatch {{ width: 1.4rem; line-height: 1.3rem; margin: 0 0.1rem; }}
  .moves ol {{ display: grid; gap: 1.2rem;
    grid-template-columns: repeat(auto-fill, minmax(min(100%, {least}rem), 1fr)); }}
  .number {{ min-width: 1.5rem; padding: 0 0.4rem; margin-right: 0.3rem; border-radius: 0.75rem; }}
  .words {{ font-size: 1.1rem; }}
  .bottom {{ display: grid; gap: 0 2rem; grid-template-columns: repeat(auto-fill, minmax(min(100%, 18rem), 1fr)); }}
  .line {{ height: 2rem; }}
  .blank {{ width: 4rem; height: 1.2rem; }}
  footer {{ margin-top: 1.5rem; }}
}}
"""


def css(paper: Paper, layout: Layout, title: int, braiders: int) -> str:
    """The style of a page whose title has so many letters."""
    values = {
        "fonts": FONTS,
        "paper": paper.css,
        "margin": MARGIN,
        "title": title_size(title),
        "loading": loading_width(paper, layout),
        "cord": cord_width(paper, layout),
        "columns": layout.columns,
        "drawing": layout.drawing - 0.01,
        "words": layout.words,
        "words_line": WORDS_LINE * layout.words,
        "side": layout.side,
        "rest": work_width(paper, layout),
        "third": third_width(paper, layout),
        "least": 20 if braiders == 1 else 34,
    }
    parts = (_BOTH, _PRINT, _BESIDE if layout.side else "", _SCREEN)
    return typeface.css() + "".join(part.format(sizes=sizes, **values) for part in parts)
