/** The part that tests use of a reference library that ships no types of its own. */
declare module 'js-quantities' {
  interface Quantity {
    to(unit: string): Quantity;
    mul(other: Quantity): Quantity;
    readonly scalar: number;
  }
  export default function Qty(text: string): Quantity;
}
