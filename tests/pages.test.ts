/// <reference lib="dom" />
/// <reference lib="dom.iterable" />
// Every page is looked at in a real browser: structure, width, contrast, accessibility, print.
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import axe from 'axe-core';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { sheetKinds } from '../src/tables/html/sheet.ts';
import { chromiumPath, launch } from './harness/chromium.ts';
import { Barn } from './harness/console.ts';
import { smallSeason } from './harness/small-season.ts';

if (chromiumPath === null) console.warn('SKIPPED: chromium is missing: apt-get install chromium');
const commands = ['summary --html', ...Object.keys(sheetKinds).map((kind) => `sheet ${kind}`)];

type Axe = { run: () => Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };

const barn = new Barn();
const pages = new Map<string, string>();
/** The summary of a whole season, whose tables are the widest and longest. */
let wide = '';
/** Every sheet of a busy morning, by its kind. */
const busy = new Map<string, string>();
let browser: Browser;

beforeAll(async () => {
  smallSeason(barn);
  for (const command of commands) {
    const run = barn.run(`traybook ${command}`);
    expect(run, command).toMatchObject({ status: 0, stderr: '' });
    const path = join(barn.folder, `${command.replace(/\W+/g, '-')}.html`);
    writeFileSync(path, run.stdout);
    pages.set(command, path);
  }
  const small = barn.folder;
  barn.enter('finished', undefined);
  wide = join(small, 'wide.html');
  writeFileSync(wide, barn.run('traybook summary --html').stdout);
  // A morning with eggs in the setter, in the hatcher and birds under heat.
  barn.enter('midseason', undefined);
  for (const kind of Object.keys(sheetKinds)) {
    const path = join(small, `busy-${kind}.html`);
    writeFileSync(path, barn.run(`traybook sheet ${kind}`).stdout);
    busy.set(kind, path);
  }
  if (chromiumPath !== null) browser = await launch();
});
afterAll(async () => {
  await browser?.close();
  barn.close();
});

