/** The part of `odex` that tests use. It ships TypeScript sources that do not pass strict checking; see tsconfig's `paths`. */
export class Solver {
  constructor(size: number);
  absoluteTolerance: number;
  relativeTolerance: number;
  solve(
    derivative: (x: number, y: number[]) => number[],
    from: number,
    start: number[],
    to: number,
  ): { readonly y: number[] };
}
