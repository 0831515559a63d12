/** The parts that tests use of reference libraries that ship no types of their own. */
declare module 'odex' {
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
}

declare module 'js-quantities' {
  interface Quantity {
    to(unit: string): Quantity;
    mul(other: Quantity): Quantity;
    readonly scalar: number;
  }
  export default function Qty(text: string): Quantity;
}
