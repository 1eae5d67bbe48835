import type { Finding } from '../../judge/diagnose/finding.ts';
import type { YearTurn } from '../../planner/year/turn.ts';
import { causeWords, fineWords, measure, placeWords, verdictWords } from '../diagnosis.ts';
import type { Units } from '../numbers.ts';
import { againstTable, differentlyTable, turnNote } from '../year.ts';
import { tableFigures } from './chart.ts';
import { type Child, element } from './element.ts';

/** What to act on and watch, with its signs; then what is in order and what is not known. */
export function diagnosisPart(findings: readonly Finding[]): Child {
  const raised = findings.filter((f) => f.verdict === 'act' || f.verdict === 'watch');
  const named = (verdict: Finding['verdict']): string =>
    findings
      .filter((f) => f.verdict === verdict)
      .map((f) => fineWords[f.cause])
      .join(', ');
  const fine = named('fine');
  const unknown = named('unknown');
  return [
    raised.length === 0
      ? element('p', {}, 'Nothing stands out.')
      : element(
          'ol',
          {},
          raised.map((f) =>
            element(
              'li',
              {},
              element(
                'p',
                {},
                element('strong', {}, `${verdictWords[f.verdict]}: `),
                `${causeWords[f.cause]}${placeWords(f.where)}`,
              ),
              element(
                'ul',
                {},
                f.evidence.map((sign) => element('li', {}, sign.says)),
                measure(f) === null ? null : element('li', {}, `Measured: ${measure(f)}`),
                f.next.map((next) => element('li', {}, `Next: ${next}`)),
              ),
            ),
          ),
        ),
    fine === '' ? null : element('p', {}, `Looked into and found fine: ${fine}.`),
    unknown === '' ? null : element('p', {}, `Not known from these records: ${unknown}.`),
    element(
      'p',
      { class: 'caution' },
      'It reads counts, not birds. Birds that are ill are for a vet.',
    ),
  ];
}

/** This season against earlier ones, and what the record suggests. */
export function turnPart(turn: YearTurn, season: string, units: Units): Child {
  return [
    turn.against.map((one) => [
      one.rates.length === 0
        ? null
        : tableFigures(againstTable(one.rates), units, `rates against season ${one.season}`),
      one.differently.length === 0
        ? null
        : tableFigures(
            differentlyTable(one, season),
            units,
            `done differently in ${season} from ${one.season}; it may or may not be why`,
          ),
    ]),
    turn.suggestions.length === 0
      ? null
      : element(
          'ol',
          {},
          turn.suggestions.map((s) =>
            element(
              'li',
              {},
              element('strong', {}, s.says),
              ` Because ${s.because}. Rests on: ${s.backed}.`,
            ),
          ),
        ),
    element('p', {}, turnNote(turn)),
  ];
}
