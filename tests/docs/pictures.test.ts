// The pictures of the README are the page's own, cut out of what `summary --html` prints for the
// finished example. `npm test -- -u` draws them anew.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { Barn, root } from '../harness/console.ts';

const pictures = {
  'where-eggs-died': 'chart-deaths',
  'pens-side-by-side': 'chart-pens',
} as const;

const barn = new Barn();
let page = '';
beforeAll(async () => {
  barn.enter('finished', undefined);
  page = (await barn.run('traybook summary --html')).stdout;
});
afterAll(() => barn.close());

/** A chart of the page as a file of its own: its picture on the page's paper, with its words. */
function pictureOf(figure: string): string {
  const from = page.indexOf(`<figure id="${figure}">`);
  const cut = page.slice(from, page.indexOf('</figure>', from));
  const svg = /<svg viewBox="0 0 ([\d.]+) ([\d.]+)"[^>]*>([\s\S]*?)<\/svg>/.exec(cut);
  const title = /<figcaption[^>]*>([\s\S]*?)<\/figcaption>/.exec(cut)?.[1];
  const says = /<p class="says"[^>]*>([\s\S]*?)<\/p>/.exec(cut)?.[1];
  const style = /<style>([\s\S]*?)<\/style>/.exec(page)?.[1];
  if (!svg || !title || !says || !style) throw new Error(`no picture ${figure} in the page`);
  const [, width, height, marks = ''] = svg;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" role="img" font-family="Charter,Cambria,Georgia,serif">`,
    `<title>${title}</title>`,
    `<desc>${says}</desc>`,
    `<style>${style}</style>`,
    `<rect width="100%" height="100%" style="fill:var(--sheet)"/>`,
    marks.replaceAll('><', '>\n<'),
    '</svg>',
    '',
  ].join('\n');
}

for (const [name, figure] of Object.entries(pictures))
  test(`examples/pictures/${name}.svg is what the page shows`, async () => {
    await expect(pictureOf(figure)).toMatchFileSnapshot(
      join(root, 'examples', 'pictures', `${name}.svg`),
    );
    expect(readFileSync(join(root, 'README.md'), 'utf8')).toContain(
      `(examples/pictures/${name}.svg)`,
    );
  });
