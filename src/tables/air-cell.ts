/** The air cell by the day, drawn to scale: in letters for a terminal, in millimetres as SVG. */
import { airCell, airCellDepth } from '../season/embryo.ts';
import type { Species } from '../season/species.ts';
import { fixed } from './numbers.ts';

export type AirCellMark = {
  readonly day: number;
  /** Mass lost since laying, as a part of it (0 to 1). */
  readonly lost: number;
  /** Depth from the blunt end, as a part of the egg's length (0 to 1). */
  readonly depth: number;
};

/**
 * Where the air cell should end on the days a kind is candled and moved, at the loss aimed at.
 *
 * The loss runs straight from setting to transfer. The cell holds as much as the water that left.
 */
export function airCellMarks(species: Species): AirCellMark[] {
  const transfer = species.transfer_day.value;
  const before = airCell.at_setting_percent.value / 100;
  return [...new Set([...species.candle_days.value, transfer])].map((day) => {
    const lost = before + ((species.weight_loss_percent.value.target / 100) * day) / transfer;
    return { day, lost, depth: airCellDepth(lost) };
  });
}

const ROWS = 21;
/** A letter on a terminal is about twice as high as wide. */
const LETTERS_A_ROW = 2;

/** An egg in letters, blunt end up, with a line for each mark. */
export function airCellLetters(marks: readonly AirCellMark[]): string[] {
  const half = (ROWS * airCell.width_of_length.value * LETTERS_A_ROW) / 2;
  return Array.from({ length: ROWS }, (_, row) => {
    const y = (row + 0.5) / ROWS;
    const reach = Math.max(1, Math.round(half * Math.sqrt(1 - (2 * y - 1) ** 2)));
    const here = marks.filter(({ depth }) => Math.min(ROWS - 1, Math.floor(depth * ROWS)) === row);
    const inside = (here.length === 0 ? ' ' : '-').repeat(2 * reach - 1);
    const outline = row === 0 || row === ROWS - 1 ? '.'.repeat(2 * reach + 1) : `(${inside})`;
    const drawn = `${' '.repeat(Math.round(half) - reach)}${outline}`;
    if (here.length === 0) return drawn;
    const says = here.map((mark) => `day ${mark.day}: ${words(mark)}`).join('; ');
    return `${drawn.padEnd(2 * Math.round(half) + 3)}${says}`;
  });
}

function words({ lost, depth }: AirCellMark): string {
  return `${fixed(100 * depth)} % of its length, ${fixed(100 * lost)} % lost`;
}

/** A page of the guide, in Markdown. */
export function airCellPage(species: Species): string {
  const { low, target, high } = species.weight_loss_percent.value;
  return [
    `# The air cell in the egg: ${species.name}`,
    '',
    `Where it should end when the egg loses ${target} % by day ${species.transfer_day.value} (${low} to ${high} will do), blunt end up:`,
    '',
    '```',
    ...airCellLetters(airCellMarks(species)),
    '```',
    '',
    'Larger than drawn: the air is too dry. Smaller: too damp. Shapes differ from egg to egg: look at many, or weigh them, which is surer.',
    `Worked out: the cell holds as much as the water lost; an egg is taken for an ellipsoid, ${airCell.width_of_length.value} as wide as long, and to have lost ${airCell.at_setting_percent.value} % before it is set.`,
    '`guide air-cell KIND --svg > egg.svg` draws it in millimetres, to hold an egg against.',
    '',
  ].join('\n');
}

/** Room around the egg and for its words, mm. */
const MARGIN = 6;
const WORDS_WIDTH = 76;
/** Lines of words stand so far apart at least, mm. */
const LINE = 5;
const DECIMALS = 1;

/** The same as a picture in millimetres, for an egg in the middle of the kind's range. */
export function airCellSvg(species: Species): string {
  const { low, high } = species.egg_g.value;
  const grams = (low + high) / 2;
  const flat = airCell.width_of_length.value;
  // Ellipsoid of length L, width fL: π/6 f² L³ millilitres, in centimetres.
  const length = 10 * Math.cbrt((6 * grams) / airCell.egg_density.value / (Math.PI * flat * flat));
  const width = length * flat;
  const number = (value: number) => fixed(value, DECIMALS);
  const centre = MARGIN + width / 2;
  const sheet = { width: width + 2 * MARGIN + WORDS_WIDTH, height: length + 2 * MARGIN };
  let last = 0;
  const lines = airCellMarks(species).map((mark) => {
    const y = MARGIN + mark.depth * length;
    const wordsY = Math.max(y, last + LINE);
    last = wordsY;
    const reach = (width / 2) * Math.sqrt(1 - (2 * mark.depth - 1) ** 2);
    return [
      `<path d="M${number(centre - reach)} ${number(y)}H${number(centre + reach)}" stroke="#000" stroke-width=".4"/>`,
      `<path d="M${number(centre + reach)} ${number(y)}L${number(MARGIN + width + 2)} ${number(wordsY)}" stroke="#666" stroke-width=".2"/>`,
      `<text x="${number(MARGIN + width + 3)}" y="${number(wordsY + 1.2)}" font-size="3.6">day ${mark.day}: ${words(mark)}</text>`,
    ].join('\n');
  });
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${number(sheet.width)}mm" height="${number(sheet.height)}mm" viewBox="0 0 ${number(sheet.width)} ${number(sheet.height)}" role="img" font-family="Charter,Cambria,Georgia,serif">`,
    `<title>Air cell of a ${species.name}'s egg of ${grams} g, blunt end up, in millimetres</title>`,
    '<rect width="100%" height="100%" fill="#fff"/>',
    `<ellipse cx="${number(centre)}" cy="${number(MARGIN + length / 2)}" rx="${number(width / 2)}" ry="${number(length / 2)}" fill="none" stroke="#000" stroke-width=".5"/>`,
    ...lines,
    '</svg>',
    '',
  ].join('\n');
}
