/**
 * What the names of a shop's own tasks and of connectors tell of them, in English and Spanish, where the row of the task or
 * the class of the connector does not say it. Common practice, no source.
 */
import { memoByIdentity } from '../../incremental/memo.ts';
import type { Medium } from './fluids.ts';
import type { ConnectorClass } from './classes.ts';

type Row = readonly [task: string, words: RegExp];

/** Built-in tasks that a name sounds like, the most dangerous first. */
const rows: readonly Row[] = [
  ['weld', /^(?:weld\w*|mig|mag|tig|solda\w*)$/],
  ['braze', /^(?:braz\w+|solder\w*|tinning|estan\w*)$/],
  [
    'grind',
    /^(?:grind\w*|linish\w*|deburr\w*|mill|mills|milling|blast\w*|sandblast\w*|esmeril\w*|fresa\w*|desbarb\w*|amolad\w*|granall\w*)$/,
  ],
  [
    'cut',
    /^(?:cut|cuts|cutting|saw|saws|sawing|hacksaw|chisel\w*|nibbl\w*|shear|shears|shearing|plasma|cincel\w*|cortar|corte|serrar)$/,
  ],
  ['drill', /^(?:drill\w*|taladr\w*)$/],
  ['straighten', /^(?:pull|pulls|pulling|straighten\w*|jig|endereza\w*|estira\w*|bancada)$/],
  [
    'bake',
    /^(?:heat|heater|heating|burn|burning|torch|flame|bake|baking|infrared|calentar|secar|horno|soplete|llama)$/,
  ],
  ['wash', /^(?:wash\w*|rinse\w*|rinsing|hose|lavar|lavado|enjuag\w*)$/],
  ['tow', /^(?:tow|tows|towing|tug|winch|remolc\w*|arrastr\w*)$/],
  ['roll', /^(?:push|pushes|pushing|empuj\w*)$/],
  ['jump-start', /^(?:jump|boost)$/],
  ['sand', /^(?:sand|sands|sanding|sander|lijar|lijado)$/],
  ['bond', /^(?:bond|bonds|bonding|glue|glues|glu(?:e)?ing|pegar|pegado|encolar)$/],
];
/** The work of changing a part. */
const changing = String.raw`(?:replac\w*|renew\w*|swap\w*|chang\w*|exchang\w*|cambi\w*|sustitu\w*)`;
/** Parts that hang on high voltage, or hold a gas generator. */
const dangerousParts = String.raw`(?:inverter|(?:drive|traction|hybrid)-motor|(?:electric|e|hv)-compressor|on-?board-charger|obc|dc-?dc(?:-converter)?|junction-box|(?:seat-)?(?:air-?bag|pretensioner)s?|inversor|motor-de-traccion|compresor-electrico|cargador-de-a-bordo|pretensor(?:es)?)`;

/** The same of names as a whole, also where a harmless word stands in them. */
const updating =
  /(?:^|-)(?:(?:software|firmware|ota|over-the-air)-updat\w*|updat\w*-(?:over-the-air|over-air|ota|software|firmware)|flash-(?:ecu|control-units?|software)|actualiza\w*-(?:software|firmware))(?:-|$)/;
const supplying =
  /(?:^|-)(?:(?:re)?connect-(?:the-)?(?:12-?v|minus|negative)(?:-\w+)?|12-?v(?:-battery)?-on|(?:re)?conectar-(?:12-?v|negativo))(?:-|$)/;
const supporting =
  /(?:^|-)(?:memory-(?:saver|keeper)|battery-(?:maintainer|support|tender)|trickle-charg\w*|(?:charge|support|buffer|boost)-(?:the-)?12-?v|mantenedor-de-bateria|cargar-(?:la-)?bateria-(?:de-)?12-?v)(?:-|$)/;
