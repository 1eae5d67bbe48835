import type { Day } from '../../src/text/day.ts';

/** One invented farm in one season. */
export type Farm = {
  folder: string;
  seed: number;
  season: number;
  /** Rows are written for what happened before this moment. */
  until: string;
  firstEggs: Day;
  sets: readonly SetPlan[];
  /** The text of season.yaml. */
  header: string;
  /** True rates of the invented birds. */
  rates: Record<
    string,
    { lay: number; kept: number; fertile: number; early: number; late: number; hatch: number }
  >;
  hens: Record<string, number>;
  mess: boolean;
};

export type SetPlan = {
  set: string;
  on: Day;
  tray: number;
  shares: Record<string, number>;
  hatcher: string;
  duck: boolean;
};

/** Sound chicks of one share, all off by the morning after the hatch day. */
export type Hatched = {
  set: string;
  pen: string;
  duck: boolean;
  /** Day of the first opening: age 0. */
  hatched: Day;
  sound: number;
};
