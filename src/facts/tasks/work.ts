import file from '../../../seeds/work.yaml';
import type { Bounds, Figure, FigureTable } from '../../season/figure.ts';

type WorkKey =
  | 'candle_early_days'
  | 'candle_window_days'
  | 'damp_window_days'
  | 'storage_turning_from_days'
  | 'read_machine_per_day'
  | 'setting_pause_days'
  | 'hatch_early_days'
  | 'heat_lower_days'
  | 'set_late_days'
  | 'posted_rest_days'
  | 'chick_days'
  | 'stale_days'
  | 'over_after_first_hours'
  | 'over_after_last_hours'
  | 'machine_doubt_sets'
  | 'least_set_eggs'
  | 'punch_again_days'
  | 'broody_off_minutes'
  | 'broody_after_days'
  | 'moult_days'
  | 'lay_over_days';

/** How the day's work is laid out: the figures of `seeds/work.yaml`. */
export const work = (
  file as { work: FigureTable<WorkKey, 'weigh_again_days' | 'broody_leaves_days'> }
).work;

/** A figure of two ends in words: `2 to 3`. */
export const fromTo = ({ value }: Pick<Figure<Bounds>, 'value'>): string =>
  `${value.low} to ${value.high}`;
