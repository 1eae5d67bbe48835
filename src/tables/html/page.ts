import { escapeHtml } from '../../text/escape.ts';
import { type Child, element, type Markup, styleSheet, together } from './element.ts';

// Colours: Okabe and Ito's eight ("Color Universal Design", 2008), darkened on paper and lightened
// on the dark page until each has a contrast of 3 to 1 for lines and 4.5 to 1 for words (WCAG 2.2,
// 1.4.3 and 1.4.11; tests/pages/ measures it). Shape and dash tell series apart without any colour.
const css = `
:root{color-scheme:light dark;--paper:#f7f2e6;--sheet:#fffdf7;--ink:#2b2620;--soft:#5f574b;
--rule:#d9cfba;--strong-rule:#8a7f6a;--bar:#8a6a3c;--bar-light:#efe6d2;--bar-mid:#c3b18a;--band:#dfe5cf;
--s0:#00578a;--s1:#a84a00;--s2:#00694e;--s3:#8f3a72;--s4:#6b5600;--s5:#2b2620;--alert:#8c2f10}
@media (prefers-color-scheme:dark){:root{--paper:#1d1a16;--sheet:#24201b;--ink:#eee6d6;--soft:#b9ae9b;
--rule:#40392f;--strong-rule:#80765f;--bar:#c9a36a;--bar-light:#463c2c;--bar-mid:#75603f;--band:#39422f;
--s0:#6fbdf0;--s1:#f0a05a;--s2:#4fc7a1;--s3:#dd9cc6;--s4:#dcc85e;--s5:#eee6d6;--alert:#f0a58c}}
*{box-sizing:border-box}
html{background:var(--paper);color:var(--ink);font:100%/1.5 Charter,"Bitstream Charter","Sitka Text",Cambria,"DejaVu Serif",Georgia,serif}
body{margin:0 auto;padding:1.5rem 1rem 4rem;max-width:74rem}
h1{font-size:1.9rem;line-height:1.2;margin:0 0 .2rem;font-weight:600}
h2{font-size:1.25rem;margin:2.6rem 0 .8rem;padding-bottom:.25rem;border-bottom:3px double var(--strong-rule);font-weight:600}
h3{font-size:1rem;margin:1.2rem 0 .4rem}
p{margin:.4rem 0;max-width:42rem}
.lead{color:var(--soft)}
nav ol{columns:16rem;padding-left:2rem;margin:.6rem 0}
a{color:var(--s0)}
a:focus-visible,.scroll:focus-visible{outline:2px solid var(--s0);outline-offset:2px}
.plates{display:grid;margin-top:1rem;grid-template-columns:minmax(0,1fr);gap:1.6rem 2.4rem;align-items:start}
@media (min-width:60rem){.plates{grid-template-columns:repeat(2,minmax(0,1fr))}.plates.wide{grid-template-columns:minmax(0,1fr)}}
@media (max-width:30rem){body{padding:1rem .6rem 3rem}figure{padding:.6rem}}
figure{margin:0;padding:1rem;background:var(--sheet);border:1px solid var(--rule);min-width:0}
figcaption{font-weight:600;margin-bottom:.6rem}
svg{display:block;width:100%;height:auto;max-width:34rem;font-size:14px;fill:var(--ink)}
.says{font-size:.95rem;color:var(--soft)}
.scroll{overflow:auto;max-width:100%}
figure .scroll{max-height:26rem;border-bottom:1px solid var(--rule)}figure thead th{position:sticky;top:0;background:var(--sheet)}
table{border-collapse:collapse;font-size:.92rem;font-variant-numeric:tabular-nums lining-nums;margin:.4rem 0}
caption{text-align:left;color:var(--soft);font-size:.85rem;padding:.2rem 0}
th,td{text-align:left;padding:.2rem .7rem .2rem 0;border-bottom:1px solid var(--rule);vertical-align:top;font-weight:400}
thead th{border-bottom:2px solid var(--strong-rule);font-weight:600;vertical-align:bottom}
th.number,td.number{text-align:right;padding-right:1rem}.short{white-space:nowrap}
dl.glance{display:grid;grid-template-columns:repeat(auto-fill,minmax(9rem,1fr));gap:.2rem 1.6rem;margin:1rem 0}
dl.glance div{border-top:1px solid var(--strong-rule);padding:.4rem 0}
dl.glance dt{color:var(--soft);font-size:.9rem}
dl.glance dd{margin:0;font-size:1.35rem;font-variant-numeric:tabular-nums lining-nums}
dl.glance dd small{display:block;font-size:.85rem;line-height:1.3;color:var(--soft)}
.verdict{font-weight:600}.verdict.act{color:var(--alert)}
.caution{border-left:4px solid var(--alert);padding-left:.8rem}
footer{margin-top:3rem;border-top:3px double var(--strong-rule);padding-top:.6rem;font-size:.9rem;color:var(--soft)}
text.end{text-anchor:end}text.middle{text-anchor:middle}text.strong{font-weight:600}
text.axis,text.note{fill:var(--soft)}text.small{font-size:11px}text.on-stay{fill:var(--sheet)}
.rule{stroke:var(--rule);stroke-width:1}.axis-line{stroke:var(--strong-rule);stroke-width:1}
.bar{fill:var(--bar)}.band{fill:var(--band)}.whisker{stroke:var(--ink);stroke-width:1.4}
.whisker.s0{stroke:var(--s0)}.whisker.s1{stroke:var(--s1)}.whisker.s2{stroke:var(--s2)}.whisker.s3{stroke:var(--s3)}.whisker.s4{stroke:var(--s4)}
.reference{stroke:var(--ink);stroke-width:1.4;stroke-dasharray:2 4}
.stack{stroke:var(--strong-rule);stroke-width:1}.stack.t0{fill:var(--bar)}.stack.t1{fill:var(--bar-light)}.stack.t2{fill:var(--bar-mid)}
text.on-t0{fill:var(--sheet)}
.stay{fill:var(--s0)}.stay.planned{fill:var(--bar-light);stroke:var(--strong-rule)}
.path{fill:none;stroke-width:2}.mark{stroke-width:1.5;stroke:var(--sheet)}
.path.s0{stroke:var(--s0)}.path.s1{stroke:var(--s1);stroke-dasharray:7 3}.path.s2{stroke:var(--s2);stroke-dasharray:2 3}
.path.s3{stroke:var(--s3);stroke-dasharray:9 3 2 3}.path.s4{stroke:var(--s4);stroke-dasharray:4 4}.path.s5{stroke:var(--s5);stroke-dasharray:12 4}
.mark.s0{fill:var(--s0)}.mark.s1{fill:var(--s1)}.mark.s2{fill:var(--s2)}.mark.s3{fill:var(--s3)}.mark.s4{fill:var(--s4)}
.mark.open{fill:var(--sheet);stroke:var(--s5)}
@media print{:root{--paper:#fff;--sheet:#fff;--ink:#000;--soft:#333;--rule:#bbb;--strong-rule:#555;--bar:#666;--bar-light:#eee;--bar-mid:#aaa;
--band:#bbb;--s0:#000;--s1:#444;--s2:#000;--s3:#444;--s4:#000;--s5:#000;--alert:#000}
html{font-size:9.5pt}body{padding:0;max-width:none}
.plates{grid-template-columns:repeat(2,minmax(0,1fr));gap:6mm}.plates.wide{grid-template-columns:minmax(0,1fr)}
figure{border:0;padding:0}svg,figcaption,.says,tr,h2,h3,dl.glance div{break-inside:avoid}h2,h3,thead,figcaption,svg,caption{break-after:avoid}
figure table{font-size:7.5pt}figure th,figure td{padding-right:.45rem}figure th.number,figure td.number{padding-right:.5rem}
svg{max-width:88mm}.scroll,figure .scroll{overflow:visible;max-height:none;border:0}figure thead th{position:static}a{color:inherit;text-decoration:none}nav{display:none}}
@page{margin:16mm 14mm}
`;

export type Section = { readonly id: string; readonly title: string; readonly body: Child };

export type Page = {
  readonly title: string;
  readonly lead: string;
  readonly sections: readonly Section[];
  readonly foot: string;
};

/** A whole page in one file: no script, no font, picture or address from elsewhere. */
export function htmlPage(page: Page): string {
  return document(
    page.title,
    css,
    together(
      element(
        'header',
        {},
        element('h1', {}, page.title),
        element('p', { class: 'lead' }, page.lead),
        element(
          'nav',
          { 'aria-label': 'On this page' },
          element(
            'ol',
            {},
            page.sections.map((section) =>
              element('li', {}, element('a', { href: `#${section.id}` }, section.title)),
            ),
          ),
        ),
      ),
      element(
        'main',
        {},
        page.sections.map((section) =>
          element(
            'section',
            { 'aria-labelledby': section.id },
            element('h2', { id: section.id }, section.title),
            section.body,
          ),
        ),
      ),
      element('footer', {}, element('p', {}, page.foot)),
    ),
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
