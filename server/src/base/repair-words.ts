import { plainWords } from './plain-words.ts';

/**
 * Words that tell of repairing a cable, in English and Spanish, in the names of tasks and in notes. Common practice, no
 * source. Of a note nothing is ever read but these and `waiver-words.ts` (document/reuse.ts keeps what rests on them).
 */
const strong = String.raw`splic\w*|solder\w*|crimp\w*|re[- ]?sleev\w*|(?:heat[- ]?)?shrink\w*|patch\w*|repair\w*|mend(?:s|ed|ing)?|empalm\w*|engast\w*|ponch\w*|repar(?:ar|e|ad[oa]|acion)|parche\w*|remend\w*|enfund\w*|termorretr\w*`;
const weak = String.raw`tap(?:e|es|ed|ing)|wrap(?:s|ped|ping)?|encint\w*`;
const cable = String.raw`(?:cables?|leads?|wires?|sleev(?:es?|ing)|conductors?|harness(?:es)?|insulation|cableados?|mazos?|arnes(?:es)?|hilos?|conductores|aislamientos?|fundas?)`;
const between = String.raw`(?:(?:the|an?|any|its|this|that|these|both|damaged|nicked|chafed|scuffed|cut|torn|orange|high[- ]voltage|hv|dc|positive|negative|left|right|front|rear|old|el|la|los|las|un|una|su|del?|tramo|danad[oa]) ){0,5}`;
const been = String.raw`(?: (?:a?naranja(?:s|do)?|de alta tension|de alto voltaje|danad[oa]))*(?: (?:is|are|was|were|gets?|to be|can be|may be|will be|has been|se|es|esta|queda))?`;
/** A cable that is taped or tied out of the way is not repaired. */
const outOfTheWay = String.raw`(?! (?:back|aside|away|to|out|up|clear|ends?|off|aparte|fuera))`;

/** What repairs a cable only beside its name. */
const atCable = String.raw`(?:cut\w*|shorten\w*|extend\w*|lengthen\w*|join\w*|cort(?:ar|ado)|acort\w*|alarg\w*|unir) (?:[a-z]+ ){0,2}(?:cables?|leads?|wires?|harness(?:es)?|arnes(?:es)?)(?! ties?)`;
/** What works on its contacts and latches only beside their names. */
const few = String.raw`(?:[a-z]+ ){0,2}`;
const contacts = String.raw`(?:contacts?|pins?|lugs?|terminals?|blades?|ferrules?|contactos?|pin(?:es)?|terminal(?:es)?|zapatas?)(?! (?:covers?|caps?|boots?|seals?|locks?|guards?|grease|tapas?|tapon(?:es)?|juntas?|seguros?|grasa))`;
const spoilt = String.raw`(?:burn(?:t|ed)|melted|scorched|damaged|cracked|crushed|quemad[oa]s?|danad[oa]s?|derretid[oa]s?|fundid[oa]s?|rot[oa]s?|aplastad[oa]s?|agrietad[oa]s?)`;
const atContacts = [
  String.raw`(?:fil(?:e|es|ed|ing)|emery|sand(?:s|ed|ing)?|grind\w*|scrap\w*|lim(?:ar|ado)|lija(?:r|do)|esmeril\w*|straighten\w*|bend\w*|endereza\w*|doblar|press\w*|fit\w*|chang\w*|replac\w*|renew\w*|cambi\w*|prensa\w*) ${few}${contacts}`,
  String.raw`(?:re ?us\w*|refit\w*|salvag\w*|restor\w*|clean\w*|recuper\w*|rescat\w*|reutiliz\w*|aprovech\w*|limpia\w*) ${few}${spoilt}`,
  String.raw`(?:glu(?:e[ds]?|ing)|epoxy|pega(?:r|do))(?! (?:[a-z]+ )?(?:labels?|stickers?|tags?|etiquetas?))`,
].join('|');
const inName = new RegExp(
  String.raw`\b(?:${strong}|termocontra\w*|${atContacts}|sleev\w*|sold(?:ar|ado)|${weak}|re ?terminat\w*|re ?pin(?:s|ned|ning)?|${atCable})\b`,
);
const inProse = [
  new RegExp(String.raw`\b(?:${strong}|soldar) ${between}${cable}\b`),
  new RegExp(
    String.raw`\b(?:splic\w*|solder\w*|crimp\w*|empalm\w*|engast\w*|ponch\w*|soldar) (?:[a-z]+ ){0,4}(?<!(?:next|close|junto) )(?:on|onto|to|at|en|al) ${between}${cable}\b`,
  ),
  new RegExp(
    String.raw`\b(?:(?:${weak})|(?:poner|dar|pegar) cinta (?:aislante )?(?:al?|en|sobre)) ${between}${cable}\b${outOfTheWay}`,
  ),
  new RegExp(
    String.raw`\b${cable}${been} (?:spliced|soldered|crimped|re-?sleeved|repaired|mended|patched|taped|wrapped|empalm\w+|repar\w+|parche\w+|encint\w+|soldad\w+|ponchad\w+)\b${outOfTheWay}`,
  ),
];
const denied =
  /\b(?:not|never|no|don't|cannot|instead|replac\w*|renew\w*|unless|without|nunca|jamas|prohibid\w*|ni|sin|sustitu\w*|cambi\w*|re?emplaz\w*|salvo)\b/;
const orange = /\b(?:orange|high[- ]voltage|hv|a?naranja(?:s|d[oa]s?)?|alta tension|alto voltaje)\b/;

/** Most notes hold none of these, and are not looked at sentence by sentence. */
const anyStem =
  /splic|sold(?:er|a[rd])|crimp|sleev|shrink|patch|repair|mend|tap[ei]|wrap|empalm|engast|ponch|cinta|repar|parche|enfund|termorretr|encint/i;

/** Whether the name of a task tells of repairing a cable or a connector. */
export const repairsByName = (task: string): boolean => inName.test(task.replaceAll('-', ' '));

/** Whether a text names high voltage. */
export const namesHighVoltage = (text: string): boolean => orange.test(plainWords(text).replaceAll('-', ' '));

/**
 * Whether a sentence of a note has a cable repaired: `orange` if it names high voltage itself, `cable` if it does not.
 * A sentence that forbids it, or has the cable replaced, does not count.
 */
export function repairsByNote(note: string): 'orange' | 'cable' | undefined {
  if (!anyStem.test(note)) return undefined;
  let found: 'cable' | undefined;
  for (const sentence of plainWords(note)
    .replaceAll(/\s+/g, ' ')
    .split(/[.;:!?]/)) {
    if (denied.test(sentence) || !inProse.some((pattern) => pattern.test(sentence))) continue;
    if (orange.test(sentence)) return 'orange';
    found = 'cable';
  }
  return found;
}
