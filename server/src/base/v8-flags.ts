/**
 * Whether this V8 knows `--interrupt-budget`. An unknown flag is not refused but complained about on standard error. Tried
 * with the V8 of Node 20 (11.3), which has it, and of Node 22, 24 and 26 (12.4, 13.6, 14.6), which do not.
 */
export const hasInterruptBudget = (v8: string): boolean => /^11\./.test(v8);

/** The value of that flag where nobody has set it, as `node --v8-options` says. */
export const usualInterruptBudget = 67_584;
