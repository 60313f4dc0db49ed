"""How a page looks: light or dark on a screen, two columns where there is room, A4 on paper."""

CSS = """\
:root { color-scheme: light dark; --ink: #1b1f24; --soft: #59626d; --line: #c9d0d8; --paper: #ffffff;
  --band: #f1f4f7; --mark: #1f4a80; }
* { box-sizing: border-box; }
html { background: var(--paper); }
body { margin: 0 auto; padding: 1.6rem 1.4rem 2rem; max-width: 68rem; color: var(--ink);
  font: 15px/1.42 "Helvetica Neue", Helvetica, Arial, "Liberation Sans", sans-serif; }
header { border-top: 4px solid var(--mark); padding-top: .7rem; }
h1 { margin: 0 0 .6rem; font-size: 1.6rem; line-height: 1.2; }
h2 { margin: 0 0 .35rem; font-size: 1rem; color: var(--mark); border-bottom: 1px solid var(--line);
  padding-bottom: .15rem; }
p, ul { margin: .3rem 0; }
ul { padding-left: 1.4em; }
li { margin: .1rem 0; }
dl { display: flex; flex-wrap: wrap; gap: .45rem; margin: 0 0 .7rem; }
dl div { flex: 1 1 9rem; padding: .4rem .6rem; background: var(--band); border-radius: 4px; }
dt { font-size: .8em; color: var(--soft); }
dd { margin: 0; font-weight: 600; }
.reason { font-size: 1.07em; }
main { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 1.1rem 1.5rem; margin-top: 1.1rem; }
section { grid-column: 1 / -1; }
section.half { grid-column: auto; }
.pair { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 1.1rem 1.5rem; align-items: start; }
.wide { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; font-size: .9em; font-variant-numeric: tabular-nums; }
table.even { table-layout: fixed; }
table.even thead th:first-child { width: 34%; }
table.short tbody th { white-space: nowrap; }
caption { text-align: left; color: var(--soft); padding-bottom: .2rem; }
th, td { padding: .16rem .5rem .16rem 0; text-align: left; vertical-align: top; border-bottom: 1px solid var(--line); }
thead th { color: var(--soft); border-bottom: 2px solid var(--line); vertical-align: bottom; }
thead th { min-width: 4.5em; }
tbody th { font-weight: 500; }
td.number, th.number { text-align: right; white-space: nowrap; }
figure { margin: .2rem 0 .4rem; }
figure svg { display: block; width: 100%; height: auto; background: #ffffff; border-radius: 4px; }
figure svg * { stroke-linejoin: round; stroke-linecap: butt; }
figcaption { font-size: .86em; color: var(--soft); margin-top: .15rem; }
footer { margin-top: 1.2rem; border-top: 1px solid var(--line); padding-top: .4rem; color: var(--soft);
  font-size: .82rem; }
footer p { margin: .1rem 0; }
@media screen and (prefers-color-scheme: dark) {
  :root { --ink: #e4e7eb; --soft: #a3adb8; --line: #3b434d; --paper: #15181c; --band: #20252b; --mark: #8fb8ea; }
  figure svg { padding: 4px; filter: brightness(.93); }
}
@media screen and (max-width: 46rem) { main, .pair { grid-template-columns: minmax(0, 1fr); } }
@page { size: A4; margin: 9mm 12mm 11mm;
  @bottom-right { content: counter(page) " / " counter(pages); font: 7pt sans-serif; color: #59626d; } }
@media print {
  :root { color-scheme: light; }
  body { padding: 0; max-width: none; font-size: 7.6pt; line-height: 1.25; }
  header { border-top-width: 3px; padding-top: 1.2mm; }
  h1 { font-size: 14pt; margin-bottom: 1.5mm; }
  h2 { font-size: 8.6pt; margin-bottom: .6mm; break-after: avoid; }
  p, ul { margin: .5mm 0; }
  li { margin: .2mm 0; }
  dl { gap: 1.5mm; margin-bottom: 1.5mm; }
  dl div { flex-basis: 26mm; padding: .8mm 1.5mm; border: .3px solid var(--line); }
  main, .pair { gap: 2.2mm 5mm; }
  main { margin-top: 2mm; }
  table { font-size: 7pt; }
  th, td { padding: .22mm 2mm .22mm 0; border-bottom-width: .4pt; }
  thead th { border-bottom-width: .8pt; }
  figure { margin: 0 0 .6mm; }
  figcaption, footer { font-size: 6.8pt; }
  footer { margin-top: 2mm; padding-top: .8mm; }
  tr, figure, dl div, li { break-inside: avoid; }
  .small { font-size: .9em; line-height: 1.2; }
  section.half, .pair { break-inside: avoid; }
  .wide { overflow: visible; }
}
"""
