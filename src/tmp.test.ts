import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { adapters } from './vectors/schedule.ts';
for (const c of JSON.parse(readFileSync(`/work/shared/reference/checks/scheduling.json`, 'utf8')))
  test(c.id, async () => { const t = performance.now(); expect(await adapters[c.kind]!(c.inputs)).toEqual(c.expected); console.log(c.id, performance.now()-t) });
