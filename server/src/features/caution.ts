import { say } from '../language/phrase.ts';

/** The usual caution, once. Hovers, pages and prints that could lead a hand to a live part end with it. */
export const caution = say`Plugward checks a text, not a vehicle. High voltage can kill: only qualified high-voltage technicians may open, measure or reconnect these connectors, and only after the high-voltage system is proven dead. The traction battery itself stays live. The vehicle maker's procedure and local rules always take precedence.`;
