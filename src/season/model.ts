import type { candling } from '../records/candling.ts';
import type { eggsOut } from '../records/eggs-out.ts';
import type { hatch } from '../records/hatch.ts';
import type { Rows } from '../records/index.ts';
import type { penChange } from '../records/pen-change.ts';
import type { Row, RowOf } from '../records/record.ts';
import type { transfer } from '../records/transfer.ts';
import type { Day, On } from '../text/day.ts';
import type { Place } from '../text/source.ts';
import type { SeasonFile } from './read-file.ts';
import type {
  BrooderValues,
  HatcherValues,
  PenValues,
  SeasonValues,
  SetterValues,
} from './schema.ts';
import type { Species } from './species.ts';

/** A breed or strain kept as one population. */
export type Line = {
  readonly name: string;
  /** The kind as season.yaml names it: a species of the table, or one of `kinds:`. */
  readonly speciesName: string;
  /** The species of the reference tables whose figures stand where the kind gives none. */
  readonly likeSpecies: string;
  readonly species: Species;
  readonly class: string | null;
  readonly down: string | null;
  readonly egg_g: number | null;
};

/** One change of a pen. `birds` of `sex` came, went or were exchanged; null sex where it parted. */
export type PenChange = {
  readonly day: Day;
  readonly change: RowOf<typeof penChange>['values']['change'];
  readonly birds: number;
  readonly sex: 'female' | 'male' | null;
  readonly bird: string | null;
  readonly at: Place;
};

/** A mating group: hens and males of a line, from `joined` until `parted`. */
export type Pen = {
  readonly name: string;
  readonly line: Line;
  readonly hens: number;
  readonly males: number;
  readonly joined: Day;
  readonly parted: Day | null;
  readonly malesChanged: readonly Day[];
  readonly otherMalesUntil: Day | null;
  readonly age: 'young' | 'old';
  /** Birds known by name that breed here; fewer than `males` and `hens` if others do too. */
  readonly sires: readonly string[];
  readonly dams: readonly string[];
  /** What season.yaml says of the birds; `hens` to `dams` are as they stand after the changes. */
  readonly began: Pick<Pen, 'hens' | 'males' | 'sires' | 'dams'>;
  /** What rows of pen-change say, in order of time. */
  readonly changes: readonly PenChange[];
  /** Hatching eggs from elsewhere stand in the place of a pen; null for a pen of our own hens. */
  readonly bought: NonNullable<PenValues['bought']> | null;
  readonly at: Place;
};

export type Setter = SetterValues & { readonly name: string; readonly at: Place };
export type Hatcher = HatcherValues & { readonly name: string; readonly at: Place };
export type Brooder = BrooderValues & { readonly name: string; readonly at: Place };

/** The eggs kept from one pen on one day. `left` is what no set has drawn. */
export type Lot = {
  readonly pen: string;
  readonly laid: Day;
  readonly kept: number;
  readonly left: number;
};

/** Part of a lot that went into a share. `age` is in days at setting. */
export type Drawn = { readonly laid: Day; readonly age: number; readonly eggs: number };

/** The eggs of a share lying in one tray; a tray of null is not known. */
export type InTray = {
  readonly setter: string;
  readonly tray: number | null;
  readonly eggs: number;
  readonly mass_g: number | null;
  readonly row: Row;
};

export type ShareStage = 'in-setter' | 'in-hatcher' | 'finished';

/** Eggs taken out at a look, by what was seen; `all` is their sum. */
type Removed = {
  readonly clear: number;
  readonly quit: number;
  readonly cracked: number;
  readonly rotten: number;
  readonly all: number;
};

