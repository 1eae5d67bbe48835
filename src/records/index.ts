import { acceptance } from './acceptance.ts';
import { bird } from './bird.ts';
import { breakout } from './breakout.ts';
import { candling } from './candling.ts';
import { eggs } from './eggs.ts';
import { eggsOut } from './eggs-out.ts';
import { group } from './group.ts';
import { hatch } from './hatch.ts';
import { leaving } from './leaving.ts';
import { loss } from './loss.ts';
import { money } from './money.ts';
import { move } from './move.ts';
import { penChange } from './pen-change.ts';
import { reading } from './reading.ts';
import type { RecordKind, RowOf } from './record.ts';
import { score } from './score.ts';
import { set } from './set.ts';
import { sexing } from './sexing.ts';
import { tick } from './tick.ts';
import { transfer } from './transfer.ts';
import { treatment } from './treatment.ts';
import { weather } from './weather.ts';
import { weighing } from './weighing.ts';

/** Every kind of record, in the order of a bird's life. A new kind is one file and one line here. */
export const kinds = {
  eggs,
  'eggs-out': eggsOut,
  set,
  candling,
  weighing,
  reading,
  transfer,
  hatch,
  breakout,
  group,
  move,
  loss,
  sexing,
  leaving,
  bird,
  score,
  treatment,
  weather,
  money,
  tick,
  'pen-change': penChange,
  acceptance,
} as const;

export type RecordName = keyof typeof kinds;
export type Rows = { readonly [N in RecordName]: readonly RowOf<(typeof kinds)[N]>[] };
export const recordNames = Object.keys(kinds) as RecordName[];

/** The kind of record with this name, as a general value. */
export function kindOf(name: RecordName): RecordKind {
  return kinds[name] as unknown as RecordKind;
}

/** True for the name of a kind of record. */
export function isRecordName(text: string): text is RecordName {
  return Object.hasOwn(kinds, text);
}
