// A check of tests/sources that rests on memory says so where it is read: in its title.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { root } from '../harness/console.ts';

const folder = join(root, 'tests', 'sources');
const checks = readdirSync(folder)
  .filter((name) => name.endsWith('.test.ts'))
  .flatMap((name) =>
    readFileSync(join(folder, name), 'utf8')
      .split(/^(?= *(?:test|it)(?:\.each)?\()/m)
      .slice(1)
      .map((text) => ({
        name,
        title: /['"`](.*?)['"`],? *(?:\(|async|$)/m.exec(text)?.[1] ?? '',
        text,
      })),
  );

test('what rests on memory says so in its title', () => {
  expect(checks.length).toBeGreaterThan(30);
  const silent = checks.filter(
    ({ text }) =>
      /from memory|recalled/i.test(text.replace(/^.*(?:RECALLED|describe).*$/gm, '')) &&
      !/memory|recalled|consistency/i.test(
        text.split('\n').slice(0, 12).join('\n').split('=>')[0]!,
      ),
  );
  expect(silent.map(({ name, title }) => `${name}: ${title}`)).toEqual([]);
});

test('each title says what the check is held against: a source and how it was seen, a library, or ourselves', () => {
  const held =
    /\(.*(?:read|copy|abstract|memory|practice|judgement)\b.*\)|own arithmetic|consistency|common practice|luxon|\bIntl\b|ical\.js|list of 2006|chart of 2008|by R and by Python|sources named beside each|computed by hand/;
  const bare = checks.filter(({ title }) => !held.test(title));
  expect(bare.map(({ name, title }) => `${name}: ${title}`)).toEqual([]);
});

test('no printed value is kept that was only recalled', () => {
  const values = join(folder, 'vectors');
  for (const name of readdirSync(values).filter((one) => one.endsWith('.json')))
    for (const check of JSON.parse(readFileSync(join(values, name), 'utf8')))
      for (const { provenance } of check.published ?? [])
        expect(provenance, `${name}: ${check.id}`).toMatch(/^value seen/);
});
