import { adapters as airAndHatch } from './air-and-hatch.ts';
import { adapters as calendar } from './calendar.ts';
import { adapters as genetics } from './genetics.ts';
import { adapters as groups } from './groups.ts';
import { adapters as planning } from './planning.ts';
import { adapters as proportions } from './proportions.ts';
import { adapters as regression } from './regression.ts';
import { adapters as schedule } from './schedule.ts';
import type { Adapter } from './shared.ts';

/** Every kind of check that can be run. A new family is one file and one line here. */
export const adapters: Record<string, Adapter> = {
  ...airAndHatch,
  ...genetics,
  ...calendar,
  ...groups,
  ...planning,
  ...proportions,
  ...regression,
  ...schedule,
};
