import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { isLongRun } from '../support/long.ts';
import { adapters } from '../vectors/index.ts';
import { checksOf, report, runCheck } from '../vectors/run.ts';

const folder = join(import.meta.dirname, 'vectors');
const files = readdirSync(folder).filter((name) => name.endsWith('.json'));
/** Files whose values take long to work out. */
const LONG = new Set(['scheduling.json', 'two-proportions.json']);

describe('values computed elsewhere', () => {
  it.each(files.filter((file) => isLongRun || !LONG.has(file)))(
    '%s, by R and by Python',
    async (file) => {
      const checks = checksOf(readFileSync(join(folder, file), 'utf8'));
      expect(checks.length).toBeGreaterThan(0);
      const { text, failed } = report(await Promise.all(checks.map(runCheck)));
      expect(failed, text).toBe(0);
    },
  );

  it('consistency: every kind that can be run has a check here', () => {
    const seen = new Set(
      files.flatMap((file) =>
        checksOf(readFileSync(join(folder, file), 'utf8')).map((check) => check.kind),
      ),
    );
    expect(Object.keys(adapters).filter((kind) => !seen.has(kind))).toEqual([]);
  });
});

describe('the runner', () => {
  const good = {
    id: 'z',
    kind: 'zero_upper',
    inputs: { n: 10, conf: 0.95 },
    expected: { upper: 0.258865550893052 },
    tolerance: { abs: 1e-9, rel: 1e-9 },
  };
  const failsOf = async (change: object): Promise<string> => {
    const { text, failed } = report([await runCheck({ ...good, ...change } as never)]);
    expect(failed).toBe(1);
    return text;
  };

  it('consistency: passes what is right', async () => {
    expect(report([await runCheck(good)])).toEqual({ text: '1 passed, 0 failed\n', failed: 0 });
  });

  it('consistency: fails a wrong number, with id, expected and got', async () => {
    expect(await failsOf({ expected: { upper: 0.26 } })).toMatch(
      /^z \(zero_upper\) upper: expected 0\.26, got 0\.25886555\d+\n0 passed, 1 failed\n$/,
    );
  });

  it('consistency: fails a kind it does not know, a missing key, a number where none exists, bad inputs', async () => {
    expect(await failsOf({ kind: 'no_such_kind' })).toContain('no adapter');
    expect(await failsOf({ expected: { lower: 0 } })).toContain('got "nothing"');
    expect(await failsOf({ expected: { upper: null } })).toContain('expected null');
    expect(await failsOf({ inputs: {} })).toContain('n: ');
    expect(
      await failsOf({ published: [{ values: { upper: 0.3 }, tolerance_abs: 0.001 }] }),
    ).toContain('published upper');
  });

  it('consistency: takes lists of places as they are, whatever the tolerance', async () => {
    const chart = {
      id: 'c',
      kind: 'exact_limits',
      inputs: { x: [6], n: [10], p0: 0.1, alpha_each: 0.025 },
      expected: { signals_high: [1.001] },
      tolerance: { abs: 1, rel: 1 },
    };
    expect(report([await runCheck(chart)]).failed).toBe(1);
  });
});