/** The same of names as a whole. */
const phrases: readonly Row[] = [
  ['disconnect', new RegExp(String.raw`(?:^|-)${changing}-(?:\w+-)?${dangerousParts}$`)],
  ['wash', /(?:^|-)(?:steam|pressure|jet)-(?:clean\w*|wash\w*)(?:-|$)/],
  [
    'bond',
    /(?:^|-)(?:fit|set|install|replace|renew|colocar|montar|cambiar)-(?:front-|rear-)?(?:wind-?(?:screen|shield)|glass|back-?light|parabrisas|luneta|luna)$/,
  ],
  ['roll', /(?:^|-)(?:spin|turn)-(?:\w+-)?wheels?(?:-|$)|(?:^|-)girar-ruedas?(?:-|$)/],
  [
    'tow',
    /(?:^|-)(?:load|winch)-(?:on|onto)-(?:\w+-)?(?:truck|trailer|flatbed)(?:-|$)|(?:^|-)cargar-en-grua(?:-|$)/,
  ],
  [
    'power-up',
    /(?:^|-)(?:(?:ignition|key|power|switch|ready)-on|start-(?:engine|vehicle|car|motor|up)|remote-(?:\w+-)?start|(?:climate|heater)-start|precondition\w*|pre-?(?:heat|cool)-(?:cabin|vehicle|car)|wak(?:e|ing)(?:-up)?(?:-(?:vehicle|car|bus|network))?|encender|arrancar|arranque-remoto|preclimatizar|despertar|poner-contacto)(?:-|$)/,
  ],
  [
    'road-test',
    /(?:^|-)(?:(?:test|trial)-(?:drive|run|ride)|(?:drive|road|driving)-(?:test|trial)|dynamic-calibration|prueba-(?:de|en)-(?:carretera|ruta)|calibracion-dinamica)(?:-|$)/,
  ],
  [
    'calibrate',
    /(?:^|-)(?:(?:actuator|output|active)-(?:control-)?tests?|(?:test|run)-actuators?|prueba-de-actuadores)(?:-|$)/,
  ],
  [
    'refuel',
    /^fill-up$|(?:^|-)(?:(?:fill|top)-(?:up-)?(?:the-)?(?:fuel|tank|petrol|diesel|hydrogen)|repostar|llenar-(?:el-)?(?:deposito|tanque))(?:-|$)/,
  ],
  ['braze', /(?:^|-)lead-load\w*(?:-|$)/],
  ['move', /(?:^|-)(?:drive-(?:to|in|into|out|away|onto)|llevar-a)(?:-|$)/],
  [
    'charge-battery',
    /(?:^|-)(?:(?:fast|dc|re)?-?charge-(?:pack|battery|vehicle|car)|fast-charge|dc-charge|cargar-bateria)(?:-|$)/,
  ],
  ['disconnect', /(?:^|-)(?:unplug\w*|disconnect\w*|desconect\w*|desenchuf\w*)(?:-|$)/],
  ['remove', /(?:^|-)(?:remov\w*|unbolt\w*|desmont\w*)(?:-|$)/],
  ['refit', /(?:^|-)(?:refit\w*|remont\w*)(?:-|$)/],
];
/** Words beside which all of them mean something harmless. */
const harmless =
  /^(?:check|inspect|measure|photograph|order|polish|codes?|data|paint|estimate|12-?v|revisar|medir|pulir|pintar)$/;

const wordsOf = (name: string): readonly string[] => name.split('-');

/** The built-in task that the name of a shop's own one sounds like. */
export function soundsLike(name: string): string | undefined {
  if (updating.test(name)) return 'program';
  if (supplying.test(name)) return 'battery-12v-on';
  if (supporting.test(name)) return 'support-12v';
  const words = wordsOf(name);
  if (words.some((word) => harmless.test(word))) return undefined;
  return (phrases.find(([, pattern]) => pattern.test(name)) ??
    rows.find(([, pattern]) => words.some((word) => pattern.test(word))))?.[0];
}

