// A season in °F, oz and ft² is told in them alone, on every screen and page.
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { exampleNow, root } from '../harness/console.ts';
import { answer } from '../support/in-process.ts';

const home = mkdtempSync(join(tmpdir(), 'traybook-units-'));
const folder = join(home, 'season');

const fahrenheit = (celsius: string): string => ((Number(celsius) * 9) / 5 + 32).toFixed(1);
/** Square metres as square feet: 1 ft = 0.3048 m (NIST SP 811, appendix B.8). */
const squareFeet = (metres: string): string => (Number(metres) / 0.3048 ** 2).toFixed(1);

function rewrite(file: string, change: (text: string) => string): void {
  const path = join(folder, file);
  writeFileSync(path, change(readFileSync(path, 'utf8')));
}

/** The columns of a log that are degrees, as °F. */
function degreesOf(log: string, names: readonly string[]): void {
  rewrite(`log/${log}.csv`, (text) => {
    const [header = '', ...rows] = text.trimEnd().split('\n');
    const columns = header.split(',');
    const changed = rows.map((row) =>
      row
        .split(',')
        .map((cell, index) =>
          names.includes(columns[index]!) && cell !== '' ? fahrenheit(cell) : cell,
        )
        .join(','),
    );
    return `${[header, ...changed].join('\n')}\n`;
  });
}

beforeAll(() => {
  cpSync(join(root, 'examples', 'midseason'), folder, { recursive: true });
  rewrite('season.yaml', (text) =>
    text
      .replace(
        '{temperature: C, mass: g, area: m2, currency: GBP}',
        '{temperature: F, mass: oz, area: ft2, currency: USD}',
      )
      .replace('previous: [../finished]', 'previous: []')
      .replace(/\barea: ([\d.]+)/g, (_all, area: string) => `area: ${squareFeet(area)}`)
      .replace(
        /(storage: \{temperature: )([\d.]+)/,
        (_all, key: string, t: string) => key + fahrenheit(t),
      )
      .replace(
        /\b(low|high|low_10): (-?[\d.]+)/g,
        (_all, key: string, t: string) => `${key}: ${fahrenheit(t)}`,
      ),
  );
  degreesOf('readings', ['dry', 'wet']);
  degreesOf('weather', ['low', 'high']);
});
afterAll(() => rmSync(home, { recursive: true }));

const commands = [
  'today --full',
  'check',
  'calendar --as table',
  'flock --full',
  'flock B1',
  'brooders --full',
  'costs --full',
  'summary --full',
  'summary --html',
  'review --by all --full',
  'diagnose --full',
  'rates --full',
  'forecast --draws 200',
  'occupancy --full',
  'sheet day',
  'sheet brooder',
  'sheet season',
];

for (const command of commands)
  test(`${command}: neither °C nor kg nor m²`, { timeout: 120_000 }, async () => {
    const { stdout, code } = await answer(folder, command.split(' '), {
      now: exampleNow.midseason!,
    });
    expect([0, 1], stdout).toContain(code);
    const wrong = stdout
      .split('\n')
      .filter((line) => /°C|\bkg\b|m²|\d\s?m above|\bcm\b/.test(line.replace(/\bmass_kg\b/g, '')))
      .map((line) => line.slice(0, 160));
    expect(wrong).toEqual([]);
  });
