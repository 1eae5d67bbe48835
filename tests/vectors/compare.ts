/** How near a number must come: |got - expected| <= max(abs, rel * |expected|). */
export type Tolerance = { abs: number; rel: number };

export type Difference = { path: string; expected: unknown; got: unknown };

/** Lists of places must be equal, whatever the tolerance of the numbers beside them. */
const PLACES = /^signals_/;

function leaf(path: string, expected: unknown, got: unknown, tolerance: Tolerance): Difference[] {
  const fail = [{ path, expected, got: got === undefined ? 'nothing' : got }];
  // A figure that does not exist must be reported as absent, never as a number.
  if (expected === null) return got === null || got === undefined ? [] : fail;
  if (expected === 'Infinity') return got === Number.POSITIVE_INFINITY ? [] : fail;
  if (typeof expected !== 'number') return expected === got ? [] : fail;
  if (typeof got !== 'number' || !Number.isFinite(got)) return fail;
  const allowed = Math.max(tolerance.abs, tolerance.rel * Math.abs(expected));
  return Math.abs(got - expected) <= allowed ? [] : fail;
}

/** Every place where `got` is not `expected`; keys that only `got` has are ignored. */
export function differences(
  expected: unknown,
  got: unknown,
  tolerance: Tolerance,
  path = '',
): Difference[] {
  if (Array.isArray(expected)) {
    if (!Array.isArray(got) || got.length !== expected.length) return [{ path, expected, got }];
    return expected.flatMap((e, i) =>
      differences(e, got[i], tolerance, path === '' ? String(i) : `${path}.${i}`),
    );
  }
  if (expected !== null && typeof expected === 'object') {
    const of = (got !== null && typeof got === 'object' ? got : {}) as Record<string, unknown>;
    return Object.entries(expected).flatMap(([key, e]) =>
      differences(
        e,
        of[key],
        PLACES.test(key) ? { abs: 0, rel: 0 } : tolerance,
        path === '' ? key : `${path}.${key}`,
      ),
    );
  }
  return leaf(path, expected, got, tolerance);
}

/** The value at a dotted path ("ucl.0"), or undefined. */
export function valueAt(value: unknown, path: string): unknown {
  return path
    .split('.')
    .reduce<unknown>(
      (v, key) =>
        v !== null && typeof v === 'object' ? (v as Record<string, unknown>)[key] : undefined,
      value,
    );
}