const bridging = /^(?:bridg\w*|jumper\w*|bypass\w*|puente\w*|anula\w*)$/;
/** Whether a name tells that a loop is bridged. */
export const bridgesByName = (name: string): boolean => wordsOf(name).some((word) => bridging.test(word));
/** Whether a name speaks of the interlock loop. */
export const namesInterlock = (name: string): boolean =>
  /(?:^|-)(?:interlock|hvil|enclavamiento)(?:-|$)/.test(name);

const opening =
  /^(?:open\w*|chang\w*|replac\w*|renew\w*|swap\w*|split\w*|strip\w*|dismantl\w*|exchang\w*|repair\w*|clean\w*|abr\w*|cambi\w*|sustitu\w*|despiez\w*|repar\w*|limpia\w*)$/;
const cells =
  /(?:^|-)(?:pack|cells?|celdas?|traction-battery|hv-battery|battery-(?:pack|modules?|cells?|lid|cover|housing)|bateria-de-traccion)(?:-|$)/;
const maybeCells = /(?:^|-)(?:battery|modules?|bateria|modulos?)(?:-|$)/;
const otherBattery = /(?:^|-)(?:12-?v|48-?v|key|remote|aux\w*|starter)(?:-|$)/;

/**
 * Whether a name tells that the traction battery itself is opened.
 * @param isAtBattery the step works in a zone of the battery, so that any battery or module is this one
 */
export const opensBatteryByName = (name: string, isAtBattery: boolean): boolean =>
  wordsOf(name).some((word) => opening.test(word)) &&
  !otherBattery.test(name) &&
  (cells.test(name) || (isAtBattery && maybeCells.test(name)));

interface Named {
  readonly id: string;
  readonly name: string;
  readonly class: ConnectorClass | undefined;
  readonly medium: Medium | undefined;
}

/** Classes of connectors that anybody may handle. */
const harmlessClasses: ReadonlySet<ConnectorClass | undefined> = new Set([
  'low-voltage',
  'sensor',
  'data',
  '48-volt',
]);
const igniters =
  /\b(?:air ?bags?|(?:pre|seat ?belt )tensioners?|squibs?|igniters?|inflators?|bolsas? de aire|pretensor(?:es)?|detonador(?:es)?)\b/;
/** Beside these words it is a part of the airbag system that no current can fire. */
const noIgniter =
  /\b(?:sensors?|switch(?:es)?|lamp|light|indicator|mat|module|unit|ecu|control|monitor|sensor(?:es)?|interruptor|testigo|luz|esterilla|m[oó]dulo|unidad)\b/;
const highVoltage =
  /\b(?:hv|high voltage|orange|traction (?:battery|motor|cable|inverter|plug)|motor phases?|phase cables?|electric (?:a c |ac |air conditioning )?compressor|inverter (?:dc|ac)|dc link|on board charger (?:ac|dc)|charge inlet (?:ac|dc)|compresor el[eé]ctrico|alta tensi[oó]n|alto voltaje|naranja)\b/;
/** Beside these words it is a plug of the low-voltage side. */
const lowSide =
  /\b(?:lv|low|12 ?v|24 ?v|48 ?v|signal|sensors?|control|module|unit|ecu|data|can|bms|lamp|light|fan|pump|coolant|valve|resolver|encoder|lin|switch|relay|temperature|detection|interlock|hvil|lock|latch|baja|se[nñ]al|sensor(?:es)?|control|ventilador|bomba|v[aá]lvula|datos|enclavamiento|unidad|m[oó]dulo)\b/;
const fortyEightVolt = /(?<![\d.,])48 ?v\b/;
/** Beside these words it is a plug that carries a signal, or the 12 V of a converter. */
const no48Volt =
  /\b(?:12 ?v|signal|sensors?|control|module|unit|ecu|data|can|lin|bms|lamp|light|resolver|encoder|switch|relay|temperature|detection|lock|latch|se[nñ]al|sensor(?:es)?|datos|unidad|m[oó]dulo)\b/;
