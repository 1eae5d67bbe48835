declare module 'datapackage' {
  export type Resource = {
    readonly name: string;
    readonly valid: boolean;
    read(options: { keyed?: boolean; relations?: boolean }): Promise<unknown[]>;
  };
  export class Package {
    static load(path: string): Promise<Package>;
    readonly valid: boolean;
    readonly errors: readonly Error[];
    readonly resources: readonly Resource[];
  }
}
