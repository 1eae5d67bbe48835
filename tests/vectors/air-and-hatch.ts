import * as z from 'zod';
import * as air from '../../src/judge/psychrometrics.ts';
import { hatchSpread } from '../../src/judge/statistics/hatch-spread.ts';
import { celsius as programCelsius } from '../../src/season/weather.ts';
import { type Adapter, adapter, numbers } from './shared.ts';
import * as textbook from './textbook/air.ts';
import { normalOf, sheppard } from './textbook/normal-fit.ts';

const temperature = {
  dry_c: z.number().optional(),
  wet_c: z.number().optional(),
  dry_f: z.number().optional(),
  wet_f: z.number().optional(),
  pressure_pa: z.number().optional(),
  altitude_m: z.number().optional(),
};

function celsius(c: number | undefined, f: number | undefined): number {
  if (c !== undefined) return c;
  if (f !== undefined) return programCelsius(f, 'F');
  throw new Error('expected a temperature in _c or _f');
}

const pressure = (inputs: {
  pressure_pa?: number | undefined;
  altitude_m?: number | undefined;
}): number => inputs.pressure_pa ?? air.standardPressure(inputs.altitude_m ?? 0);

// The international avoirdupois ounce and the foot are exact; inHg is the conventional one at 0 °C.
const GRAMS_IN_OUNCE = 28.349523125;
const PASCALS_IN_INCH_OF_MERCURY = 3386.389;
const METRES_IN_FOOT = 0.3048;

const conversions: Record<string, (value: number) => number> = {
  f_to_c: (f) => programCelsius(f, 'F'),
  c_to_f: textbook.celsiusToFahrenheit,
  delta_f_to_delta_c: air.fahrenheitStepToCelsius,
  delta_c_to_delta_f: textbook.celsiusStepToFahrenheit,
  g_to_oz: (g) => g / GRAMS_IN_OUNCE,
  oz_to_g: (oz) => oz * GRAMS_IN_OUNCE,
  inhg_to_pa: (inches) => inches * PASCALS_IN_INCH_OF_MERCURY,
  pa_to_inhg: (pa) => pa / PASCALS_IN_INCH_OF_MERCURY,
  ft_to_m: (ft) => ft * METRES_IN_FOOT,
  m_to_ft: (m) => m / METRES_IN_FOOT,
};

/** Moist air, units, and the spread of a hatch. */
export const adapters: Record<string, Adapter> = {
  sat_vp: adapter(
    z.object({ t_c: z.number().optional(), t_f: z.number().optional() }),
    (inputs) => {
      const t = celsius(inputs.t_c, inputs.t_f);
      return { pa_ashrae: air.saturationPressure(t), pa_magnus_wmo: textbook.magnusPressure(t) };
    },
  ),
  std_pressure: adapter(z.object({ altitude_m: z.number() }), ({ altitude_m }) => ({
    pa: air.standardPressure(altitude_m),
  })),
  rh_from_wet_bulb: adapter(z.object(temperature), (inputs) => {
    const dry = celsius(inputs.dry_c, inputs.dry_f);
    const wet = celsius(inputs.wet_c, inputs.wet_f);
    const pa = pressure(inputs);
    const moist = air.airFromWetBulb(dry, wet, pa);
    return {
      pressure_pa: pa,
      rh_pct_ashrae: moist.rh_percent,
      humidity_ratio: moist.humidityRatio,
      vapour_pressure_pa: moist.vapourPressure_pa,
      dew_point_c: moist.dewPoint_c,
      rh_pct_sprung: textbook.humiditySprung(dry, wet, pa),
      rh_pct_wmo_assmann: textbook.humidityAssmann(dry, wet, pa),
    };
  }),
  wet_bulb_from_rh: adapter(z.object({ ...temperature, rh_pct: z.number() }), (inputs) => {
    const wet = textbook.wetBulbFromHumidity(
      celsius(inputs.dry_c, inputs.dry_f),
      inputs.rh_pct,
      pressure(inputs),
    );
    return { wet_bulb_c: wet, wet_bulb_f: textbook.celsiusToFahrenheit(wet) };
  }),
  convert: adapter(z.object({ from_to: z.string(), value: z.number() }), ({ from_to, value }) => {
    const to = conversions[from_to];
    if (!to) throw new Error(`no conversion ${from_to}`);
    return { value: to(value) };
  }),
  hatch_spread: adapter(
    z.object({ start: z.number(), openings: numbers, counts: numbers, takeoff: z.number() }),
    ({ start, openings, counts, takeoff }) => {
      const s = hatchSpread(start, openings, counts, takeoff);
      const cells = openings.map((to, i) => ({
        from: openings[i - 1] ?? start,
        to,
        count: counts[i]!,
      }));
      return (
        s && {
          n: s.n,
          mean_midpoint: s.mean,
          sd_midpoint: s.sd,
          p05: s.p05,
          p25: s.p25,
          p50: s.p50,
          p75: s.p75,
          p95: s.p95,
          window_5_95: s.p95 - s.p05,
          waiting_chick_hours: s.waiting,
          normal_mle: normalOf(cells, s),
          sd_sheppard: sheppard(cells, s.sd),
        }
      );
    },
  ),
};
