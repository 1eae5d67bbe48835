import type { Cause, Finding, Verdict, Where } from '../judge/diagnose/finding.ts';
import { hanging, wrapped } from './wrap.ts';

/** Each cause as a sentence a keeper would say. */
export const causeWords: Readonly<Record<Cause, string>> = {
  'low-fertility': 'Too few eggs are fertile',
  'failing-male': 'The male of one pen is failing',
  'long-storage': 'Eggs are kept too long before setting',
  'egg-quality': 'Too many eggs are not fit to set',
  warm: 'The setter runs warm',
  cool: 'The setter runs cool',
  damp: 'The setter is too damp: eggs lose too little water',
  dry: 'The setter is too dry: eggs lose too much water',
  'uneven-tray': 'One tray does worse than the others',
  'early-death': 'Too many die early',
  'middle-death': 'Too many die in mid-term',
  'late-death': 'Too many die late, or pip and stick',
  contamination: 'Too many eggs go rotten',
  'drawn-out': 'Chicks of a set do not hatch together',
  'weak-chicks': 'Too many chicks are weak',
  handling: 'Eggs or chicks suffer from handling',
};

/** The same as what was found to be in order. */
export const fineWords: Readonly<Record<Cause, string>> = {
  'low-fertility': 'fertility',
  'failing-male': 'males holding up',
  'long-storage': 'storage',
  'egg-quality': 'eggs fit to set',
  warm: 'not warm',
  cool: 'not cool',
  damp: 'not damp',
  dry: 'not dry',
  'uneven-tray': 'trays alike',
  'early-death': 'early deaths',
  'middle-death': 'mid-term deaths',
  'late-death': 'late deaths',
  contamination: 'clean eggs',
  'drawn-out': 'hatching together',
  'weak-chicks': 'sound chicks',
  handling: 'handling',
};

export const verdictWords: Readonly<Record<Verdict, string>> = {
  act: 'ACT',
  watch: 'WATCH',
  unknown: 'NOT KNOWN',
  fine: 'FINE',
};

export function placeWords(where: Where): string {
  const words = [
    where.pen !== null && `pen ${where.pen}`,
    where.set !== null && `set ${where.set}`,
    where.tray !== null &&
      `tray ${where.tray}${where.setter === null ? '' : ` of ${where.setter}`}`,
    where.from !== null &&
      (where.to === null ? `from ${where.from}` : `${where.from} to ${where.to}`),
  ].filter(Boolean);
  return words.length === 0 ? '' : ` (${words.join(', ')})`;
}

const isShare = (unit: string): boolean => unit.startsWith('share');

function figure(value: number, unit: string): string {
  return isShare(unit) ? `${(100 * value).toFixed(1)} %` : value.toFixed(1);
}

export function measure(f: Finding): string | null {
  if (f.estimate === null) return null;
  const interval =
    f.low === null || f.high === null
      ? ''
      : ` (${f.cause === 'long-storage' ? 'sets from' : '95 % interval'} ${figure(f.low, f.unit)} to ${figure(f.high, f.unit)})`;
  const against = f.expected === null ? '' : `, set against ${figure(f.expected, f.unit)}`;
  return `${figure(f.estimate, f.unit)}${isShare(f.unit) ? ` ${f.unit.replace('share', '')}`.replace('  ', ' ') : `, ${f.unit}`}${interval}${against}.`;
}

/** A question answered well, by its signs and their tests. */
function testedWords(f: Finding): string {
  const signs = f.evidence.map(
    (sign) =>
      `${sign.says} (${sign.test}${sign.p === null ? '' : `: p = ${sign.p.toPrecision(2)}`})`,
  );
  return signs.length === 0 ? 'nothing speaks against it.' : `${signs.join('; ')}.`;
}

/** The diagnosis as text: what to act on and watch at length, the rest in a line each. */
export function diagnosisText(
  findings: readonly Finding[],
  head: { readonly place: string; readonly season: string; readonly day: string },
  width: number,
  numbers: boolean,
): string {
  const parts: string[] = [`${head.place}, season ${head.season}, on ${head.day}\n`];
  const raised = findings.filter((f) => f.verdict === 'act' || f.verdict === 'watch');
  const line = (text: string, indent = '  '): string => {
    // A dash or a label hangs: what follows stands under the words, not under it.
    const mark = /^- /.test(text) ? '- ' : '';
    return `${hanging(indent + mark, text.slice(mark.length), width)}\n`;
  };
  if (findings.every((f) => f.verdict === 'unknown'))
    parts.push('The records are too thin to answer anything yet.\n');
  else if (raised.length === 0)
    parts.push('Nothing stands out: no question was answered with a worry.\n');
  raised.forEach((f, i) => {
    const title = `${verdictWords[f.verdict]}: ${causeWords[f.cause]}${placeWords(f.where)}`;
    let text = `${hanging(`${i + 1}. `, title, width)}\n`;
    for (const sign of f.evidence) {
      // A sign that speaks against the cause is no evidence for it; numbers show it all the same.
      if (!numbers && sign.p !== null && sign.p > 0.5) continue;
      text += line(`- ${sign.says}`);
      if (numbers)
        text += line(
          `${sign.test}${sign.p === null ? '' : `: p = ${sign.p.toPrecision(2)}`}`,
          '    ',
        );
    }
    const size = measure(f);
    if (size) text += line(`Measured: ${size}`);
    if (f.source !== null) text += line(`Compared with: ${f.source}`);
    if (f.explained_by !== null)
      text += line(
        `It may be no fault of its own: "${causeWords[f.explained_by].toLowerCase()}" would bring it about.`,
      );
    const rivals = f.rivals.filter((r) => r !== f.explained_by);
    if (rivals.length > 0)
      text += line(`Could also be: ${rivals.map((r) => causeWords[r].toLowerCase()).join('; ')}.`);
    for (const next of f.next) text += line(`Next: ${next}`);
    if (numbers)
      text += line(
        `p = ${f.p?.toPrecision(2) ?? '-'}, after Holm over all questions ${f.p_adjusted?.toPrecision(2) ?? '-'}.`,
      );
    parts.push(text);
  });
  const unknown = findings.filter((f) => f.verdict === 'unknown');
  if (unknown.length > 0)
    parts.push(
      `NOT KNOWN\n${unknown
        .map((f) => {
          const why = f.unknown ?? 'the records do not tell';
          // Where something was counted, only more of it is wanted; else what to write down.
          const how = f.estimate === null && f.next[0] ? ` ${f.next[0]}` : '';
          return line(`- ${fineWords[f.cause]}: ${why}.${how}`);
        })
        .join('')}`,
    );
  const fine = findings.filter((f) => f.verdict === 'fine');
  if (fine.length > 0)
    parts.push(
      `FINE\n${
        numbers
          ? fine.map((f) => line(`- ${fineWords[f.cause]}: ${testedWords(f)}`)).join('')
          : line(fine.map((f) => fineWords[f.cause]).join(', '))
      }`,
    );
  parts.push(
    `${wrapped('Causes are ranked by evidence. ACT stands up to having asked so many questions at once; WATCH does not yet. Birds that are ill are for a vet.', width)}\n`,
  );
  return parts.join('\n');
}
