import type { Line } from '../../season/model.ts';
/** placeholder until growth table is merged */
export function growthDays(_line: Line): { firstEgg: number; table: number } {
  return { firstEgg: 161, table: 112 };
}
