"""How the sheet looks: one set of colours for light screens and paper, one for dark screens."""

from __future__ import annotations

from turnability.outputs import _palette as palette
from turnability.outputs.drawing.sheet import FONT

STYLE = f"""
:root {{
  color-scheme: light dark;
  --paper: {palette.PAPER}; --card: #F6F7F9; --line: #D5DAE0;
  --ink: {palette.INK}; --faint: {palette.FAINT_INK};
  --body: #C3CAD2; --body-edge: #7B8794; --cut: #0F7A6C; --cut-fill: #9AD3C9; --doubt: #8A5A00;
}}
@media (prefers-color-scheme: dark) {{
  :root {{
    --paper: #12171D; --card: #1A2129; --line: #323C47;
    --ink: #E4E9EE; --faint: #9AA7B4;
    --body: #3A4653; --body-edge: #7F8E9C; --cut: #5FD0BE; --cut-fill: #1E5B54; --doubt: #F0B429;
  }}
}}
@media print {{ :root {{ --card: #FFFFFF; }} article {{ break-inside: avoid; }} }}
* {{ box-sizing: border-box; }}
body {{
  margin: 0 auto; padding: 28px 32px 40px; max-width: 1480px;
  background: var(--paper); color: var(--ink); font: 14px/1.45 {FONT};
}}
h1 {{ font-size: 26px; margin: 0 0 2px; }}
h2 {{ font-size: 19px; margin: 34px 0 6px; padding-top: 12px; border-top: 1px solid var(--line); }}
main {{ display: flex; flex-wrap: wrap; gap: 0 44px; }}
section {{ flex: 0 1 auto; min-width: 0; }}
h2 small {{ font-size: 13px; font-weight: normal; color: var(--faint); margin-left: 6px; }}
h3 {{ font-size: 14px; margin: 0 0 6px; overflow-wrap: anywhere; }}
p {{ margin: 2px 0; }}
header p, footer, .comes, .scale {{ color: var(--faint); }}
footer {{ margin-top: 36px; padding-top: 12px; max-width: 90ch; }}
.key {{
  list-style: none; padding: 0; margin: 14px 0 0;
  display: flex; flex-wrap: wrap; gap: 6px 26px; align-items: center;
}}
.key li {{ display: flex; align-items: center; gap: 8px; }}
.scale {{ font-size: 12px; margin: 12px 0 8px; }}
.scale svg {{ vertical-align: -1px; }}
.row {{ display: flex; flex-wrap: wrap; gap: 14px; align-items: stretch; }}
article {{
  background: var(--card); border: 1px solid var(--line); border-radius: 8px;
  padding: 12px 14px; display: flex; flex-direction: column; min-width: 190px; max-width: 100%;
}}
article > svg {{ display: block; margin: 2px 0 10px; max-width: 100%; height: auto; }}
article p {{ font-size: 12.5px; max-width: 30ch; }}
details {{ font-size: 12.5px; margin-top: auto; }}
summary {{ cursor: pointer; color: var(--faint); }}
table {{ border-collapse: collapse; font-size: 12.5px; margin-top: 6px; }}
th {{ text-align: left; font-weight: normal; color: var(--faint); padding: 1px 14px 1px 0; }}
td {{ padding: 1px 0; font-variant-numeric: tabular-nums; }}
.wide th {{ color: var(--ink); white-space: nowrap; vertical-align: top; padding-right: 24px; }}
tr.doubt td, span.doubt {{ color: var(--doubt); font-weight: bold; }}
svg text {{ font: 12px {FONT}; fill: var(--ink); }}
svg text.doubt {{ fill: var(--doubt); font-weight: bold; }}
.body {{ fill: var(--body); stroke: var(--body-edge); stroke-width: 1; stroke-linejoin: round; }}
.cut {{ fill: var(--cut-fill); stroke: var(--cut); stroke-width: 1.4; stroke-linejoin: round; }}
.point {{ stroke: var(--ink); stroke-width: 1.2; fill: none; }}
.feed {{ stroke: var(--ink); stroke-width: 1.4; fill: none; stroke-linecap: round; }}
.size {{ stroke: var(--faint); stroke-width: 1; fill: none; }}
.thin {{ stroke: var(--line); stroke-width: 1; fill: none; }}
.axis {{ stroke: var(--faint); stroke-width: 0.9; stroke-dasharray: 14 3 3 3; fill: none; }}
.wall {{ stroke: var(--faint); stroke-width: 1.2; stroke-dasharray: 5 4; fill: none; }}
"""
