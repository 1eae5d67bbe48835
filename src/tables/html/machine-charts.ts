import type { LossLineOf, Review } from '../../judge/review/review.ts';
import type { Cell, TableColumn } from '../table.ts';
import type { Chart } from './chart.ts';
import { plotPicture, type Series } from './pictures.ts';

const columns = (...headings: string[]): TableColumn[] => headings.map((heading) => ({ heading }));

/** Lines that can be told apart in one picture. */
const MOST_LINES = 6;

/** Water lost by each share on its way to transfer, within the kind's band; one chart a target. */
export function lossCharts(review: Review): Chart[] {
  const kinds = new Map<string, LossLineOf[]>();
  for (const one of review.losses) {
    const key = `${one.transferDay} ${one.target.low} ${one.target.high}`;
    kinds.set(key, [...(kinds.get(key) ?? []), one]);
  }
  return [...kinds.values()].map((losses, index) => lossChart(losses, index));
}

function lossChart(losses: readonly LossLineOf[], index: number): Chart {
  const { transferDay, target } = losses[0]!;
  const few = losses.length <= MOST_LINES;
  const nameOf = (one: LossLineOf): string => `${one.set} ${one.pen}`;
  // A line from setting through what was weighed to transfer; the dots are the weighings' end and
  // the forecast, whose whisker is the prediction interval.
  const pointsOf = (one: LossLineOf): Series['points'] => [
    { x: 0, y: 0 },
    { x: one.loss.lastDay, y: one.loss.lost },
    {
      x: transferDay,
      y: one.loss.forecast,
      low: one.loss.interval?.[0] ?? null,
      high: one.loss.interval?.[1] ?? null,
    },
  ];
  const forecasts = losses.map((one) => one.loss.forecast);
  const outside = losses.filter(
    (one) => one.loss.forecast < target.low || one.loss.forecast > target.high,
  );
  const most = Math.max(
    target.high * 1.3,
    ...forecasts,
    ...losses.map((l) => l.loss.interval?.[1] ?? 0),
  );
  return {
    id: `chart-mass-${index + 1}`,
    title: `Water lost, to transfer on day ${transferDay}`,
    says: `The band is the target, ${target.low} to ${target.high} % of the mass at setting by day ${transferDay}, on a straight line. ${
      outside.length === 0
        ? 'Every share weighed is on the way to end inside it.'
        : `On the way to end outside it: ${outside.map(nameOf).join(', ')}.`
    }${few ? '' : ' Each line is a share; the table names them.'}`,
    picture: plotPicture({
      series: few
        ? losses.map((one) => ({ label: nameOf(one), points: pointsOf(one) }))
        : losses.map((one) => ({ label: '', points: pointsOf(one) })),
      key: few,
      x: { domain: [0, transferDay], label: 'day of incubation' },
      y: { domain: [0, Math.ceil(most)], label: 'mass lost (%)' },
      yPrint: String,
      band: [
        { x: 0, low: 0, high: 0 },
        { x: transferDay, low: target.low, high: target.high },
      ],
      join: 'straight',
    }),
    table: {
      columns: columns(
        'share',
        'last weighed (day)',
        'lost by then (%)',
        'by transfer (%)',
        '95 % range (%)',
      ),
      rows: losses.map((one): Cell[] => [
        nameOf(one),
        Number(one.loss.lastDay.toFixed(1)),
        Number(one.loss.lost.toFixed(1)),
        Number(one.loss.forecast.toFixed(1)),
        one.loss.interval === null
          ? null
          : `${one.loss.interval[0].toFixed(1)} to ${one.loss.interval[1].toFixed(1)}`,
      ]),
    },
  };
}

/** Hours: the axis of hatch times ends at a multiple of it. */
const HALF_DAY = 12;

/** Hours over which the chicks of each set hatched, against the hour expected for their storage. */
export function spreadChart(review: Review): Chart | null {
  const sets = review.timing.sets;
  if (sets.length === 0) return null;
  const rows: Cell[][] = sets.map((one) => [
    one.set,
    one.chicks,
    Math.round(one.expected),
    one.shift === null ? null : Math.round(one.shift),
    one.intervals < 3 ? null : Math.round(one.spread.p90 - one.spread.p10),
    Math.round(one.firstWaited),
  ]);
  const drawn = sets.flatMap((one, index) =>
    one.shift === null
      ? []
      : [
          {
            x: index + 1,
            y: one.shift,
            ...(one.intervals < 3
              ? {}
              : { low: one.spread.p10 - one.expected, high: one.spread.p90 - one.expected }),
          },
        ],
  );
  if (drawn.length === 0) return null;
  const all = drawn.flatMap((p) => [p.y, p.low ?? p.y, p.high ?? p.y]);
  const shut = sets.filter((one) => one.intervals < 3).length;
  return {
    id: 'chart-spread',
    title: 'When they hatched, against the hour expected',
    says: `Each dot is the mean of a set, hours before (below nought) or after the hour its kind and storage let expect; its bar holds the middle eight tenths of the chicks.${
      shut > 0
        ? ` Of ${shut} ${shut === 1 ? 'set' : 'sets'} too few openings found chicks to see the spread, so ${shut === 1 ? 'it has' : 'they have'} no bar.`
        : ''
    }${review.timing.clockUnknown ? ' Some settings or openings have no hour: all may be half a day off.' : ''}`,
    picture: plotPicture({
      series: [{ label: 'set', points: drawn }],
      x: { domain: [0.5, sets.length + 0.5], label: 'set' },
      y: {
        domain: [
          HALF_DAY * Math.floor(Math.min(-24, ...all) / HALF_DAY),
          HALF_DAY * Math.ceil(Math.max(24, ...all) / HALF_DAY),
        ],
        label: 'hours against the hour expected',
      },
      yPrint: (value) => (value > 0 ? `+${value}` : String(value)),
      xMarks: sets.map((one, index) => ({ at: index + 1, label: one.set })),
      join: 'none',
    }),
    table: {
      columns: columns(
        'set',
        'chicks',
        'expected (h)',
        'off by (h)',
        'middle eight tenths over (h)',
        'first waited up to (h)',
      ),
      rows,
    },
  };
}
