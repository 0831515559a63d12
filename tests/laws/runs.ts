const factor = Number(process.env['PLUGWARD_LAW_RUNS'] ?? 1);

/**
 * How often a law is tried: `usual`, times the factor in PLUGWARD_LAW_RUNS. Seeds are fixed, so a run can be repeated;
 * PLUGWARD_LAW_SEED sets another.
 */
export const runs = (usual: number): { numRuns: number; seed: number } => ({
  numRuns: Math.max(1, Math.round(usual * factor)),
  seed: Number(process.env['PLUGWARD_LAW_SEED'] ?? 20_270_210),
});

/** How long a law may take before it counts as stuck. Unit: ms. */
export const patience = 120_000 * Math.max(1, factor);

export const today = '2027-02-10';
