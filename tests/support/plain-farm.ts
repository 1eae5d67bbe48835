// A small farm of two pens, two setters and two hatchers, and a season in it as like or unlike others as asked.
import type { Written } from './season.ts';

export const plainFarm = `format: traybook/1
season: 2027
place: {name: Cold Ash, timezone: Europe/London}
lines: {sussex: {species: chicken}}
pens:
  orchard: {line: sussex, hens: 12, males: 1, joined: 2027-01-10, sires: [Oak]}
  yard: {line: sussex, hens: 12, males: 2, joined: 2027-01-10}
setters:
  cabinet: {trays: 2, tray_holds: {chicken: 60}}
  attic: {trays: 2, tray_holds: {chicken: 60}}
hatchers:
  lower: {holds: {chicken: 200}, one_set_at_a_time: false}
  upper: {holds: {chicken: 200}, one_set_at_a_time: false}
`;
type Way = { clear: number; quit: number; unpipped: number; pipped: number };
/** Of 24 eggs as a season goes: three clear, one quit, three that did not hatch, one pipped. */
export const usual: Way = { clear: 3, quit: 1, unpipped: 3, pipped: 1 };
export const after = (day: string, days: number) =>
  new Date(Date.parse(day) + days * 86_400_000).toISOString().slice(0, 10);
type Place = {
  readonly pen: string;
  readonly setter: string;
  readonly tray: number;
  readonly set: number;
};

/** A set a week of both pens, in either setter by turns; `way` says how each share of it went. */
export function farm(
  sets: number,
  way: (where: Place) => Way & { readonly late?: number },
  more: readonly Written[] = [],
): Written[] {
  const rows: Written[] = [];
  for (let set = 0; set < sets; set += 1) {
    const on = after('2027-02-01', 7 * set);
    const [setter, hatcher] = set % 2 === 0 ? ['cabinet', 'lower'] : ['attic', 'upper'];
    ['orchard', 'yard'].forEach((pen, at) => {
      const name = `S${set + 1}`;
      const {
        clear,
        quit,
        unpipped,
        pipped,
        late = 0,
      } = way({ pen, setter: setter!, tray: at + 1, set });
      const moved = 24 - clear - quit;
      const early = Math.floor((moved - unpipped - pipped) / 2);
      const of = { set: name, pen };
      rows.push(
        ['eggs', after(on, -2), { pen, kept: 24 }],
        ['set', `${on}T08:00`, { ...of, setter: setter!, tray: at + 1, eggs: 24 }],
        ['candling', after(on, 8), { ...of, clear, quit }],
        ['transfer', after(on, 18), { ...of, hatcher: hatcher!, moved }],
        ['hatch', `${after(on, 21 + late)}T08:00`, { ...of, hatched: early }],
        [
          'hatch',
          `${after(on, 22 + late)}T08:00`,
          { ...of, hatched: moved - early - unpipped - pipped, unpipped, pipped, final: 'yes' },
        ],
      );
    });
  }
  return [...rows, ...more].sort((a, b) => (a[1].slice(0, 10) < b[1].slice(0, 10) ? -1 : 1));
}
