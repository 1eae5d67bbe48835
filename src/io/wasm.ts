/** How eagerly V8 compiles WebAssembly again while it runs. */
import { setFlagsFromString } from 'node:v8';

/**
 * V8 compiles WebAssembly quickly at first and again, better, what runs much: for the solver, whose
 * programs mostly take a second or less, the second compiling takes longer than it saves. To be called
 * before the solver is loaded.
 */
export function compileOnce(): void {
  setFlagsFromString('--wasm-tiering-budget=200000000');
}
