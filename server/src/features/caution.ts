import { say } from '../language/phrase.ts';

/** The usual caution, once. Hovers, pages and prints that could lead a hand to a live part end with it. */
export const caution = say`Plugward checks a text, not a vehicle. High voltage can kill: only qualified high-voltage technicians open, measure or close these connectors, after the vehicle is proven dead. The vehicle maker's procedure and local rules go first.`;
