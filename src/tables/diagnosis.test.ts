// A finding in a keeper's words.
import { expect, test } from 'vitest';
import { everywhere, type Finding } from '../judge/diagnose/finding.ts';
import type { Worth } from '../judge/diagnose/worth.ts';
import { diagnosisScreen, measure, sentence, worthScreen } from './diagnosis.ts';
import { metric } from './numbers.ts';

const failing: Finding = {
  cause: 'failing-male',
  verdict: 'watch',
  probability: 0.4,
  since: '2027-03-27' as Finding['since'],
  where: { ...everywhere, pen: 'north' },
  unit: 'share of eggs set that were clear',
  estimate: 0.43,
  low: 0.27,
  high: 0.59,
  expected: 0.07,
  source: null,
  evidence: [],
  rivals: [{ cause: 'low-fertility', odds: 0.5 }],
  would_show: null,
  cost: { chicks: 5, to_come: 14, money: 38 },
  next: [],
  unknown: null,
};
const texts = (findings: readonly Finding[]): string =>
  JSON.stringify(diagnosisScreen(findings, 'Hill', metric, false)).replaceAll('\u00a0', ' ');

test('says from which set on, and promises nothing of eggs that are set already', () => {
  expect(sentence(failing, { currency: 'GBP' }).replaceAll('\u00a0', ' ')).toBe(
    'The male of one pen is failing (pen north), from the set of 27 Mar on. It has cost about 5 chicks; the eggs set and planned would lose about 14 more (38.00 GBP in all).',
  );
  const done = { ...failing, cost: { chicks: 5, to_come: 0, money: null } };
  expect(sentence(done, { currency: 'GBP' })).toMatch(/It has cost about 5.chicks\.$/);
});

test('an interval is one range', () => {
  expect(measure(failing, metric)!.replaceAll('\u00a0', ' ')).toBe(
    '43 % of eggs set that were clear (95 % interval 27–59 %); 7.0 % was expected.',
  );
});

test('a rival is told with its own chance', () => {
  expect(texts([failing])).toContain('too few eggs are fertile (20 %)');
});

test('what a quiet season comes nearest to is the fault, not its absence', () => {
  const quiet: Finding = { ...failing, cause: 'warm', verdict: 'fine', probability: 0.28 };
  expect(texts([quiet])).toContain('Nearest to it: the setter runs warm (28 %).');
});

test('a change that may as well cost chicks is not commended', () => {
  const male: Worth = {
    what: 'another-male',
    pen: 'north',
    eggs: 100,
    planned: false,
    mean: 1,
    low: -13,
    high: 9,
    better: 0.57,
    says: 'another male in north',
  };
  const [doubtful] = worthScreen([male], 'Hill').answer;
  expect(doubtful).toMatch(
    /^Nothing is surely worth it. The most: another male in north. About 1.chick more .* of a hundred eggs, as none are planned\.$/,
  );
  const [sure] = worthScreen([{ ...male, better: 0.95, planned: true }], 'Hill').answer;
  expect(sure).toMatch(/^Worth most: another male in north. .* of 100.eggs\.$/);
});

test('what is poor from the first set on is not called fine', () => {
  const late: Finding = {
    ...failing,
    cause: 'late-death',
    verdict: 'fine',
    probability: 0.1,
    unit: 'share of eggs moved that stayed whole and did not hatch',
    estimate: 0.13,
    low: 0.09,
    high: 0.16,
    expected: 0.044,
  };
  const headings = (...all: Finding[]): (string | null | undefined)[] =>
    (diagnosisScreen(all, 'Hill', metric, false).parts ?? []).flatMap((part) =>
      part ? [part.heading] : [],
    );
  expect(headings(late)).toContain('Steady, but worse than is usual elsewhere');
  expect(headings(late)).not.toContain('Fine');
  // Within the usual range, which reaches to twice the odds: as the review has it.
  expect(headings({ ...late, low: 0.08 })).toContain('Fine');
  // Where a fault is raised, that tells of it.
  expect(headings(failing, late)).not.toContain('Steady, but worse than is usual elsewhere');
  expect(texts([late])).toContain('13 % of eggs moved that stayed whole and did not hatch');
});
