/** A linear program as a text that any solver reads (CPLEX LP format), columns named x1, x2, …. */
import type { Expression, LinearProgram } from '../../src/planner/linear-program.ts';

/** Long lines are broken: some readers take no more than a few hundred characters. */
const A_LINE = 8;

function sum(terms: Expression): string {
  if (terms.length === 0) return '0 x1';
  const parts = terms.map(
    ([column, value]) => `${value < 0 ? '-' : '+'} ${Math.abs(value)} x${column + 1}`,
  );
  const lines: string[] = [];
  for (let i = 0; i < parts.length; i += A_LINE) lines.push(parts.slice(i, i + A_LINE).join(' '));
  return lines.join('\n  ');
}

/** Rows bounded on both sides become two. */
export function lpText(program: LinearProgram, objective: Expression): string {
  const rows: string[] = [];
  program.rows.forEach(({ lower, upper, terms }, i) => {
    if (lower === upper) rows.push(`c${i + 1}: ${sum(terms)} = ${lower}`);
    else {
      if (upper < Number.POSITIVE_INFINITY) rows.push(`c${i + 1}: ${sum(terms)} <= ${upper}`);
      if (lower > Number.NEGATIVE_INFINITY) rows.push(`d${i + 1}: ${sum(terms)} >= ${lower}`);
    }
  });
  const bounds = program.columns.map(({ lower, upper }, i) => {
    const from = lower === Number.NEGATIVE_INFINITY ? '-inf' : lower;
    const to = upper === Number.POSITIVE_INFINITY ? 'inf' : upper;
    return lower === upper ? `x${i + 1} = ${lower}` : `${from} <= x${i + 1} <= ${to}`;
  });
  const whole = program.columns.flatMap(({ whole }, i) => (whole ? [`x${i + 1}`] : []));
  return [
    'Minimize',
    `obj: ${sum(objective)}`,
    'Subject To',
    ...rows,
    'Bounds',
    ...bounds,
    ...(whole.length === 0 ? [] : ['General', ...whole]),
    'End',
    '',
  ].join('\n');
}
