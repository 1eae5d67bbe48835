/** A 32-bit number that tells texts apart, not safely against intent (FNV-1a: Fowler, Noll & Vo, draft-eastlake-fnv). */
export function checksum(text: string, start = 0): number {
  let hash = (2_166_136_261 ^ start) >>> 0;
  for (let i = 0; i < text.length; i++)
    hash = Math.imul(hash ^ text.charCodeAt(i), 16_777_619) >>> 0;
  return hash;
}
