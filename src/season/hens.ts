/** Broody hens: setters of one nest that nobody turns, reads or cleans, where the eggs hatch as they lie. */

// What it asks of a season is so little that it names its shape: the season's own types rest on this.
type Nest = { readonly broody: boolean };
type Setters<N extends Nest = Nest> = { readonly setters: ReadonlyMap<string, N> };
type SetEggs = { readonly underHen: boolean; readonly transferredOn: string | null };

/** True for the name of a hen that sits. */
export function isHen({ setters }: Setters, name: string): boolean {
  return setters.get(name)?.broody ?? false;
}

/** The names of the hens that sit. */
export function hensOf({ setters }: Setters): string[] {
  return [...setters].filter(([, one]) => one.broody).map(([name]) => name);
}

/** The setters that are machines: what is planned for, read, filled and paid for. */
export function machineSetters<N extends Nest>({ setters }: Setters<N>): N[] {
  return [...setters.values()].filter((one) => !one.broody);
}

/** The setter meant where none is named: the only machine, else the only hen; null if there are several. */
export function usualSetter(setters: Iterable<readonly [string, Nest]>): string | null {
  const all = [...setters];
  const machines = all.filter(([, one]) => !one.broody);
  const [one, ...others] = machines.length > 0 ? machines : all;
  return one === undefined || others.length > 0 ? null : one[0];
}

/** True while a share lies, or hatched, under a hen: nobody moved it to a hatcher. */
export function isHers(share: SetEggs): boolean {
  return share.underHen && share.transferredOn === null;
}

/** True where eggs hatch in what they were set in: under a hen, or on a farm without a hatcher. */
export function hatchesInPlace(
  season: Setters & { readonly hatchers: ReadonlyMap<string, unknown> },
  eggs: SetEggs | { readonly setter: string },
): boolean {
  if (season.hatchers.size === 0) return true;
  return 'underHen' in eggs ? isHers(eggs) : isHen(season, eggs.setter);
}

/** Where eggs lie, in words: `cabinet tray 1, 2`, or the name of the hen. */
export function nestText(season: Setters, setter: string, trays: readonly number[]): string {
  return isHen(season, setter) ? setter : `${setter} tray ${trays.join(', ')}`;
}
