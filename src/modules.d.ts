declare module '*.yaml' {
  const value: unknown;
  export default value;
}
declare module '*.md' {
  const text: string;
  export default text;
}
declare module '*/starter/gitignore' {
  const text: string;
  export default text;
}

declare module '*/starter/gitattributes' {
  const text: string;
  export default text;
}

/** The part of the XML parser that is used; it ships no types. */
declare module 'saxen' {
  export class Parser {
    on(event: 'error', take: (error: Error) => void): this;
    on(
      event: 'openTag',
      take: (name: string, attributesOf: () => Record<string, string>) => void,
    ): this;
    on(event: 'closeTag', take: (name: string) => void): this;
    on(event: 'text', take: (value: string, decode: (text: string) => string) => void): this;
    parse(xml: string): void;
  }
}

/** The part of the library of numbers that is used. */
declare module 'd3-array' {
  /** Round values from start to stop, about so many. */
  export function ticks(start: number, stop: number, count: number): number[];
}
