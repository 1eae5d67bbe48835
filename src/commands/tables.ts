import { boxedTable } from '../tables/boxes.ts';
import { plainTable, type Table } from '../tables/table.ts';
import type { Context } from './command.ts';

/** A table as this run wants it: boxes on a terminal, plain columns elsewhere. */
export function table(one: Table, context: Context): string {
  return context.plain ? plainTable(one) : boxedTable(one, context.width);
}
