/** From the worst to the mildest. */
export const severities = ['error', 'warning', 'information'] as const;

export type Severity = (typeof severities)[number];
