import { escapeJson, linesForTerminal } from '../text/escape.ts';
import { type Fault, faultCodes } from '../text/fault.ts';

/** The most faults that are told one by one. */
const MOST_TOLD = 50;
/** More faults than this are told by their number per code at the end as well. */
const MANY = 20;

/** A fault as it is printed: `log/sets.csv:14:5: eggs: expected …`, and a hint below. */
export function faultLines(faults: readonly Fault[]): string {
  if (faults.length === 0) return '';
  const lines = faults.slice(0, MOST_TOLD).map((one) => {
    // A row that is not in a file yet has no line.
    const at = Number.isFinite(one.at.line)
      ? `${one.at.file}:${one.at.line}:${one.at.column}`
      : one.at.file;
    const kind = one.severity === 'warning' ? 'warning: ' : '';
    const code = faultCodes[one.code] === 'conflict' ? `${one.code}: ` : '';
    const hint = one.hint === null ? '' : `\n  hint: ${one.hint}`;
    return `${at}: ${kind}${code}${one.message}${hint}`;
  });
  if (faults.length > MANY) {
    const counts = new Map<string, number>();
    for (const one of faults) counts.set(one.code, (counts.get(one.code) ?? 0) + 1);
    const rest = faults.length - MOST_TOLD;
    const all = [...counts].map(([code, count]) => `${count} ${code}`).join(', ');
    lines.push(rest > 0 ? `… and ${rest} more; in all: ${all}` : all);
  }
  return linesForTerminal(`${lines.join('\n')}\n`);
}

/** JSON for other programs, inert where it is looked at on a terminal. */
export function jsonText(name: string, value: object): string {
  return `${escapeJson(JSON.stringify({ format: `traybook.${name}/1`, ...value }, null, 2))}\n`;
}

/** `1 egg`, `2 eggs`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}
