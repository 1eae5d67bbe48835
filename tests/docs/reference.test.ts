// A page of the guide that is made of the table the program reckons by, so that the two cannot differ.
import { join } from 'node:path';
import { expect, test } from 'vitest';
import type * as z from 'zod/mini';
import cautionTable from '../../seeds/cautions.yaml';
import { seenWords } from '../../src/season/figure.ts';
import type { cautionsFile } from '../../src/season/knowledge-schema.ts';
import { wrapped } from '../../src/tables/wrap.ts';
import { root } from '../harness/console.ts';

const WIDTH = 100;

test('the cautions of the guide are those of the table, whole', async () => {
  const cautions = cautionTable as z.infer<typeof cautionsFile>;
  const parts = Object.values(cautions).map(
    ({ short, whole, source, seen }) =>
      `## ${short.split(/[:.;]/)[0]}\n\n${wrapped(whole, WIDTH)}\n\n${wrapped(`Source: ${source}${mark(seen, source)}.`, WIDTH)}\n`,
  );
  const page = `# Cautions\n\nCommands show these in short, each once, where they apply. traybook keeps records: it gives no\nveterinary, legal or electrical advice. Check your local rules, and ask a vet. Telephone lines show\nonly in the season of their own country.\n\n${parts.join('\n')}`;
  await expect(page).toMatchFileSnapshot(join(root, 'src', 'commands', 'guide', 'cautions.md'));
});

/** How well a source was seen, unless the source says so itself. */
function mark(seen: Parameters<typeof seenWords>[0], source: string): string {
  const told = seenWords(seen);
  return told === '' || source.includes(told) ? '' : ` (${told})`;
}
