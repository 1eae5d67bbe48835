import type { Goal } from '../facts/goals.ts';

/** A goal as `plan` and `forecast` tell it to other programs. */
export function goalJson({ line, want, at, by, count, confidence }: Goal) {
  return { line: line.name, want, at, by, count, confidence };
}
