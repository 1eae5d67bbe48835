import file from '../../seeds/entry.yaml';
import type { Figure } from '../season/species.ts';

type EntryKey = 'eggs_a_hen_a_day' | 'gathered_days' | 'eggs_found_late' | 'egg_mass_room';

/** What a figure that is typed in may be before it is asked about: `seeds/entry.yaml`. */
export const entry = (file as { entry: Record<EntryKey, Figure<number>> }).entry;
