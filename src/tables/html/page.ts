import { escapeHtml } from '../../text/escape.ts';
import { type Child, html, type Markup, styleSheet } from './element.ts';

// Colours: Okabe and Ito's eight ("Color Universal Design", 2008), darkened on paper and lightened
// on the dark page until each has a contrast of 3 to 1 for lines and 4.5 to 1 for words (WCAG 2.2,
// 1.4.3 and 1.4.11; tests/pages measures it). Shape, dash and hatching tell things apart without any
// colour.
const css = `
:root{color-scheme:light dark;--paper:#f7f2e6;--sheet:#fffdf7;--ink:#2b2620;--soft:#5f574b;
--rule:#d9cfba;--strong-rule:#8a7f6a;--bar:#8a6a3c;--bar-light:#efe6d2;--bar-mid:#c3b18a;--band:#dfe5cf;
--mark:#00578a;--act:#7d1f6b;--watch:#8a4b00;--settled:#00694e}
@media (prefers-color-scheme:dark){:root{--paper:#1d1a16;--sheet:#24201b;--ink:#eee6d6;--soft:#b9ae9b;
--rule:#40392f;--strong-rule:#80765f;--bar:#c9a36a;--bar-light:#463c2c;--bar-mid:#75603f;--band:#39422f;
--mark:#6fbdf0;--act:#e6a8d2;--watch:#f0b46a;--settled:#4fc7a1}}
*{box-sizing:border-box}
html{background:var(--paper);color:var(--ink);font:100%/1.5 Charter,"Bitstream Charter","Sitka Text",Cambria,"DejaVu Serif",Georgia,serif}
body{margin:0 auto;padding:1.5rem 1rem 4rem;max-width:64rem}
h1{font-size:1.9rem;line-height:1.2;margin:0 0 .2rem;font-weight:600}
h2{font-size:1.25rem;margin:2.4rem 0 .8rem;padding-bottom:.25rem;border-bottom:3px double var(--strong-rule);font-weight:600}
h3{font-size:1rem;margin:1.1rem 0 .3rem}
p{margin:.4rem 0;max-width:42rem}
.lead{color:var(--soft)}
nav p{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem}
a{color:var(--mark)}
a:focus-visible,summary:focus-visible{outline:2px solid var(--mark);outline-offset:2px}
.says-list{list-style:none;margin:.3rem 0;padding:0}
.says-list li{padding:.25rem 0 .25rem .8rem;margin:.25rem 0;border-left:4px solid var(--strong-rule);max-width:52rem}
.says-list li.act{border-color:var(--act)}.says-list li.watch{border-color:var(--watch)}.says-list li.settled{border-color:var(--settled)}
.act>.meaning{color:var(--act)}.watch>.meaning{color:var(--watch)}.settled>.meaning{color:var(--settled)}
.figure{font-size:1.2rem;font-variant-numeric:tabular-nums lining-nums}
.says-list small{color:var(--soft);font-size:.95rem}
.plates{display:grid;margin-top:1rem;grid-template-columns:minmax(0,1fr);gap:1.4rem;align-items:start}
@media (min-width:60rem){.plates{grid-template-columns:repeat(2,minmax(0,1fr))}}
@media (max-width:30rem){body{padding:1rem .6rem 3rem}figure{padding:.6rem}}
figure{margin:0;padding:1rem;background:var(--sheet);border:1px solid var(--rule);min-width:0}
figcaption{font-weight:600;margin-bottom:.6rem}
svg{display:block;width:100%;height:auto;max-width:28.5rem;font-size:14px;fill:var(--ink)}
.says{font-size:.95rem;color:var(--soft)}.to-figures{font-size:.9rem}
details{border-bottom:1px solid var(--rule);padding:.4rem 0}
summary{cursor:pointer}
table{border-collapse:collapse;font-size:.92rem;font-variant-numeric:tabular-nums lining-nums;margin:.6rem 0 1rem;width:auto}
caption{text-align:left;color:var(--soft);font-size:.9rem;padding:.2rem 0}
th,td{text-align:left;padding:.2rem .9rem .2rem 0;border-bottom:1px solid var(--rule);vertical-align:top;font-weight:400}
thead th{border-bottom:2px solid var(--strong-rule);font-weight:600;vertical-align:bottom}
tr.total>*{font-weight:600}
th.number,td.number{text-align:right;padding-right:1rem}.short{white-space:nowrap}
@media screen and (max-width:46rem){table,tbody{display:block}thead{display:none}
tr{display:flex;flex-wrap:wrap;gap:0 1rem;padding:.3rem 0;border-bottom:1px solid var(--rule)}
th,td{border:0;padding:0}tbody th{flex-basis:100%;font-weight:600}th.number,td.number{text-align:left;padding:0}
td::before{content:attr(data-heading) " ";color:var(--soft)}}
.caution{border-left:4px solid var(--act);padding-left:.8rem}
footer{margin-top:3rem;border-top:3px double var(--strong-rule);padding-top:.6rem;font-size:.9rem;color:var(--soft)}
text.end{text-anchor:end}text.middle{text-anchor:middle}text.strong{font-weight:600}
text.axis,text.note{fill:var(--soft);paint-order:stroke;stroke:var(--sheet);stroke-width:4px;stroke-linejoin:round}text.small{font-size:11px}text.on-stay{fill:var(--sheet)}text.alert{fill:var(--act);font-weight:600}
.rule{stroke:var(--rule);stroke-width:1}.rule-strong,.axis-line{stroke:var(--strong-rule);stroke-width:1}
.bar{fill:var(--bar)}.band{fill:var(--band)}.whisker{stroke:var(--ink);stroke-width:1.4}.whisker.thin{stroke-dasharray:2 3}
.reference{stroke:var(--ink);stroke-width:1.4;stroke-dasharray:2 4;fill:none}
.alert-line{stroke:var(--act);stroke-width:1.6;stroke-dasharray:6 3}
.solid{stroke:var(--mark);stroke-width:2.2;fill:none}.dashed{stroke:var(--mark);stroke-width:2;stroke-dasharray:6 4;fill:none}
.stay{fill:var(--mark)}.stay.planned{fill:var(--bar-light);stroke:var(--strong-rule)}
.mark{stroke-width:1.5;stroke:var(--sheet)}.mark.s0{fill:var(--mark)}.mark.open{fill:var(--sheet);stroke:var(--ink)}
.piece{stroke:var(--ink);stroke-width:.8}.ground{fill:var(--sheet)}.hatching{stroke:var(--ink);stroke-width:1.1}.hatching-dot{fill:var(--ink)}
.f0{fill:var(--bar-light)}.f1{fill:url(#cross)}.f2{fill:var(--ink)}.f3{fill:var(--bar)}.f4{fill:var(--sheet)}.f5{fill:url(#dots)}.f6{fill:url(#slant)}
@media print{:root{--paper:#fff;--sheet:#fff;--ink:#000;--soft:#333;--rule:#bbb;--strong-rule:#555;--bar:#888;--bar-light:#eee;--bar-mid:#aaa;
--band:#ddd;--mark:#222;--act:#000;--watch:#000;--settled:#000}
html{font-size:9.5pt}body{padding:0;max-width:none}h2{margin:5mm 0 2mm}h3{margin:2mm 0 1mm}
.plates{display:block;columns:2;column-gap:6mm;margin:0}
figure{border:0;padding:0 0 4mm;break-inside:avoid}figcaption{margin-bottom:1mm}.says{font-size:8.5pt;line-height:1.3}.to-figures,nav{display:none}
svg{max-width:80mm}tr,h2,h3,li{break-inside:avoid}h2,h3,summary,caption{break-after:avoid}
section[aria-labelledby=figures]{break-before:page}section[aria-labelledby=reading]{break-inside:avoid}
details::details-content{content-visibility:visible;display:block;height:auto}summary{list-style:none;font-weight:600}
table{font-size:8pt;margin:1mm 0 3mm}th,td{padding:.3mm 2mm .3mm 0}th.number,td.number{padding-right:2.5mm}
a{color:inherit;text-decoration:none}footer{margin-top:4mm;break-before:avoid}}
@page{margin:14mm 13mm 15mm;@bottom-right{content:counter(page) " / " counter(pages);font-size:9pt}}
`;

export type Section = { readonly id: string; readonly title: string; readonly body: Child };

export type Page = {
  readonly title: string;
  readonly lead: string;
  readonly sections: readonly Section[];
  readonly foot: string;
};

/** A whole page in one file: no script, no font, picture or address from elsewhere. */
export function htmlPage({ title, lead, sections, foot }: Page): string {
  return document(
    title,
    css,
    html`
      <header><h1>${title}</h1><p class="lead">${lead}</p>
      <nav aria-label="On this page"><p>
      ${sections.map((one) => html`<a href="#${one.id}">${one.title}</a>`)}</p></nav></header><main>
      ${sections.map(
        ({ id, title: heading, body }) =>
          html`<section aria-labelledby="${id}"><h2 id="${id}">${heading}</h2>${body}</section>`,
      )}</main><footer><p>${foot}</p></footer>
    `,
  );
}

/** The frame of every page we write. */
export function document(title: string, style: string, body: Markup): string {
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width,initial-scale=1">',
    // Nothing may be fetched, run or sent, whatever stood in the records.
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">`,
    `<title>${escapeHtml(title)}</title>`,
    styleSheet(style.trim()).markup,
    '</head>',
    `<body>${body.markup}</body>`,
    '</html>',
    '',
  ].join('\n');
}
