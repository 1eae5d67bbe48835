/** Other formulas of moist air, units, and the way back: for values that were computed elsewhere. */
import {
  humidityRatioFromWetBulb,
  MASS_RATIO,
  saturationPressure,
} from '../../../src/judge/psychrometrics.ts';
import { bisect } from '../../../src/judge/statistics/search.ts';

/** °C to °F. */
export const celsiusToFahrenheit = (c: number): number => (c * 9) / 5 + 32;
/** A difference in °C as one in °F. */
export const celsiusStepToFahrenheit = (c: number): number => (c * 9) / 5;

/** Saturation pressure, Pa, by the Magnus form of the WMO guide no. 8: 611.2 exp(17.62t/(243.12+t)). */
export function magnusPressure(celsius: number): number {
  return 611.2 * Math.exp((17.62 * celsius) / (243.12 + celsius));
}

/**
 * Relative humidity, percent, by Sprung's psychrometer formula, e = es(tw) - 6.62e-4 P (t - tw),
 * with Magnus vapour pressures.
 */
export function humiditySprung(dry_c: number, wet_c: number, pressure_pa: number): number {
  const e = magnusPressure(wet_c) - 6.62e-4 * pressure_pa * (dry_c - wet_c);
  return (100 * e) / magnusPressure(dry_c);
}

/** As Sprung's, with the WMO coefficient for an Assmann psychrometer, 6.53e-4 (1 + 0.000944 tw). */
export function humidityAssmann(dry_c: number, wet_c: number, pressure_pa: number): number {
  const e =
    magnusPressure(wet_c) - 6.53e-4 * (1 + 0.000944 * wet_c) * pressure_pa * (dry_c - wet_c);
  return (100 * e) / magnusPressure(dry_c);
}

/**
 * The wet bulb, °C, that a relative humidity, percent, gives at a dry bulb, °C, and pressure, Pa:
 * the inverse of `airFromWetBulb`. Throws RangeError unless 0 <= rh <= 100.
 */
export function wetBulbFromHumidity(
  dry_c: number,
  rh_percent: number,
  pressure_pa: number,
): number {
  if (!(rh_percent >= 0 && rh_percent <= 100)) {
    throw new RangeError(`expected a humidity from 0 to 100 %, found ${rh_percent}`);
  }
  const e = (rh_percent / 100) * saturationPressure(dry_c);
  const wanted = (MASS_RATIO * e) / (pressure_pa - e);
  return bisect(
    (wet) => humidityRatioFromWetBulb(dry_c, wet, pressure_pa) - wanted,
    dry_c - 60,
    dry_c,
  );
}
