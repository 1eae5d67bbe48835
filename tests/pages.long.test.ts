/// <reference lib="dom" />
/// <reference lib="dom.iterable" />
// Every page is looked at in a real browser: structure, width, contrast, accessibility, print.
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import axe from 'axe-core';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { sheetKinds } from '../src/tables/html/sheet.ts';
import { chromiumPath, launch } from './harness/chromium.ts';
import { Barn } from './harness/console.ts';
import { smallSeason } from './harness/small-season.ts';

if (chromiumPath === null) console.warn('SKIPPED: chromium is missing: apt-get install chromium');
const commands = ['summary --html', ...Object.keys(sheetKinds).map((kind) => `sheet ${kind}`)];

type Rgb = readonly [number, number, number];

/** A colour of six digits as linear light, 0 to 1. */
function rgbOf(hex: string): Rgb {
  const part = (from: number): number => {
    const c = Number.parseInt(hex.slice(from, from + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  };
  return [part(1), part(3), part(5)];
}

const through =
  (rows: readonly (readonly [number, number, number])[]) =>
  (colour: Rgb): Rgb =>
    rows.map((row) =>
      Math.min(
        1,
        Math.max(
          0,
          row.reduce((sum, part, index) => sum + part * colour[index]!, 0),
        ),
      ),
    ) as unknown as Rgb;

// Machado, Oliveira and Fernandes (2009), A physiologically-based model for simulation of color vision
// deficiency, table 1 at severity 1.0; the matrices are from memory.
const eyes: Readonly<Record<string, (colour: Rgb) => Rgb>> = {
  usual: (colour) => colour,
  protanopia: through([
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ]),
  deuteranopia: through([
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ]),
  tritanopia: through([
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ]),
};

const lightOf = ([r, g, b]: Rgb): number => 0.2126 * r + 0.7152 * g + 0.0722 * b;

/** Contrast of WCAG 2.2. */
function contrast(a: Rgb, b: Rgb): number {
  const [high, low] = [lightOf(a), lightOf(b)].sort((x, y) => y - x) as [number, number];
  return (high + 0.05) / (low + 0.05);
}

/** How far two colours are apart, in CIE 1976 L*a*b*; 2.3 is just noticed (Mahy et al. 1994). */
function distance(a: Rgb, b: Rgb): number {
  const lab = ([r, g, b]: Rgb) => {
    const f = (t: number) => (t > (6 / 29) ** 3 ? Math.cbrt(t) : t / (3 * (6 / 29) ** 2) + 4 / 29);
    const x = f((0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505);
    const y = f(0.2126 * r + 0.7152 * g + 0.0722 * b);
    const z = f((0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089);
    return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
  };
  const [p, q] = [lab(a), lab(b)];
  return Math.hypot(...p.map((one, index) => one - q[index]!));
}

/** Five times what is just noticed. */
const LEAST_DISTANCE = 11.5;

type Axe = { run: () => Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };

const barn = new Barn();
const pages = new Map<string, string>();
/** The summary of a whole season, whose tables are the widest and longest. */
let wide = '';
/** The summary of a season under way. */
let midseason = '';
/** Every sheet of a busy morning, by its kind. */
const busy = new Map<string, string>();
let browser: Browser;

beforeAll(async () => {
  await smallSeason(barn);
  for (const command of commands) {
    const run = await barn.run(`traybook ${command}`);
    expect(run, command).toMatchObject({ status: 0, stderr: '' });
    const path = join(barn.folder, `${command.replace(/\W+/g, '-')}.html`);
    writeFileSync(path, run.stdout);
    pages.set(command, path);
  }
  const small = barn.folder;
  barn.enter('finished', undefined);
  wide = join(small, 'wide.html');
  writeFileSync(wide, (await barn.run('traybook summary --html')).stdout);
  // A morning with eggs in the setter, in the hatcher and birds under heat.
  barn.enter('midseason', undefined);
  midseason = join(small, 'wide-midseason.html');
  writeFileSync(midseason, (await barn.run('traybook summary --html')).stdout);
  for (const kind of Object.keys(sheetKinds)) {
    const path = join(small, `busy-${kind}.html`);
    writeFileSync(path, (await barn.run(`traybook sheet ${kind}`)).stdout);
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
      expect(html).not.toMatch(/<script|<link|<img|<iframe|https?:|url\((?!#)|@import/i);
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
    const inner = await page.evaluate(() =>
      [...document.querySelectorAll('body *')]
        .filter((node) => ['auto', 'scroll'].includes(getComputedStyle(node).overflowX))
        .map((node) => node.className),
    );
    if (path.includes('summary') || path.includes('wide'))
      expect(inner, 'nothing scrolls by itself').toEqual([]);
    const large = await page.evaluate(() => {
      const body = Number.parseFloat(getComputedStyle(document.body).fontSize);
      return [...document.querySelectorAll('svg')].filter((svg) => {
        const box = svg.getBoundingClientRect();
        const letters = Number.parseFloat(getComputedStyle(svg).fontSize);
        return (letters * box.width) / svg.viewBox.baseVal.width > body + 0.1;
      }).length;
    });
    expect(large, 'no letters of a picture are larger than the text').toBe(0);
    await page.addScriptTag({ content: axe.source });
    const { violations } = await page.evaluate(() => (window as unknown as { axe: Axe }).axe.run());
    expect(violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
  } finally {
    await page.close();
  }
}

describe.skipIf(chromiumPath === null)('in Chromium', () => {
  for (const command of commands)
    for (const width of [390, 800, 1280])
      for (const colorScheme of command.startsWith('summary')
        ? (['light', 'dark'] as const)
        : (['light'] as const))
        test(`${command} at ${width} px, ${colorScheme}`, () =>
          look(pages.get(command)!, width, colorScheme));

  for (const [width, colorScheme] of [
    [390, 'light'],
    [390, 'dark'],
    [800, 'dark'],
    [1280, 'light'],
  ] as const)
    test(`the summary of a whole season at ${width} px, ${colorScheme}`, () =>
      look(wide, width, colorScheme));

  test('every picture has a name, a description and values, and its figures are folded', async () => {
    const page = await browser.newPage();
    await page.goto(`file://${wide}`);
    const figures = await page.evaluate(() =>
      [...document.querySelectorAll('figure')].map((figure) => {
        const svg = figure.querySelector('svg');
        const word = (name: string) =>
          document.getElementById(svg?.getAttribute(name) ?? '')?.textContent?.trim().length ?? 0;
        const link = figure.querySelector('.to-figures a')?.getAttribute('href')?.slice(1);
        return {
          name: word('aria-labelledby') > 3,
          says: word('aria-describedby') > 20,
          link: link === undefined || document.getElementById(link)?.tagName === 'DETAILS',
        };
      }),
    );
    expect(figures.length).toBeGreaterThanOrEqual(7);
    for (const figure of figures) expect(figure).toEqual({ name: true, says: true, link: true });
    expect(await page.locator('svg title').count()).toBeGreaterThan(50);
    const bare = await page.evaluate(
      () => [...document.querySelectorAll('table')].filter((one) => !one.closest('details')).length,
    );
    expect(bare).toBe(0);
    await page.close();
  });

  test('the first screen tells goals with their chance, what is wrong, birds and missing eggs', async () => {
    const page = await browser.newPage({ viewport: { width: 390, height: 844 } });
    await page.goto(`file://${midseason}`);
    const seen = await page.evaluate(() =>
      [...document.querySelectorAll('#now ~ *, .says-list li')]
        .filter((node) => node.getBoundingClientRect().bottom <= innerHeight)
        .map((node) => node.textContent ?? '')
        .join('\n'),
    );
    for (const word of [
      /% chance of 60 dorking pullets/,
      /Nothing stands out|since/,
      /birds living/,
      /not accounted for/,
    ])
      expect(seen).toMatch(word);
    await page.close();
  });

  test('the three meanings differ for eyes that lack one kind of cone, in light and dark', async () => {
    for (const colorScheme of ['light', 'dark'] as const) {
      const page = await browser.newPage({ colorScheme });
      await page.goto(`file://${wide}`);
      const colours = await page.evaluate(() => {
        const style = getComputedStyle(document.documentElement);
        return ['--act', '--watch', '--settled', '--sheet'].map((name) =>
          style.getPropertyValue(name).trim(),
        );
      });
      await page.close();
      const [act, watch, settled, sheet] = colours.map(rgbOf) as [Rgb, Rgb, Rgb, Rgb];
      for (const [eye, see] of Object.entries(eyes)) {
        for (const one of [act, watch, settled])
          expect(contrast(see(one), see(sheet)), `${eye} ${colorScheme}`).toBeGreaterThan(4.5);
        for (const [a, b] of [
          [act, watch],
          [act, settled],
          [watch, settled],
        ] as const)
          expect(distance(see(a), see(b)), `${eye} ${colorScheme}`).toBeGreaterThan(LEAST_DISTANCE);
      }
    }
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
        return [
          '.bar',
          '.mark',
          '.solid',
          '.dashed',
          '.whisker',
          '.stay',
          '.axis-line',
          '.reference',
        ].flatMap((kind) =>
          [...document.querySelectorAll(`svg ${kind}`)].slice(0, 8).map((node) => {
            const style = getComputedStyle(node);
            const drawn =
              !['.bar', '.mark', '.stay'].includes(kind) ||
              node.classList.contains('planned') ||
              node.classList.contains('open')
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
      if (!['trays', 'season'].includes(kind)) expect(blanks.length, kind).toBeGreaterThan(0);
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

  test('the season on one line names trays, hatchers and the brooders that were used', async () => {
    const page = await browser.newPage();
    await page.goto(`file://${wide}`);
    const rows = await page.evaluate(() =>
      [...document.querySelectorAll('#chart-places-figures tbody tr')].map(
        (row) => row.firstElementChild?.textContent ?? '',
      ),
    );
    const places = new Set(rows);
    for (const place of ['cabinet 1', 'cabinet 4', 'lower', 'box', 'barn', 'loft'])
      expect(places).toContain(place);
    const bars = await page.locator('#chart-places svg .stay').count();
    expect(bars).toBeGreaterThan(rows.length / 2);
    await page.close();
  });

  test('fillings that touch differ in grey or in hatching, on paper too', async () => {
    const page = await browser.newPage();
    await page.emulateMedia({ media: 'print' });
    await page.goto(`file://${wide}`);
    const fills = await page.evaluate(() =>
      ['f0', 'f1', 'f2', 'f3', 'f4', 'f5', 'f6'].flatMap((kind) => {
        const node = document.querySelector(`.piece.${kind}`);
        return node === null ? [] : [getComputedStyle(node).fill];
      }),
    );
    expect(fills.length).toBeGreaterThan(4);
    expect(new Set(fills).size).toBe(fills.length);
    await page.close();
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
    // Three eighths of the picture at most.
    for (const [name, from] of starts) expect(from, String(name)).toBeLessThanOrEqual(150);
    await page.close();
  });

  test('the wall and the day take one leaf, a brooder one each, on A4 and on Letter', async () => {
    for (const format of ['A4', 'Letter'] as const) {
      const leaves = new Map<string, number>();
      for (const kind of ['season', 'day', 'brooder']) {
        const page = await browser.newPage();
        await page.goto(`file://${busy.get(kind)}`);
        leaves.set(kind, await leavesOf(page, format, kind === 'season'));
        await page.close();
      }
      expect(Object.fromEntries(leaves), format).toEqual({ season: 1, day: 1, brooder: 3 });
    }
  });

  const leavesOf = async (page: Page, format: string, landscape = false): Promise<number> =>
    (await page.pdf({ format, landscape })).toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)
      ?.length ?? 0;

  for (const format of ['A4', 'Letter'] as const) {
    test(`a whole season prints on four leaves of ${format}, its figures behind`, async () => {
      const page = await browser.newPage({ bypassCSP: true });
      await page.goto(`file://${wide}`);
      const all = await leavesOf(page, format);
      await page.addStyleTag({ content: '[aria-labelledby=figures]{display:none}' });
      const pictures = await leavesOf(page, format);
      expect(pictures).toBeLessThanOrEqual(4);
      expect(all).toBeGreaterThan(pictures);
      await page.close();
    });

    test(`prints on ${format}`, async () => {
      for (const command of commands) {
        const page = await browser.newPage();
        await page.goto(`file://${pages.get(command)}`);
        const leaves = await leavesOf(page, format);
        expect(leaves, command).toBeGreaterThan(0);
        expect(leaves, command).toBeLessThan(14);
        await page.close();
      }
    });
  }
});
