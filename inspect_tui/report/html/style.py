"""The look of the HTML report: a working drawing's. Thin rules, plain type, few colours.

Each colour has one meaning and always a sign or a word beside it. It prints black on white, keeps
steps together on a sheet, and follows the reader's dark or light choice. Contrast of every text is
at least 4.5 to 1 in both (WCAG 2.2, 1.4.3).
"""

STYLE = """
:root { color-scheme: light dark; --paper: #fdfdfb; --ink: #16181a; --faint: #5a6064;
  --rule: #9aa0a3; --zone: #d7e3ea; --pass: #12692f; --fail: #b3121d; --uncertain: #7d5200; }
@media (prefers-color-scheme: dark) { :root { --paper: #14171a; --ink: #e6e6e1; --faint: #a6adb1;
  --rule: #565d62; --zone: #24404f; --pass: #6fce8c; --fail: #ff8d88; --uncertain: #e9b64d; } }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1.2rem; max-width: 66rem; background: var(--paper);
  color: var(--ink); font: 15px/1.4 "DejaVu Sans Condensed", "Liberation Sans Narrow", Arial,
  sans-serif; overflow-wrap: anywhere; }
main { border: 1px solid var(--ink); padding: 1rem 1.2rem 1.4rem; }
h1, h2, h3 { font-weight: 600; line-height: 1.2; margin: 0; }
h1 { font-size: 1.6rem; margin-bottom: .6rem; }
h2 { font-size: 1.15rem; margin: 1.8rem 0 .5rem; border-bottom: 1px solid var(--ink);
  padding-bottom: .15rem; }
h3 { font-size: 1.05rem; margin: 1.6rem 0 .3rem; }
p, ul { margin: .3rem 0; }
ul { padding-left: 1.2rem; }
ul.columns { columns: 24rem 2; column-gap: 2rem; } ul.columns li { break-inside: avoid; }
li.head { list-style: none; margin-left: -1.2rem; font-weight: bold; break-after: avoid; }
p.text, li, dd, td, th { white-space: pre-line; }
.faint { color: var(--faint); font-size: .88em; }
.subtitle { font-size: 1.05rem; } .strong { font-weight: 600; }
.alarm { border: 3px solid var(--fail); padding: .4rem .9rem .5rem; margin: .9rem 0; }
.alarm strong { color: var(--fail); font-size: 1.3rem; }
.pass { color: var(--pass); } .fail { color: var(--fail); } .uncertain { color: var(--uncertain); }
.state { font-weight: 400; float: right; margin-left: 1rem; }
dl.block { display: grid; grid-template-columns: repeat(12, 1fr); margin: 0 0 .8rem;
  border: 1px solid var(--ink); border-width: 1px 0 0 1px; }
dl.block div { grid-column: span 3; border: 1px solid var(--ink); border-width: 0 1px 1px 0;
  padding: .15rem .5rem .3rem; min-width: 0; }
dl.block div:nth-child(-n+2) { grid-column: span 6; }
dl.facts { margin: .3rem 0; } dl.facts div { display: flex; gap: .8rem; }
dl.facts dt { flex: 0 0 11rem; font-size: inherit; }
dt { color: var(--faint); font-size: .78rem; }
dd { margin: 0; }
article.entry { margin: .8rem 0; break-inside: avoid; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; margin: .3rem 0; table-layout: fixed; }
th, td { border: 1px solid var(--rule); border-width: 1px 0; padding: .2rem .6rem .2rem 0;
  text-align: left; vertical-align: top; }
thead th, thead td { font-weight: 400; color: var(--faint); font-size: .85rem; border-top: 0; }
tbody th { font-weight: 400; } th.over { color: var(--ink); font-weight: 600; }
tr.joined :is(td, th) { border-bottom: 0; } tr.joined + tr td { border-top: 0; padding-top: 0; }
tr.band th { font-weight: 600; padding-top: .9rem; border-top: 0; border-bottom-color: var(--ink); }
tr.band .number { color: var(--faint); font-weight: 400; }
tr.across td { border-width: 0; } tr.across.faint td { font-size: .88em; }
tr.caution td { border-left: 3px solid var(--uncertain); padding-left: .6rem; }
.pictures.small { display: grid; grid-template-columns: repeat(auto-fit, minmax(26rem, 1fr));
  gap: 1rem 2rem; }
.pictures figure { min-width: 0; } .pictures.small svg.picture { min-width: 20rem; }
figure { margin: .4rem 0; } figure img { display: block; max-width: 100%; max-height: 26rem; }
figcaption { font-size: .9em; overflow-wrap: anywhere; }
td figcaption { color: var(--faint); }
svg.strip { display: block; width: 100%; max-width: 12rem; height: auto; }
.s-line { stroke: var(--rule); stroke-width: 1; stroke-dasharray: 1 3; }
.s-zone { fill: var(--zone); } .s-axis { stroke: var(--ink); stroke-width: 1; }
.s-limit { stroke: var(--ink); stroke-width: 1.6; }
.s-uncertainty { stroke: var(--uncertain); stroke-width: 2.4; }
.s-found { fill: var(--paper); stroke: var(--ink); stroke-width: 1.6; }
.s-left { fill: var(--ink); stroke: var(--ink); stroke-width: 1.6; }
.s-arrow { fill: var(--ink); }
.ink { display: flex; gap: 2rem; margin: 3rem 0 1rem; }
.ink div { flex: 2; border-top: 1px solid var(--ink); padding-top: .15rem; font-size: .85rem; }
.ink div:last-child { flex: 1; }
@media (max-width: 48rem) { body { padding: .3rem; } main { padding: .6rem; }
  table.some { min-width: 28rem; } table.readings { min-width: 46rem; }
  .held { position: sticky; left: 0; max-width: calc(100vw - 2.4rem); } .ink { gap: .8rem; }
  dl.block div:nth-child(n) { grid-column: span 6; }
  .pictures.small { grid-template-columns: 1fr; } dl.facts dt { flex-basis: 7rem; } }
@media print { :root { --paper: #fff; --ink: #000; --faint: #444; --rule: #888; --zone: #dde6ea;
  --pass: #12692f; --fail: #b3121d; --uncertain: #7d5200; color-scheme: light; }
  :root { font-size: 11px; } ul.columns { columns: 2; }
  body { max-width: none; padding: 0; font-size: 8pt; line-height: 1.25; }
  main { border: 0; padding: 0; }
  table, table.some, table.readings { min-width: 0; } .wide { overflow: visible; }
  th, td { padding: .06rem .5rem .06rem 0; } tr.band th { padding-top: .35rem; }
  h2 { margin: .9rem 0 .3rem; } h3 { margin: .7rem 0 .2rem; } p, ul, table { margin: .15rem 0; }
  article.entry { margin: .35rem 0; } svg.strip { max-width: 7rem; }
  .pictures.small { grid-template-columns: 1fr 1fr; } .pictures.small svg.picture { min-width: 0; }
  tr, .alarm, figure { break-inside: avoid; } h1, h2, h3, thead, tr.band { break-after: avoid; }
  .s-zone { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
  @page { margin: 14mm; @bottom-right { content: counter(page) " / " counter(pages); } } }
"""