describe('in the file', () => {
  for (const command of commands)
    test(`${command} holds no script and points nowhere`, () => {
      const html = readFileSync(pages.get(command) ?? '', 'utf8');
      expect(html).not.toMatch(/<script|<link|<img|<iframe|https?:|url\(|@import/i);
      expect(html).toContain('Small &amp; Co &lt;b&gt;');
      expect(html).not.toContain('<b>');
    });
});

/** Opens a page as a reader would, and holds it to its width, its words and its accessibility. */
async function look(path: string, width: number, colorScheme: 'light' | 'dark'): Promise<void> {
  const page = await browser.newPage({
    viewport: { width, height: 900 },
    colorScheme,
    bypassCSP: true,
  });
  try {
    const asked: string[] = [];
    page.on('request', (request) => asked.push(request.url()));
    await page.goto(`file://${path}`);
    expect(asked, 'nothing is fetched but the page').toHaveLength(1);
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth);
    expect(overflow, 'the page does not scroll sideways').toBeLessThanOrEqual(width);
    const cut = await page.evaluate(() =>
      [...document.querySelectorAll('svg text')]
        .filter((node) => {
          const box = node.getBoundingClientRect();
          const frame = (node.closest('svg') as SVGElement).getBoundingClientRect();
          return box.left < frame.left - 1 || box.right > frame.right + 1;
        })
        .map((node) => node.textContent),
    );
    expect(cut, 'no word of a picture is cut off').toEqual([]);
    await page.addScriptTag({ content: axe.source });
    const { violations } = await page.evaluate(() => (window as unknown as { axe: Axe }).axe.run());
    expect(violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
  } finally {
    await page.close();
  }
}

describe.skipIf(chromiumPath === null)('in Chromium', () => {
  for (const command of commands)
    for (const width of [360, 800, 1280])
      for (const colorScheme of command.startsWith('summary')
        ? (['light', 'dark'] as const)
        : (['light'] as const))
        test(`${command} at ${width} px, ${colorScheme}`, () =>
          look(pages.get(command)!, width, colorScheme));

  for (const [width, colorScheme] of [
    [360, 'light'],
    [800, 'dark'],
    [1280, 'light'],
  ] as const)
    test(`the summary of a whole season at ${width} px, ${colorScheme}`, () =>
      look(wide, width, colorScheme));

  test('every picture of the summary has a name, a description and a table', async () => {
    const page = await browser.newPage();
    await page.goto(`file://${pages.get('summary --html')}`);
    const figures = await page.evaluate(() =>
      [...document.querySelectorAll('figure')].map((figure) => {
        const svg = figure.querySelector('svg');
        const word = (name: string) =>
          document.getElementById(svg?.getAttribute(name) ?? '')?.textContent?.trim().length ?? 0;
        return {
          name: word('aria-labelledby') > 3,
          says: word('aria-describedby') > 20,
          rows: figure.querySelectorAll('tbody tr').length > 0,
        };
      }),
    );
    expect(figures.length).toBeGreaterThanOrEqual(7);
    for (const figure of figures) expect(figure).toEqual({ name: true, says: true, rows: true });
    await page.close();
  });

  test('lines and marks stand out from the paper 3 to 1, in light and dark', async () => {
    for (const colorScheme of ['light', 'dark'] as const) {
      const page = await browser.newPage({ colorScheme });
      await page.goto(`file://${pages.get('summary --html')}`);
      const ratios = await page.evaluate(() => {
        const light = (colour: string) => {
          const parts = (colour.match(/[\d.]+/g) ?? [])
            .slice(0, 3)
            .map((part) => Number(part) / 255);
          const [r = 0, g = 0, b = 0] = parts.map((c) =>
            c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4,
          );
          return 0.2126 * r + 0.7152 * g + 0.0722 * b;
        };
        const paper = light(
          getComputedStyle(document.querySelector('figure') as Element).backgroundColor,
        );
        return ['.bar', '.mark', '.path', '.whisker', '.stay', '.axis-line'].flatMap((kind) =>
          [...document.querySelectorAll(`svg ${kind}`)].slice(0, 8).map((node) => {
            const style = getComputedStyle(node);
            const drawn =
              ['.path', '.whisker', '.axis-line'].includes(kind) ||
              node.classList.contains('planned')
                ? style.stroke
                : style.fill;
            const [high, low] = [light(drawn), paper].sort((a, b) => b - a) as [number, number];
            return [kind, (high + 0.05) / (low + 0.05)] as const;
          }),
        );
      });
      expect(ratios.length).toBeGreaterThan(10);
      for (const [kind, ratio] of ratios)
        expect(ratio, `${kind} ${colorScheme}`).toBeGreaterThanOrEqual(3);
      await page.close();
    }
  });

  test('the day has a row for each pen whose eggs are to be gathered', async () => {
    const page = await browser.newPage();
    await page.goto(`file://${pages.get('sheet day')}`);
    const pens = await page.locator('tbody th').allTextContents();
    expect(pens).toEqual(['north', 'south']);
    await page.close();
  });

  test('on paper every blank of a sheet takes a pencil, and its heading stays inside it', async () => {
    const page = await browser.newPage({ viewport: { width: 703, height: 1000 } });
    await page.emulateMedia({ media: 'print' });
    for (const [kind, path] of busy) {
      await page.goto(`file://${path}`);
      const { blanks, cut } = await page.evaluate(() => ({
        blanks: [...document.querySelectorAll('td.blank')].map((cell) => {
          const { width, height } = cell.getBoundingClientRect();
          return [width, height] as const;
        }),
        cut: [...document.querySelectorAll('th')]
          .filter((cell) => cell.scrollWidth > cell.clientWidth)
          .map((cell) => cell.textContent),
      }));
      expect(cut, kind).toEqual([]);
      if (kind !== 'trays') expect(blanks.length, kind).toBeGreaterThan(0);
      // A millimetre is 96 / 25.4 pixels: 12 across and 10 down.
      for (const [width, height] of blanks) {
        expect(width, kind).toBeGreaterThan(12 * 3.78);
        expect(height, kind).toBeGreaterThan(10 * 3.78);
      }
    }
    await page.close();
  });

  for (const [format, across] of [
    ['A4', 688],
    ['Letter', 710],
  ] as const)
    test(`on ${format} no table of the summary runs out of its column`, async () => {
      // The paper less the margins of the page, in pixels of a ninety-sixth of an inch.
      const page = await browser.newPage({ viewport: { width: across, height: 900 } });
      await page.emulateMedia({ media: 'print' });
      for (const path of [pages.get('summary --html')!, wide]) {
        await page.goto(`file://${path}`);
        const out = await page.evaluate(() =>
          [...document.querySelectorAll('table')]
            .filter((table) => {
              const room = (table.closest('figure') ?? document.body).getBoundingClientRect();
              return table.getBoundingClientRect().right > room.right + 1;
            })
            .map((table) => table.caption?.textContent),
        );
        expect(out).toEqual([]);
      }
      await page.close();
    });

  test('the pictures of places name trays, hatchers and the brooders that were used', async () => {
    const page = await browser.newPage();
    await page.goto(`file://${wide}`);
    const rows = (id: string) =>
      page.evaluate(
        (figure) =>
          [...document.querySelectorAll(`#${figure} tbody tr`)].map((row) =>
            [...row.children].map((cell) => cell.textContent ?? ''),
          ),
        id,
      );
    const used = (await rows('chart-brooders')).map(([brooder]) => brooder);
    expect([...new Set(used)].sort()).toEqual(['ark', 'barn', 'crate', 'hoop', 'loft', 'shed']);
    const bars = await page.locator('#chart-brooders svg .stay').count();
    expect(bars).toBe(used.length);
    const places = new Set((await rows('chart-places')).map(([place]) => place));
    for (const place of ['cabinet 1', 'cabinet 4', 'lower', 'box']) expect(places).toContain(place);
    await page.close();
  });

  test('bands that touch differ in grey too, in light, in dark and on paper', async () => {
    for (const [colorScheme, media] of [
      ['light', 'screen'],
      ['dark', 'screen'],
      ['light', 'print'],
    ] as const) {
      const page = await browser.newPage({ colorScheme });
      await page.emulateMedia({ media, colorScheme });
      await page.goto(`file://${wide}`);
      const greys = await page.evaluate(() =>
        ['t0', 't1', 't2'].map((kind) => {
          const fill = getComputedStyle(document.querySelector(`.stack.${kind}`) as Element).fill;
          const [r = 0, g = 0, b = 0] = (fill.match(/[\d.]+/g) ?? []).map(Number);
          return 0.299 * r + 0.587 * g + 0.114 * b;
        }),
      );
      // An eighth of the way from black to white at least.
      for (const [index, grey] of greys.entries())
        expect(Math.abs(grey - greys[(index + 1) % 3]!), `${colorScheme} ${media}`).toBeGreaterThan(
          255 / 8,
        );
      await page.close();
    }
  });

  test('an axis keeps no more room for its values than they take', async () => {
    const page = await browser.newPage();
    await page.goto(`file://${wide}`);
    const starts = await page.evaluate(() =>
      [...document.querySelectorAll('svg')].flatMap((svg) => {
        const rules = [...svg.querySelectorAll('line.rule')].map((rule) =>
          Number(rule.getAttribute('x1')),
        );
        return rules.length === 0
          ? []
          : [[svg.getAttribute('aria-labelledby'), Math.min(...rules)]];
      }),
    );
    // A quarter of the picture at most.
    for (const [name, from] of starts) expect(from, String(name)).toBeLessThanOrEqual(130);
    await page.close();
  });

  for (const format of ['A4', 'Letter'] as const)
    test(`prints on ${format}`, async () => {
      for (const command of commands) {
        const page = await browser.newPage();
        await page.goto(`file://${pages.get(command)}`);
        const pdf = await page.pdf({ format });
        const leaves = pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;
        expect(leaves, command).toBeGreaterThan(0);
        expect(leaves, command).toBeLessThan(14);
        await page.close();
      }
    });
});
