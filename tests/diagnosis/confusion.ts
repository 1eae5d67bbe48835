import { diagnose } from '../../src/judge/diagnose/diagnose.ts';
import { type Cause, causes, type Finding } from '../../src/judge/diagnose/finding.ts';
import { type Keeping, simulate } from './simulate.ts';

export type Confusion = {
  /** Planted cause (or `clean`) to first answer (or `quiet`) to seasons. */
  table: Map<string, Map<string, number>>;
  seasons: number;
  /** Planted cause first and at least watched; among the first two; of faulty seasons. */
  first: number;
  firstTwo: number;
  faulty: number;
  clean: number;
  cleanActs: number;
};

const raised = (f: Finding): boolean => f.verdict === 'act' || f.verdict === 'watch';

/** Diagnoses `times` seasons of each cause and `cleanTimes` healthy ones. */
export function confusionOf(
  times: number,
  cleanTimes: number,
  keeping: Keeping,
  seed: number,
): Confusion {
  const table: Confusion['table'] = new Map();
  const out = { table, seasons: 0, first: 0, firstTwo: 0, faulty: 0, clean: 0, cleanActs: 0 };
  const note = (planted: string, found: string): void => {
    const row = table.get(planted) ?? new Map<string, number>();
    row.set(found, (row.get(found) ?? 0) + 1);
    table.set(planted, row);
  };
  const planted: (Cause | null)[] = [...causes, null];
  planted.forEach((cause, c) => {
    const many = cause === null ? cleanTimes : times;
    for (let i = 0; i < many; i++) {
      const findings = diagnose(simulate(seed + 1000 * c + i, cause, keeping)).filter(raised);
      out.seasons += 1;
      const top = findings[0]?.cause;
      if (cause === null) {
        out.clean += 1;
        if (findings.some((f) => f.verdict === 'act')) out.cleanActs += 1;
        note(
          'clean',
          findings.find((f) => f.verdict === 'act')?.cause ??
            (top === undefined ? 'quiet' : `watch ${top}`),
        );
        continue;
      }
      out.faulty += 1;
      if (top === cause) out.first += 1;
      if (findings.slice(0, 2).some((f) => f.cause === cause)) out.firstTwo += 1;
      note(cause, top ?? 'quiet');
    }
  });
  return out;
}

/** The table in letters: a row for each planted cause, what was put first and how often. */
export function confusionText(c: Confusion): string {
  const lines: string[] = [];
  for (const [planted, row] of c.table) {
    const found = [...row]
      .sort((a, b) => b[1] - a[1])
      .map(([name, n]) => `${name} ${n}`)
      .join(', ');
    lines.push(`  ${planted.padEnd(15)} ${found}`);
  }
  const share = (x: number, n: number): string =>
    n === 0 ? '-' : `${((100 * x) / n).toFixed(1)} %`;
  lines.push(
    `  planted cause first: ${share(c.first, c.faulty)} of ${c.faulty}; among the first two: ${share(c.firstTwo, c.faulty)}; clean seasons told to act: ${share(c.cleanActs, c.clean)} of ${c.clean}`,
  );
  return `${lines.join('\n')}\n`;
}
