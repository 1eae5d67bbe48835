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
