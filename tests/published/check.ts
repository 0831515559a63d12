/** One value that was printed elsewhere, and what Plugward makes of the same question. */
export interface PublishedCheck {
  /** The question, with its unit. */
  readonly what: string;
  /** Where the expected value is printed; says so when it was written down from memory. */
  readonly source: string;
  readonly expected: number;
  readonly got: number;
  /** Largest absolute difference: half the last printed digit, unless the line says why it is wider. */
  readonly tolerance: number;
}
