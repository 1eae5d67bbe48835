// Two pages of the guide are made of the tables the program reckons by, so that they cannot differ:
// every caution whole, and every figure of brooding and growing with its source.
import { join } from 'node:path';
import { expect, test } from 'vitest';
import type * as z from 'zod';
import broodingTable from '../../seeds/brooding.yaml';
import cautionTable from '../../seeds/cautions.yaml';
import growthTable from '../../seeds/growth.yaml';
import type { broodingFile, cautionsFile, growthFile } from '../../src/season/brooding-schema.ts';
import { seenWords } from '../../src/season/figure.ts';
import { hanging, wrapped } from '../../src/tables/wrap.ts';
import { root } from '../harness/console.ts';

const WIDTH = 100;
const guide = join(root, 'src', 'commands', 'guide');

test('the cautions of the guide are those of the table, whole', async () => {
  const cautions = cautionTable as z.infer<typeof cautionsFile>;
  const parts = Object.values(cautions).map(
    ({ short, whole, source, seen }) =>
      `## ${short.split(/[:.;]/)[0]}\n\n${wrapped(whole, WIDTH)}\n\n${wrapped(`Source: ${source}${mark(seen, source)}.`, WIDTH)}\n`,
  );
  const page = `# Cautions\n\nCommands show these in short, each once, where they apply. traybook keeps records: it gives no\nveterinary, legal or electrical advice. Check your local rules, and ask a vet.\n\n${parts.join('\n')}`;
  await expect(page).toMatchFileSnapshot(join(guide, 'cautions.md'));
});

test('the figures of the guide are those of the tables, each with its source', async () => {
  const brooding = broodingTable as z.infer<typeof broodingFile>;
  const growth = growthTable as z.infer<typeof growthFile>;
  const parts = [
    `## Waiting after the hatch\n\n${figures(brooding.holding)}`,
    ...Object.entries(brooding.heat_sources).map(
      ([name, one]) => `## Heat by ${name}\n\n${figures(one)}`,
    ),
    `## Shade and hardening\n\n${figures({ ...brooding.shade, ...brooding.hardening })}`,
    ...Object.entries(brooding.birds).map(
      ([name, one]) => `## Brooding: ${name}\n\n${figures(one)}`,
    ),
    ...Object.entries(growth.types).map(([name, one]) => `## Growing: ${name}\n\n${figures(one)}`),
    `## Feed tables, kg a bird from the hatch\n\n${figures(growth.feed_tables)}`,
  ];
  const page = `# Figures of brooding and growing\n\nAges are in days from the hatch, heat in °C at its edge at the height of the birds, floor in m² and\nedges in cm a bird, feed in kg a bird. A figure in steps holds from its day to the next. A line may\nput its own in their place under \`override:\` in \`season.yaml\`.\n\n${parts.join('\n')}`;
  await expect(page).toMatchFileSnapshot(join(guide, 'brooding-figures.md'));
});

type Shown = { value: unknown; source: string; seen: string; note?: string | undefined };

function figures(all: Readonly<Record<string, unknown>>): string {
  return Object.entries(all)
    .filter((entry): entry is [string, Shown] => {
      const one = entry[1] as Shown | undefined;
      return typeof one === 'object' && 'source' in one;
    })
    .map(([key, { value, source, seen, note }]) => {
      const more = note === undefined ? '' : ` ${note}`;
      return `${hanging('- ', `\`${key}\`: ${words(value)}. ${source}${mark(seen, source)}.${more}`, WIDTH)}\n`;
    })
    .join('');
}

/** How well a source was seen, unless the source says so itself. */
function mark(seen: string, source: string): string {
  const told = seenWords(seen as Parameters<typeof seenWords>[0]);
  return told === '' || source.includes(told) ? '' : ` (${told})`;
}

/** A value in words: steps as `from day 7 low 31.1, high 32.2`. */
function words(value: unknown): string {
  if (Array.isArray(value)) return value.map(words).join('; ');
  if (typeof value !== 'object' || value === null) return String(value);
  return Object.entries(value)
    .map(([key, one]) =>
      key === 'from_day'
        ? `from day ${one}`
        : key === 'day'
          ? `day ${one}`
          : `${key.replaceAll('_', ' ')} ${typeof one === 'object' ? `(${words(one)})` : one}`,
    )
    .join(', ');
}