/** What a line holds by its name, the words beside which it does not, and the media that ask for less. */
interface LineRow {
  readonly danger: 'fuel' | 'refrigerant' | 'pressure';
  readonly words: RegExp;
  readonly but: RegExp;
  readonly milder: ReadonlySet<Medium | undefined>;
}
const lineRows: readonly LineRow[] = [
  {
    danger: 'fuel',
    words:
      /\b(?:fuel|petrol|gasoline|diesel|hydrogen|lpg|cng|combustible|gasolina|hidr[oó]geno|gas[oó]leo)\b/,
    but: /\b(?:fuel cell|pila de combustible|cooler|coolant|refrigerante)\b/,
    milder: new Set(['coolant', 'refrigerant', 'other']),
  },
  {
    danger: 'refrigerant',
    // A `refrigerante` is a coolant too.
    words:
      /\b(?:refrigerant|condenser|evaporator|(?:a c|ac|air conditioning) (?:line|pipe|hose)s?|condensador|evaporador|aire acondicionado)\b/,
    but: /\b(?:coolant|water|drain|condensate|heater|washer|agua|desag[uü]e|refrigerante)\b/,
    milder: new Set(['coolant', 'other']),
  },
  {
    danger: 'pressure',
    words:
      /\b(?:brake (?:line|pipe|hose)s?|(?:brake )?calipers?|wheel cylinders?|master cylinder|abs (?:unit|block|lines?)|power steering|air (?:springs?|suspension|struts?)|freno|pinza|suspensi[oó]n neum[aá]tica|direcci[oó]n asistida)\b/,
    but: /\b(?:coolant|cooler|vacuum|vac[ií]o|refrigerante)\b/,
    milder: new Set(['coolant', 'other']),
  },
];

/** What the name of a connector speaks of, where its class or its medium is of something harmless. */
export const dangerByName = memoByIdentity(
  ({
    id,
    name,
    class: kind,
    medium,
  }: Named): 'restraint' | 'high-voltage-power' | '48-volt' | LineRow['danger'] | undefined => {
    const words = `${id} ${name}`.toLowerCase().replaceAll('-', ' ');
    if (kind === 'fluid-line')
      return lineRows.find(
        ({ words: speaks, but, milder }) => milder.has(medium) && speaks.test(words) && !but.test(words),
      )?.danger;
    if (!harmlessClasses.has(kind)) return undefined;
    if (igniters.test(words)) return noIgniter.test(words) ? undefined : 'restraint';
    if (highVoltage.test(words) && !lowSide.test(words)) return 'high-voltage-power';
    return kind !== '48-volt' && fortyEightVolt.test(words) && !no48Volt.test(words) ? '48-volt' : undefined;
  },
);

const lowVoltagePlace =
  /(?<![\d.,])(?:12|24|48) ?v\b|\b(?:low[ -]voltage|lighter socket|obd|jump(?:[ -]start(?:ing)?)? (?:point|post|stud|terminal)s?|fuse ?box|displays?|dash(?:board)?|instrument (?:cluster|panel)|cluster|scan ?tool|borne de arranque|caja de fusibles|pantalla|cuadro de instrumentos|baja tensi[oó]n|bajo voltaje|encendedor)\b/;
const highVoltagePlace =
  /\b(?:hv|high[ -]voltage|inverters?|traction|dc[ -]link|charge inlet|alta tensi[oó]n|alto voltaje|inversor|tracci[oó]n)\b/;
/** Whether the name of a measuring point is one of the 12 V or 48 V net, and of no place with high voltage beside it. */
export const provenElsewhere = (place: string): boolean =>
  lowVoltagePlace.test(place.toLowerCase()) && !highVoltagePlace.test(place.toLowerCase());

const learners = /\b(?:apprentice|trainee|learner|intern|aprendi[zc]\w*|practicante|becari[oa])\b/;
/** Whether the name of a person says that this person still learns the work. */
export const stillLearns = (name: string): boolean => learners.test(name.toLowerCase());
