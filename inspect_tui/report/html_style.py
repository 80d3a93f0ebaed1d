"""The look of the HTML report: a working drawing's. Thin rules, plain type, few colours.

Each colour has one meaning and always a sign or a word beside it. It prints black on white, keeps
steps together on a sheet, and follows the reader's dark or light choice.
"""

STYLE = """
:root { color-scheme: light dark; --paper: #fdfdfb; --ink: #16181a; --faint: #666c70;
  --rule: #9aa0a3; --zone: #d7e3ea; --pass: #12692f; --fail: #b3121d; --uncertain: #8a5a00; }
@media (prefers-color-scheme: dark) { :root { --paper: #14171a; --ink: #e6e6e1; --faint: #9ba2a6;
  --rule: #565d62; --zone: #24404f; --pass: #6fce8c; --fail: #ff8d88; --uncertain: #e9b64d; } }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1.2rem; max-width: 62rem; background: var(--paper);
  color: var(--ink); font: 15px/1.4 "DejaVu Sans Condensed", "Liberation Sans Narrow", Arial,
  sans-serif; overflow-wrap: anywhere; }
main { border: 1px solid var(--ink); padding: 1rem 1.2rem 1.4rem; }
h1, h2, h3 { font-weight: 600; line-height: 1.2; margin: 0; }
h1 { font-size: 1.35rem; }
h2 { font-size: 1.1rem; margin: 1.8rem 0 .5rem; border-bottom: 1px solid var(--ink);
  padding-bottom: .15rem; }
h3 { font-size: 1rem; margin: 1.2rem 0 .3rem; display: flex; gap: .8rem;
  justify-content: space-between; }
h3 .state { font-weight: 400; flex: none; max-width: 50%; }
p, ul { margin: .3rem 0; }
ul { padding-left: 1.2rem; }
p.text, li { white-space: pre-line; }
.faint, .id { color: var(--faint); font-weight: 400; font-size: .85em; }
.safety { border-left: 3px solid var(--ink); padding: .2rem .7rem; margin: .8rem 0; }
.caution { border: 1px solid var(--uncertain); padding: .25rem .6rem; }
.pass { color: var(--pass); } .fail { color: var(--fail); } .uncertain { color: var(--uncertain); }
dl.block { display: grid; grid-template-columns: repeat(12, 1fr); margin: 0;
  border: 1px solid var(--ink); border-width: 1px 0 0 1px; }
dl.block div { grid-column: span 3; border: 1px solid var(--ink); border-width: 0 1px 1px 0;
  padding: .15rem .5rem .3rem; min-width: 0; }
dl.block div:nth-child(-n+2) { grid-column: span 6; }
dl.block div:nth-child(3) { grid-column: span 4; }
dl.block div:nth-child(n+4) { grid-column: span 2; }
dt { color: var(--faint); font-size: .72rem; }
dd { margin: 0; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; margin: .3rem 0; }
th, td { border: 1px solid var(--rule); border-width: 1px 0; padding: .25rem .5rem .25rem 0;
  text-align: left; vertical-align: top; white-space: pre-line; }
th { font-weight: 400; color: var(--faint); font-size: .8rem; border-top: 0; }
table.readings { table-layout: fixed; }
table.readings th:nth-child(5) { width: 26%; }
table.readings th:nth-child(6) { width: 20%; }
table.log td:nth-child(-n+3) { white-space: nowrap; }
figure { margin: .4rem 0; } figure img { display: block; max-width: 100%; max-height: 26rem; }
figcaption { color: var(--faint); font-size: .85em; overflow-wrap: anywhere; }
svg.strip { display: block; width: 100%; max-width: 14rem; height: auto; }
.s-line { stroke: var(--rule); stroke-width: 1; stroke-dasharray: 1 3; }
.s-zone { fill: var(--zone); } .s-axis { stroke: var(--ink); stroke-width: 1; }
.s-limit { stroke: var(--ink); stroke-width: 1.6; }
.s-uncertainty { stroke: var(--uncertain); stroke-width: 2.4; }
.s-found { fill: var(--paper); stroke: var(--ink); stroke-width: 1.6; }
.s-left { fill: var(--ink); stroke: var(--ink); stroke-width: 1.6; }
.s-arrow { fill: var(--ink); }
@media (max-width: 40rem) { body { padding: .3rem; } main { padding: .6rem; }
  table.readings { min-width: 46rem; } dl.block div:nth-child(n) { grid-column: span 6; }
  dl.block div:nth-child(3) { grid-column: span 12; } }
@media print { :root { --paper: #fff; --ink: #000; --faint: #444; --rule: #888; --zone: #dde6ea;
  --pass: #12692f; --fail: #b3121d; --uncertain: #8a5a00; }
  body { max-width: none; padding: 0; font-size: 9pt; } main { border: 0; padding: 0; }
  tr, .caution { break-inside: avoid; } h2, h3, thead { break-after: avoid; }
  .s-zone { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
  @page { margin: 14mm; } }
"""
