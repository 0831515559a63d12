/** The ids of package.json's `contributes.languages`. */
export const languages = [
  'plugward-repair-plan',
  'plugward-shop-procedure',
  'plugward-connector-list',
  'plugward-rate-sheet',
] as const;
