import { bisect } from './statistics/search.ts';

/** A difference in °F as one in °C: no 32 in it. */
export const fahrenheitStepToCelsius = (f: number): number => (f * 5) / 9;
const ZERO_C_IN_K = 273.15;

/**
 * Pressure of saturated water vapour, Pa, over water (over ice below 0 °C), by Hyland & Wexler as
 * in ASHRAE Handbook Fundamentals (2017), ch. 1, eq. 5 and 6. -100 to 200 °C.
 */
export function saturationPressure(celsius: number): number {
  const t = celsius + ZERO_C_IN_K;
  if (celsius < 0) {
    return Math.exp(
      -5.6745359e3 / t +
        6.3925247 -
        9.677843e-3 * t +
        6.2215701e-7 * t ** 2 +
        2.0747825e-9 * t ** 3 -
        9.484024e-13 * t ** 4 +
        4.1635019 * Math.log(t),
    );
  }
  return Math.exp(
    -5.8002206e3 / t +
      1.3914993 -
      4.8640239e-2 * t +
      4.1764768e-5 * t ** 2 -
      1.4452093e-8 * t ** 3 +
      6.5459673 * Math.log(t),
  );
}

/** Standard air pressure, Pa, at an altitude, m: ASHRAE Fundamentals (2017), ch. 1, eq. 3. */
export function standardPressure(altitude_m: number): number {
  return 101325 * (1 - 2.25577e-5 * altitude_m) ** 5.2559;
}

/** Ratio of the molar masses of water and dry air: ASHRAE Fundamentals (2017), ch. 1, eq. 20. */
export const MASS_RATIO = 0.621945;

export type MoistAir = {
  rh_percent: number;
  humidityRatio: number;
  vapourPressure_pa: number;
  dewPoint_c: number | null;
};

/** Kilograms of water to one of dry air that a wet bulb tells of. */
export function humidityRatioFromWetBulb(
  dry_c: number,
  wet_c: number,
  pressure_pa: number,
): number {
  const es = saturationPressure(wet_c);
  const saturated = (MASS_RATIO * es) / (pressure_pa - es);
  return wet_c >= 0
    ? ((2501 - 2.326 * wet_c) * saturated - 1.006 * (dry_c - wet_c)) /
        (2501 + 1.86 * dry_c - 4.186 * wet_c)
    : ((2830 - 0.24 * wet_c) * saturated - 1.006 * (dry_c - wet_c)) /
        (2830 + 1.86 * dry_c - 2.1 * wet_c);
}

/**
 * The air that gives these two readings: humidity ratio from the wet bulb by ASHRAE Fundamentals
 * (2017), ch. 1, eq. 33 (ice: 35), then vapour pressure and relative humidity. Temperatures in °C,
 * pressure in Pa. Throws RangeError when the wet bulb is above the dry, or drier than air can be.
 */
export function airFromWetBulb(dry_c: number, wet_c: number, pressure_pa: number): MoistAir {
  if (wet_c > dry_c) throw new RangeError(`wet bulb ${wet_c} °C above dry bulb ${dry_c} °C`);
  const humidityRatio = humidityRatioFromWetBulb(dry_c, wet_c, pressure_pa);
  if (humidityRatio < 0) {
    throw new RangeError(`wet bulb ${wet_c} °C is too low for a dry bulb of ${dry_c} °C`);
  }
  const vapourPressure_pa = (pressure_pa * humidityRatio) / (MASS_RATIO + humidityRatio);
  return {
    rh_percent: (100 * vapourPressure_pa) / saturationPressure(dry_c),
    humidityRatio,
    vapourPressure_pa,
    dewPoint_c:
      vapourPressure_pa > 0
        ? bisect(
            (t) => saturationPressure(t) - vapourPressure_pa,
            -100,
            Math.max(dry_c, wet_c) + 1e-9,
          )
        : null,
  };
}
