/**
 * The house style of the prints: a workshop form in one ink. Hairlines rather than filled areas, so that it is
 * light on toner and survives a copier; sizes in points, so that A4 and Letter look alike.
 */
export const houseStyle = `
:root{color-scheme:light;--ink:#14202a;--muted:#55626d;--hair:#aeb8c0;--faint:#dfe4e8;
--plugward-ink:#14202a;--plugward-muted:#55626d;--plugward-grid:#dfe4e8;--plugward-paper:#fff;--plugward-peak:#a33312;--plugward-steady:#0a5f68;--plugward-bound:#6b4488}
*{box-sizing:border-box}
@page{margin:13mm 12mm 15mm;@bottom-left{font:7.5pt "Liberation Sans",Arial,sans-serif;color:#55626d;vertical-align:top;padding-top:2mm}@bottom-right{font:7.5pt "Liberation Sans",Arial,sans-serif;color:#55626d;vertical-align:top;padding-top:2mm}}
html{background:#e9ecee}
body{margin:8mm auto;padding:13mm 12mm;max-width:210mm;background:#fff;color:var(--ink);font:9.25pt/1.36 "Helvetica Neue",Helvetica,"Liberation Sans",Arial,sans-serif;font-variant-numeric:tabular-nums;overflow-wrap:anywhere;-webkit-print-color-adjust:exact;print-color-adjust:exact}
@media print{html{background:none}body{margin:0;padding:0 .5mm;max-width:none}}
h1,h2,h3,p,dl,dd,ul,ol{margin:0;padding:0}
.label,dt,th{font-size:7pt;font-weight:400;letter-spacing:.03em;color:var(--muted)}
header.head{display:flex;justify-content:space-between;align-items:flex-end;gap:8mm;border-bottom:1.6pt solid var(--ink);padding-bottom:2.6mm;margin-bottom:3.2mm}
header.head h1{font-size:23pt;line-height:1.05;letter-spacing:-.015em;font-weight:700}
header.head .what{font-size:11pt;margin-top:.8mm}
.number{border:1.2pt solid var(--ink);padding:1.2mm 3.5mm 1.4mm;min-width:38mm;max-width:60mm}
.number p+p{font-size:17pt;line-height:1.1;font-weight:700}
.fields{display:grid;grid-template-columns:repeat(6,1fr);border:.5pt solid var(--hair);border-width:.5pt 0 0 .5pt;margin-bottom:3.5mm}
.fields>div{border:.5pt solid var(--hair);border-width:0 .5pt .5pt 0;padding:.7mm 1.6mm 1mm;min-height:8.6mm}
.fields .span6{grid-column:span 6}.fields .span2{grid-column:span 2}.fields .span3{grid-column:span 3}.fields .span4{grid-column:span 4}.fields .span5{grid-column:span 5}
section{margin:0 0 3.8mm}.note+section{margin-top:4.5mm}
.caution+section{margin-top:4.5mm}h2{font-size:11.5pt;line-height:1.2;font-weight:700;display:flex;align-items:baseline;gap:2.5mm;margin:0 0 1.6mm;break-after:avoid}
h2::after{content:"";flex:1;border-top:.5pt solid var(--ink)}
h2+.note:not(:last-child),h2+p:not(:last-child){break-after:avoid}
h2+.note,h2+p{break-inside:avoid}
h3{font-size:9.5pt;font-weight:700;margin:2.5mm 0 1mm;break-after:avoid}
.note{color:var(--muted);font-size:8.25pt}
table{border-collapse:collapse;width:100%}
thead{display:table-header-group}
tr{break-inside:avoid}tfoot{display:table-row-group}tfoot tr,tbody tr:last-child:not(:first-child){break-before:avoid}
.id{display:inline-block;max-width:100%}
code{font-family:ui-monospace,'DejaVu Sans Mono',Consolas,monospace;font-size:.9em}
th{text-align:left;vertical-align:bottom;padding:0 1.5mm .6mm 0;border-bottom:.8pt solid var(--ink)}
td{vertical-align:top;padding:1.1mm 1.5mm 1.1mm 0;border-bottom:.5pt solid var(--faint)}
th:last-child,td:last-child{padding-right:0}
.num{text-align:right;white-space:nowrap;padding-right:2.5mm}
.nowrap{white-space:nowrap}
th,.dense td:not(:nth-child(2)){overflow-wrap:break-word}
.dense td{padding-top:.6mm;padding-bottom:.6mm}.dense th,.dense td{padding-right:2mm}
tfoot td{border-bottom:0}
.warning{display:flex;gap:1.6mm;align-items:flex-start;margin:.7mm 0;font-weight:400}
svg.sign{width:4mm;height:3.6mm;flex:none;margin-top:.25mm;color:var(--ink)}
.stop{border:1.6pt solid var(--ink);padding:1.6mm 3mm;margin-bottom:3.6mm;font-size:10.5pt;font-weight:700;break-inside:avoid}
.stop .warning{font-weight:700}
.stop svg.sign{width:6mm;height:5.4mm}
.stop p+p{font-size:9pt;font-weight:400;margin-top:.6mm}
.tick{display:inline-flex;align-items:baseline;gap:1.1mm;margin-right:3mm;white-space:nowrap}
.box{display:inline-block;width:3.3mm;height:3.3mm;border:.8pt solid var(--ink);flex:none;position:relative;top:.4mm}
.box.large{width:5mm;height:5mm}
.write{display:inline-flex;align-items:baseline;gap:1mm;margin-right:3mm;white-space:nowrap}
span.line{display:inline-block;border-bottom:.7pt solid var(--ink);width:17mm;height:4.6mm}
span.line.long{width:42mm}
.caution{border-top:.8pt solid var(--ink);padding-top:1.6mm;font-size:8.25pt;break-inside:avoid;break-before:avoid}
header.head+.caution{border-top:0;padding:0;margin-bottom:3.2mm;font-size:9.25pt}
.key{font-weight:700}
.step{font-weight:700;font-size:9pt}
.beside{font-size:8.25pt}
.beside b{font-weight:700}
ul.plain{list-style:none}
.safe{border:1.4pt solid var(--ink);padding:2.2mm 3mm 2.6mm;margin-bottom:4.5mm}
.safe h2{font-size:12.5pt}
.ready{display:flex;flex-wrap:wrap;gap:1.2mm 0;margin-top:1.6mm;padding-top:1.6mm;border-top:.5pt solid var(--hair)}
p+table{margin-top:1.4mm}
.steps{table-layout:fixed}.steps th:first-child{width:7mm}.steps .no{width:22mm;padding-right:2mm;overflow-wrap:break-word}.steps .who{width:21mm}.steps .time{width:14mm;text-align:right;white-space:nowrap;padding-right:2mm}.steps td.who,.steps td.time{font-size:8.5pt}.steps .sig{width:15mm;border-left:.5pt solid var(--faint);padding-left:1mm}
.steps .readings{margin-top:.6mm}.reading{display:flex;flex-wrap:wrap;align-items:baseline;gap:0 2mm}.reading .label{min-width:31mm}.reading .write{margin-right:0}.limit{font-weight:700;font-size:8.5pt}
.tags{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:0}
article.tag{border:.6pt dashed var(--muted);padding:2.2mm 2.5mm 2mm 3mm;font-size:8.75pt;line-height:1.3;break-inside:avoid;margin:0 -.6pt -.6pt 0;min-height:60mm;display:flex;flex-direction:column}
article.tag .top{display:flex;justify-content:space-between;align-items:flex-start;gap:3mm}
article.tag .hole{width:5mm;height:5mm;border:.7pt solid var(--muted);border-radius:50%;flex:none}
article.tag h3{font-size:14pt;line-height:1.1;margin:.2mm 0 .3mm}
article.tag .class{font-size:9pt}
article.tag .plan{font-size:8.25pt;color:var(--muted);text-align:right}
article.tag table{margin:1mm 0 .6mm}article.tag th{line-height:1.15}
article.tag th,article.tag td{text-align:center;padding:.45mm .25mm;overflow-wrap:break-word}
article.tag th:first-child,article.tag td:first-child{text-align:left}
article.tag .initials{width:11mm;border-left:.5pt solid var(--faint)}
article.tag .foot{margin-top:auto;display:flex;flex-wrap:wrap;row-gap:.6mm}
.photos{display:grid;grid-template-columns:repeat(3,1fr);gap:3mm 4mm;margin-top:1.4mm}
figure{margin:0;break-inside:avoid;font-size:8.25pt}
figure img{display:block;max-width:100%;max-height:44mm;margin-bottom:.8mm}
figure .lacking{height:44mm;border:.8pt dashed var(--muted);padding:2mm;margin-bottom:.8mm}
.contents{margin-bottom:4mm}.contents .label{margin-right:3mm}.contents a{margin-right:4mm;white-space:nowrap}a{color:inherit;text-underline-offset:.15em}
.file{margin-bottom:3mm}
@media print{a{text-decoration:none}.screen{display:none}body:has(.part:target) :is(.part:not(:target),.contents),body:has(.file:target) :is(.part:not(#details),.file:not(:target),.contents){display:none}}
.newpage{break-before:page}
.totals{margin-left:auto;width:92mm;break-inside:avoid}
.totals .sum td{border-top:.8pt solid var(--ink);border-bottom:0;font-weight:700;font-size:11pt}
.stake{border:1.2pt solid var(--ink);padding:2.2mm 3mm}
.stake .sum td{font-weight:700;border-bottom:0}
span.mark{font-weight:700;white-space:nowrap}
.pair{display:grid;grid-template-columns:1fr 1fr;gap:0 8mm}
.finding{break-inside:avoid;padding:1.6mm 0 1.8mm;border-bottom:.5pt solid var(--faint)}
section.finding{margin-bottom:1.4mm}section.finding h3{margin-top:0}
.finding .line1{display:flex;gap:2mm;align-items:baseline;font-size:8.25pt;color:var(--muted)}
.finding .grade{border:.8pt solid var(--ink);color:var(--ink);font-weight:700;padding:0 1.4mm;font-size:7.75pt}
.finding .grade.error{background:var(--ink);color:#fff}
.finding .grade.information{border-style:dotted;font-weight:400}
.finding ol{margin:.6mm 0 0 4.5mm;font-size:8.25pt}
.finding .why{font-size:8.25pt;color:var(--muted)}
.picture{break-inside:avoid;margin-bottom:3mm}
.picture svg{width:100%;height:auto;display:block}
.picture.narrow{display:none}
@media screen and (max-width:720px){.picture.wide{display:none}.picture.narrow{display:block}.steps .sig{display:none}.tags,.pair{grid-template-columns:minmax(0,1fr)}.write{white-space:normal;flex-wrap:wrap}
.figures,.figures tbody,.figures tr,.figures td{display:block}.figures thead{display:none}.figures tr{padding:1.5mm 0;border-bottom:.5pt solid var(--hair)}.figures td{border:0}.figures td.num{display:flex;flex-wrap:wrap;justify-content:flex-end;gap:0 2mm;padding-right:0}.figures td.num::before{content:attr(data-label);color:var(--muted);font-weight:400;margin-right:auto}.figures small{display:inline;font-size:inherit}}
@media screen and (max-width:480px){html{background:#fff}body{margin:0;padding:4mm}header.head{flex-wrap:wrap;gap:2mm}.fields{grid-template-columns:1fr 1fr}.fields>div,.fields>div[class]{grid-column:auto}.photos{grid-template-columns:1fr 1fr}.finding .line1{flex-wrap:wrap}.totals{width:auto}
.steps thead{display:none}.steps tr{display:grid;grid-template-columns:auto minmax(0,1fr) auto auto;column-gap:8px;border-bottom:1px solid var(--faint)}.steps td{border:0}.steps .no,.steps .who,.steps .time{width:auto}.steps td:nth-child(3){grid-area:2/2/auto/-1;padding-top:0}
.safe{padding-inline:8px}article.tag{padding-inline:8px}article.tag .initials{display:none}article.tag th:not(:first-child){writing-mode:vertical-rl;text-align:left;padding:1mm .5mm}.tick{white-space:normal}.sigs th:nth-child(3){width:25%}}
.heat{margin-bottom:2.2mm}.heat h3{font-size:12pt;margin:0 0 .4mm}.heat h3 .note{font-weight:400}.heat .picture{margin:.6mm 0 .4mm}.heat .note,.heat~.note{font-size:7.5pt;line-height:1.25}
.figures{font-size:7.75pt;line-height:1.15}.figures th{padding-bottom:.3mm}.figures th,.figures td{padding-right:1.2mm}.figures td{padding-top:.2mm;padding-bottom:.2mm}.figures small{display:block;font-size:7pt;font-weight:400;color:var(--muted);white-space:nowrap}.figures tr.key td{font-weight:700}.figures .num{white-space:normal}.figures td:first-child{white-space:nowrap}.heat:first-of-type{margin-top:2mm}.rowmark{width:2.9mm;height:2.9mm;margin-right:1.2mm;vertical-align:-.5mm}
.sigs{table-layout:fixed}.sigs td{height:7.4mm;vertical-align:bottom}.sigs th:first-child,.sigs th:last-child{width:30%}.sigs th:nth-child(3){width:14%}.sigs td:nth-child(3){white-space:nowrap}
.whole{break-inside:avoid}.kept{break-before:avoid}
.count{font-size:15pt;font-weight:700;line-height:1.1}
`.replaceAll('\n', '');