/** Sums over the rows of a share; `null` where nothing was recorded. Counts of eggs or chicks. */
export type Tally = {
  readonly eggs: number;
  /** Taken out, at candlings and at transfer together. */
  readonly clear: number;
  readonly quit: number;
  readonly cracked: number;
  readonly rotten: number;
  readonly at: { readonly candling: Removed; readonly transfer: Removed };
  readonly doubtful: number;
  readonly moved: number | null;
  /** Moved to the hatcher or, where no transfer is written, what the candlings left. */
  readonly wentIn: number;
  /** What chicks are counted of: moved, or under a hen what the candlings left; null until moved. */
  readonly hatching: number | null;
  readonly hatched: number | null;
  readonly weak: number;
  readonly dead: number;
  readonly pipped: number;
  readonly unpipped: number;
  /** Out of the shell, alive or dead. */
  readonly emerged: number;
  /** Hatched and not weak. */
  readonly sound: number;
  /** Emerged, pipped and unpipped. */
  readonly cameOut: number;
  /** Eggs in the tray or hatcher now, as far as the records say. */
  readonly left: number;
  /** Set less removed less moved: null until moved, unless more came out than went in: then negative. */
  readonly missingAtTransfer: number | null;
  /** Moved less what came out: null until the final opening, unless negative. */
  readonly missingAtHatch: number | null;
};

/** One pen's part of a set. */
export type Share = {
  readonly set: string;
  readonly pen: Pen;
  readonly on: On;
  readonly eggs: number;
  readonly trays: readonly InTray[];
  /** Lots drawn, oldest first; fewer eggs than `eggs` if the stock did not suffice. */
  readonly drawn: readonly Drawn[];
  /** Eggs set that no recorded lot accounts for. */
  readonly notKept: number;
  readonly candlings: readonly RowOf<typeof candling>[];
  readonly transfers: readonly RowOf<typeof transfer>[];
  readonly openings: readonly RowOf<typeof hatch>[];
  readonly tally: Tally;
  /** `left` of the tally. */
  readonly live: number;
  /** Set under a broody hen. */
  readonly underHen: boolean;
  readonly hatcher: string | null;
  readonly transferredOn: Day | null;
  /** Day of the final opening. */
  readonly finishedOn: Day | null;
  readonly stage: ShareStage;
  readonly at: Place;
};

/** The eggs put in on one day under one name. */
export type EggSet = {
  readonly name: string;
  readonly on: On;
  readonly species: Species;
  readonly speciesName: string;
  readonly shares: readonly Share[];
  readonly plan: PlannedSet | null;
  readonly at: Place;
};

/** A line of `plan:` in season.yaml. */
export type PlannedSet = {
  readonly name: string;
  readonly on: Day;
  readonly setter: string;
  readonly trays: readonly number[];
  readonly shares: readonly { readonly pen: Pen; readonly eggs: number }[];
  readonly hatcher: string | null;
  readonly species: Species;
  readonly speciesName: string;
  readonly at: Place;
};

/** A day's outdoor temperatures as written down, °C. */
export type WeatherDay = {
  readonly day: Day;
  readonly low: number | null;
  readonly high: number | null;
};

/** The season as it stands: what is intended and what happened, joined. */
export type Season = {
  readonly file: SeasonFile;
  readonly values: SeasonValues;
  readonly zone: string;
  readonly lines: ReadonlyMap<string, Line>;
  readonly pens: ReadonlyMap<string, Pen>;
  readonly setters: ReadonlyMap<string, Setter>;
  readonly hatchers: ReadonlyMap<string, Hatcher>;
  readonly brooders: ReadonlyMap<string, Brooder>;
  /** Days an egg may be stored before setting; of a line's species, `storage_max_days` says the same. */
  readonly storageMaxDays: (species: Species) => number;
  readonly rows: Rows;
  /** Sets recorded, in the order they were set. */
  readonly sets: ReadonlyMap<string, EggSet>;
  /** Every line of `plan:`, recorded or not, by day. */
  readonly planned: readonly PlannedSet[];
  /** Lots by day, then pen. */
  readonly lots: readonly Lot[];
  /** Eggs that left the store unset; `notKept` of them no lot accounts for. */
  readonly eggsOut: readonly { readonly row: RowOf<typeof eggsOut>; readonly notKept: number }[];
  /** Weather of earlier seasons, where birds are brooded and such seasons are named. */
  readonly earlierWeather: readonly WeatherDay[];
};

/** The moment a command runs at. */
export type Now = {
  /** Milliseconds since 1970. */
  readonly instant: number;
  readonly day: Day;
  /** Wall clock in the season's zone, `07:30`. */
  readonly time: string;
};
