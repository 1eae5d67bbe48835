// A season of five kinds and lines with brooders, and broods in it, for tests of the core.
import type { Written } from './season.ts';

export const brooded = `format: traybook/1
season: 2027
place: {name: Cold Ash, timezone: Europe/London}
lines:
  sussex: {species: chicken, class: dual-purpose, down: yellow}
  wyandotte: {species: chicken, class: dual-purpose, down: yellow}
  plain: {species: chicken}
  norfolk: {species: turkey}
  wild: {species: bobwhite}
pens:
  orchard: {line: sussex, hens: 9, males: 1, joined: 2027-01-10}
  yard: {line: wyandotte, hens: 9, males: 1, joined: 2027-01-10}
  lane: {line: plain, hens: 9, males: 1, joined: 2027-01-10}
  wood: {line: norfolk, hens: 9, males: 1, joined: 2027-01-10}
  heath: {line: wild, hens: 9, males: 1, joined: 2027-01-10}
setters:
  cabinet: {trays: 5, tray_holds: {chicken: 90, turkey: 90, bobwhite: 90}}
hatchers:
  lower: {holds: {chicken: 900, turkey: 900, bobwhite: 900}, one_set_at_a_time: false}
brooders:
  barn: {area: 40, heat: {kind: lamp, count: 4}, feeder_cm: 900, drinker_cm: 900}
  hoop: {area: 40, housing: hoop, heat: {kind: plate, places: 90}}
runs:
  grass: {area: 900}
`;

/** Chicks of a pen, hatched on a day in a number, placed in a brooder on the same day. */
export function brood(
  group: string,
  pen: string,
  hatched: string,
  chicks: number,
  brooder = 'barn',
  mark = '',
): Written[] {
  const set = `S${group}`;
  return [
    ['eggs', '2027-02-01', { pen, laid: 40, kept: 40 }],
    ['set', '2027-02-01', { set, pen, setter: 'cabinet', eggs: 40 }],
    ['transfer', '2027-02-19', { set, pen, hatcher: 'lower', moved: 40 }],
    ['hatch', hatched, { set, pen, hatched: chicks, unpipped: 40 - chicks, final: 'yes' }],
    ['group', hatched, { group, set, pen, brooder, chicks, mark }],
  ];
}
