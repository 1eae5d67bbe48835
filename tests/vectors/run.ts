import * as z from 'zod';
import { type Difference, differences, valueAt } from './compare.ts';
import { adapters } from './index.ts';

const check = z.object({
  id: z.string(),
  kind: z.string(),
  inputs: z.unknown(),
  expected: z.unknown(),
  tolerance: z
    .object({ abs: z.number().default(0), rel: z.number().default(0) })
    .default({ abs: 0, rel: 0 }),
  published: z
    .array(
      z.object({
        values: z.record(z.string(), z.unknown()),
        tolerance_abs: z.number().default(0),
        reference: z.string().default(''),
      }),
    )
    .optional(),
});

export type Check = z.infer<typeof check>;

export type Outcome = { id: string; kind: string; faults: Difference[]; error: string | null };

/** What went wrong, on one line. */
export function reasonOf(thrown: unknown): string {
  if (thrown instanceof z.ZodError) {
    return thrown.issues.map((i) => `${i.path.join('.')}: ${i.message}`).join('; ');
  }
  return thrown instanceof Error ? thrown.message : String(thrown);
}

/** The checks in the text of one vector file. Throws, saying why, on anything else. */
export function checksOf(text: string): Check[] {
  return z.array(check).parse(JSON.parse(text));
}

/** Runs one check through the program's own function; a printed value counts as well. */
export async function runCheck(one: Check): Promise<Outcome> {
  const base = { id: one.id, kind: one.kind };
  const run = adapters[one.kind];
  if (!run) return { ...base, faults: [], error: `no adapter for the kind ${one.kind}` };
  let got: unknown;
  try {
    got = await run(one.inputs);
  } catch (thrown) {
    return { ...base, faults: [], error: reasonOf(thrown) };
  }
  const faults = differences(one.expected, got, one.tolerance);
  for (const printed of one.published ?? []) {
    const tolerance = { abs: printed.tolerance_abs, rel: 0 };
    for (const [path, value] of Object.entries(printed.values)) {
      faults.push(...differences(value, valueAt(got, path), tolerance, `published ${path}`));
    }
  }
  return { ...base, faults, error: null };
}

const passed = (o: Outcome): boolean => o.error === null && o.faults.length === 0;

/** One line a failure with id, expected and got, and the count on the last line. */
export function report(outcomes: readonly Outcome[]): { text: string; failed: number } {
  const lines: string[] = [];
  for (const o of outcomes) {
    if (o.error !== null) lines.push(`${o.id} (${o.kind}): ${o.error}`);
    for (const f of o.faults) {
      lines.push(
        `${o.id} (${o.kind}) ${f.path}: expected ${JSON.stringify(f.expected)}, got ${typeof f.got === 'number' ? f.got : JSON.stringify(f.got)}`,
      );
    }
  }
  const failed = outcomes.filter((o) => !passed(o)).length;
  lines.push(`${outcomes.length - failed} passed, ${failed} failed`);
  return { text: `${lines.join('\n')}\n`, failed };
}
