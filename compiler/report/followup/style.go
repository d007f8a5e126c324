package followup

// The pages here run no script. Meaning is in words, shapes and line widths, never in a colour.

// pageStyle is what both pages share.
const pageStyle = `
html { background: #fff; color: #000; font: 11pt/1.35 sans-serif; }
body { margin: 0 auto; max-width: 50rem; padding: 1rem; }
h1 { font-size: 1.3rem; margin: 0 0 .5rem; }
h2 { font-size: 1.05rem; margin: 1.2rem 0 .4rem; }
p, ul, dl { margin: .4rem 0; }
li { margin: .2rem 0; }
table { border-collapse: collapse; margin: .4rem 0; }
caption { text-align: left; font-weight: bold; padding: .2rem 0; }
th, td { border: 1px solid #555; padding: .15rem .5rem; text-align: left; vertical-align: top; }
td.n { text-align: right; }
figure { margin: .6rem 0; }
figcaption { margin-bottom: .2rem; }
svg { display: block; width: 100%; height: auto; border: 1px solid #555; }
svg text { font: 11px sans-serif; fill: #000; }
.axis { stroke: #000; stroke-width: 1; }
.grid { stroke: #ccc; stroke-width: .5; }
.limit { stroke: #000; stroke-width: .8; stroke-dasharray: 6 4; }
.mean { stroke: #000; stroke-width: 3; }
.noise { stroke: #000; stroke-width: 1; }
.days { fill: none; stroke: #000; stroke-width: 1; }
.full { fill: #000; stroke: #000; }
.open { fill: #fff; stroke: #000; }
code { overflow-wrap: anywhere; }
`

// letterStyle makes the letter one printed page.
const letterStyle = pageStyle + `
@page { size: A4; margin: 18mm; }
@media print { html { font-size: 10.5pt; } body { padding: 0; max-width: none; } }
.slip { border-top: 1px dashed #000; margin-top: 1.2rem; padding-top: .6rem; }
.slip p { margin: .7rem 0; }
`

// reportStyle breaks printed pages between parts.
const reportStyle = pageStyle + `
@page { size: A4; margin: 15mm; }
@media print { body { padding: 0; max-width: none; } figure, tr { break-inside: avoid; } }
`
