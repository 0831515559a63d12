/**
 * What the names of a shop's own tasks and of connectors tell of them, in English and Spanish, where the row of the task or
 * the class of the connector does not say it. Common practice, no source.
 */
import { oneSlipFrom } from '../../base/nearest.ts';
import { plainWords } from '../../base/plain-words.ts';
import { WordTable } from '../../base/word-table.ts';
import { memoByIdentity } from '../../incremental/memo.ts';
import type { Medium } from './fluids.ts';
import type { ConnectorClass } from './classes.ts';
import { builtInTasks } from './tasks.ts';

type Row = readonly [task: string, words: RegExp];

/** Built-in tasks that a name sounds like, the most dangerous first. */
const rows: readonly Row[] = [
  ['weld', /^(?:weld\w*|mig|mag|tig|solda\w*|puntea\w*)$/],
  ['braze', /^(?:braz\w+|solder\w*|tinning|estan(?!q|te)\w*)$/],
  [
    'grind',
    /^(?:grind\w*|linish\w*|deburr\w*|mill|mills|milling|blast\w*|sandblast\w*|esmeril\w*|fresa\w*|desbarb\w*|desbast\w*|amola\w*|radial|granall\w*|chorre\w*)$/,
  ],
  [
    'cut',
    /^(?:cut|cuts|cutting|saw|saws|sawing|hacksaw|chisel\w*|nibbl\w*|shear|shears|shearing|plasma|cincel\w*|(?:re)?cort(?:ar|ado)|serrar|sierra|segueta|cizalla\w*|secciona\w*)$/,
  ],
  ['drill', /^(?:drill\w*|taladr\w*|barren\w*|perfora\w*|despunt\w*)$/],
  [
    'straighten',
    /^(?:pull|pulls|pulling|straighten\w*|jig|endereza\w*|estira\w*|bancada|jal(?:ar|ado|on\w*)|hojalate\w*|desaboll\w*|paintless|pdr|sacabollos)$/,
  ],
  [
    'bake',
    /^(?:heat|heater|heating|burn|burning|torch|flame|bake|baking|infrared|calenta(?:r|do)|hornea\w*|horno|soplete|llama|infrarroj\w*)$/,
  ],
  ['wash', /^(?:wash\w*|rinse\w*|rinsing|lava(?:r|d[ao])|enjuag\w*|hidro(?:lava|limpia)\w*|manguere\w*)$/],
  ['tow', /^(?:towing|tug|remolc\w*|arrastr\w*|cabrestante|malacate)$/],
  ['roll', /^empuj\w*$/],
  ['jump-start', /^(?:jump|boost|arrancador)$/],
  ['paint', /^(?:painting|(?:re)?spray\w*|lacquer\w*|(?:re)?pinta(?:r|do)|barniz\w*|laca(?:r|do)|imprimar)$/],
  ['sand', /^(?:sand|sands|sanding|sander|lija\w*)$/],
  ['bond', /^(?:bond|bonds|bonding|glue|glues|glu(?:e)?ing|pega(?:r|do)|encola(?:r|do))$/],
];
/** Spanish articles and the like between a verb and its noun, in any number. */
const the = String.raw`(?:(?:de|del|el|la|los|las|al?|en|con|sobre)-)*`;
/** The work of changing a part. */
const changing = String.raw`(?:replac\w*|renew\w*|swap\w*|chang\w*|exchang\w*|cambi\w*|sustitu\w*|re?emplaz\w*)`;
const tractionBattery = String.raw`bateria-${the}(?:traccion|alta|alto|hv)`;
/** Parts that hang on high voltage, or hold a gas generator. */
const dangerousParts = String.raw`(?:inverter|(?:drive|traction|hybrid|hub|wheel)-motors?|e-?axle|drive-unit|power-electronics|(?:ptc|coolant|cabin|battery|hv)-heater|heat-pump|charg(?:e|ing)-(?:port|inlet|socket)|fuel-cell(?:-stack)?|(?:belt-)?starter-generator|(?:super|ultra)-?capacitor|electric-turbo|(?:electric|e|hv)-compressor|on-?board-charger|obc|dc-?dc(?:-converter)?|junction-box|contactors?|bms|busbars?|(?:hv|high-voltage|pyro\w*)-(?:fuse|switch|disconnect)s?|(?:seat-)?(?:air-?bag|pretensioner)s?|seat-?belts?|(?:bonnet|hood)-(?:lifter|actuator)s?|roll-?over-bars?|(?:clock-?spring|steering-column)s?)`;
/** The same in Spanish, where more words follow. */
const partesPeligrosas = String.raw`(?:inversor|motor-${the}(?:electrico|traccion|trasero|delantero)|compresor-electrico|cargador-(?:de-a-bordo|embarcado)|convertidor-dc|caja-de-conexiones|(?:toma|puerto)-de-carga|air-?bags?|bolsas?-de-aire|pretensor(?:es)?|cinturon(?:es)?|(?:resorte|muelle|cinta)-(?:espiral|${the}volante)|anillo-colector|columna-${the}direccion|cables?-${the}(?:anaranjados?|naranjas?|alta|alto))`;
/** Trim and panels, behind which airbags, plugs and cables sit. */
const trimInSpanish = String.raw`(?:asientos?|butacas?|paragolpes|parachoques|defensas?|fascias?|guarnecidos?|tapizados?|vestiduras?|molduras?|tablero|salpicadero|consola|volante|puertas?|aletas?|salpicaderas?|capo|cofre|faros?|techo)`;
const trimInEnglish = String.raw`(?:seats?|steering-wheel|dash(?:board)?|instrument-panel|headlin(?:er|ing)|(?:centre-|center-)?console|(?:door|pillar|roof|boot|trunk)-(?:cards?|trims?|panels?|linings?)|bumpers?|interior|carpets?|trim)`;
const takingOff = String.raw`(?:${changing}|dismantl\w*|strip\w*|tak(?:e|ing)-(?:out|off|down)|(?:lift|pull)-out)`;
const airCon = String.raw`(?:ac|a-c|air-?con\w*|air-conditioning|refrigerant)`;
/** Lines and parts that let out fuel, brake fluid, refrigerant or hot coolant when they are changed. */
const fullParts = String.raw`(?:brake-(?:hose|line|pipe|caliper|cylinder|booster)s?|(?:master|wheel)-cylinders?|${airCon}-(?:hose|line|pipe|compressor|condenser)s?|condenser|evaporator|(?:fuel|petrol|diesel|gas|hydrogen|h2|cng|lpg)-(?:pump|line|hose|pipe|tank|cylinder|valve|regulator|filter|rail)s?|air-(?:spring|strut)s?|coolant-(?:pump|hose|pipe)s?|radiator|heater-core)`;
const partesLlenas = String.raw`(?:latiguillos?|tubos?|tuberias?|mangueras?|pinzas?-${the}frenos?|bomba-${the}(?:combustible|gasolina|frenos?|agua)|condensador|evaporador|radiador|filtro-${the}(?:combustible|gasolina|diesel))`;
/** What looks along the road, and must be calibrated where it was changed. */
const looking = String.raw`(?:radars?|cameras?|lidars?)`;
/** Parts of the axles, which carry drive units, cables and lines, or set the wheels. */
const axleParts = String.raw`(?:sub-?frames?|cradles?|axles?|axle-beams?|steering-(?:racks?|gears?|columns?)|(?:control|trailing|suspension)-arms?|wishbones?|struts?|shock-absorbers?|knuckles?)`;
const partesDelEje = String.raw`(?:subchasis|bastidor-auxiliar|cuna|puente|eje|cremallera|columna-${the}direccion|amortiguador(?:es)?|trapecios?|manguetas?)(?:-${the}(?:motor|direccion|delanter[oa]|traser[oa]|suspension))?`;
const fuel = String.raw`(?:gasolina|combustible|diesel|gasoil|hidrogeno|(?:deposito|tanque)(?!-${the}(?:agua|lava|limpia|expansion|anticongelante|refrigerante)))`;
const vehicle = '(?:coche|carro(?!-de-herramientas)|auto|vehiculo|camion|unidad(?!-de-(?:control|obra)))';
const phrase = (task: string, words: string): Row => [task, new RegExp(`(?:^|-)(?:${words})(?:-|$)`)];

/** The same of names as a whole, also where a harmless word stands in them. */
const updating =
  /(?:^|-)(?:ota$|(?:software|firmware|ota|over-the-air|maps?|navigation)-updat\w*|updat\w*-(?:the-)?(?:over-the-air|over-air|ota|software|firmware|maps?|modules?|ecus?|control-units?)|flash-(?:the-)?(?:ecus?|modules?|control-units?|software)|actualiza\w*-(?:del?-|el-|los-)?(?:software|firmware|mapas?|modulos?|remota)|reprogram\w*|crash-reset|(?:clear|reset)-crash)(?:-|$)/;
const supplying = new RegExp(
  String.raw`(?:^|-)(?:(?:re)?connect-(?:the-)?(?:(?:12-?v|minus|negative)(?:-\w+)?|(?:(?:aux\w*|second|starter|leisure|trailer)-)?battery(?=$|-(?:terminals?|leads?|cables?)))|(?:12-?v(?:-battery)?|(?:aux\w*|leisure|trailer)-battery)-on|(?:re)?conectar-${the}(?!${tractionBattery}|bateria-${the}48)(?:12-?v|(?:borne-)?negativo|bateria|acumulador))(?:-|$)`,
);
const supporting = new RegExp(
  String.raw`(?:^|-)(?:memory-(?:saver|keeper)|battery-(?:maintainer|support|tender|conditioner)|(?:leave|connect|fit|hang|clamp)-(?:on-)?(?:the-)?maintainer|maintainer-(?:on|stays)|clamp-(?:on-)?(?:the-)?charger|trickle-charg\w*|(?:charge|support|buffer|boost)-(?:the-)?12-?v|shore-power|power-bank|mantenedor|fuente-de-alimentacion|alimentar-${the}12-?v|(?:poner|conectar|dejar)-${the}cargador-${the}(?:12-?v|bateria-${the}(?:12-?v|auxiliar))|cargar-${the}(?:acumulador|bateria-${the}(?:12-?v|auxiliar)))(?:-|$)`,
);
const insulating =
  /(?:^|-)(?:megger\w*|megado|megohm\w*|hi-?pot|iso-test|insulation-(?:resistance-)?(?:test|check|measur)\w*|(?:test|check|measur)\w*-(?:(?:the|hv|cable|pack|motor)-)*insulation|(?:prueba|medir|medicion|comprobar|revisar|verificar)-(?:del?-|el-)*aislamiento)(?:-|$)/;
/** Parts of the vehicle's own locks, and what carries them. */
const ofALock = String.raw`(?:nut|bolt|striker|cover|pin|plate|ring|washer|tab|clip|screw|carrier|pillar|panel|cylinder|barrel|actuator|set|button|knob|wire|cable)s?`;
/** What else in a shop has a padlock, and what else in a vehicle is locked. */
const elsewhere = String.raw`-(?:of|on|at|from)-(?:the-)?(?:\w+-)?(?:gate|locker|(?<!battery-)store|yard|shed|(?<!(?:main|electric\w*|power)-)cabinet|cupboard|tool-?box|cage|gas-cage)`;
const enOtraParte = String.raw`-${the}(?:diferencial|volante|direccion|columna|ruedas?|puertas?|asientos?|cinturon|ninos|almacen|patio|porton|bodega|casillero|armario|taquilla|reja|jaula|cofre|capo)`;
/** Boxes of high voltage, behind whose lids lie bare bars and capacitors. */
const liveBoxes = String.raw`(?:inverter|power-electronics|obc|(?:on-?board-)?charger|dc-?dc(?:-converter)?|junction-box)`;
const cajasVivas = String.raw`(?:inversor|cargador-(?:de-a-bordo|embarcado)|convertidor-dc|caja-de-conexiones)`;
/** Hands, eyes or tips of a meter in an open box or at what is bare in it, whatever for. */
const reaching = new RegExp(
  String.raw`(?:^|-)(?:(?:inside|(?:look|peek|peer|reach|feel|work|pok|prob|measur|hands?)\w*-(?:in|into))-(?:of-)?(?:the-)?(?:\w+-)?${liveBoxes}|(?:touch|feel|pok|prob)\w*-(?:at-|on-)?(?:the-)?(?:\w+-)?(?:bus-?bars?|contactors?)|${liveBoxes}-inside|(?:dentro|adentro|manos?|asom\w*)-${the}${cajasVivas}|${cajasVivas}-por-dentro|(?:tocar|palpar)-${the}(?:barras?(?!-${the}(?:techo|impacto|puertas?|estabilizadora|torsion|proteccion))|contactor(?:es)?))(?:-|$)`,
);
/** The same of names as a whole. */
const phrases: readonly Row[] = [
  phrase(
    'lock-out-off',
    String.raw`(?!take-(?:the-)?lock-apart)(?:remove|take|cut|break|saw|force)-(?:off-)?(?:the-)?(?:pad)?locks?(?!-${ofALock}|${elsewhere})|(?:bolt-)?cut\w*-(?:off-)?(?:the-)?padlocks?(?!${elsewhere})|bolt-cut\w*-(?:off-)?(?:the-)?locks?(?!${elsewhere})|open-(?:the-)?(?:group-)?(?:padlocks?(?!${elsewhere})|lock-?box)|lock-off(?!-(?:the-)?(?:doors?|room|booth))|(?:quitar|retirar|sacar|cortar|romper|forzar)-${the}(?:candados?(?!${enOtraParte})|bloqueo(?!${enOtraParte}))|abrir-${the}(?:candados?(?!${enOtraParte})|caja-${the}(?:bloqueo|candados|consignacion))`,
  ),
  phrase(
    'reconnect',
    `plug-back|(?:refit|insert)-(?:the-)?(?:service-(?:plug|disconnect)|msd)|reconnect-(?:the-)?hv|close-(?:the-)?(?:service-)?disconnect|volver-a-(?:conectar|enchufar)|(?:cerrar|meter|poner|enchufar)-${the}(?:seccionador|enchufe|conector)`,
  ),
  ['disconnect', new RegExp(String.raw`(?:^|-)${changing}-(?:(?!sensor)\w+-)?${dangerousParts}$`)],
  phrase('disconnect', String.raw`${changing}-(?:\w+-)?${fullParts}|${changing}-${the}${partesLlenas}`),
  phrase(
    'bleed',
    String.raw`bleed\w*-(?:the-)?(?:\w+-)?(?:brakes?|clutch)|brake-bleed\w*|(?:top-up|fill|flush|change)-(?:the-)?brake-fluid|(?:sangrar|purgar)-${the}frenos?|cambi\w+-${the}liquido-${the}frenos?`,
  ),
  phrase(
    'fill-refrigerant',
    String.raw`re-?gas\w*|(?:re-?)?(?:charg|fill)\w*-(?:the-)?${airCon}|${airCon}-(?:re-?)?(?:charg|gas|fill)\w*|(?:re)?carga\w*-${the}(?:aire|clima|gas-refrigerante)`,
  ),
  phrase(
    'recover-refrigerant',
    String.raw`(?:evacuat|recover|drain|empty|vent)\w*-(?:the-)?${airCon}|de-?gas\w*|(?:evacuar|recuperar|vaciar|sacar)-${the}(?:aire|clima|gas-refrigerante)`,
  ),
  phrase('disconnect', `${changing}-${the}${partesPeligrosas}`),
  [
    'disconnect',
    new RegExp(
      String.raw`(?:^|-)(?:(?:open\w*|uncover\w*|(?:lift|remov\w*|tak\w*)-(?:the-)?(?:lid|cover)-(?:of|off|from))-(?:up-)?(?:the-)?(?:\w+-)?${liveBoxes}|(?:abrir|destapar|quitar-${the}tapa)-${the}${cajasVivas})$`,
    ),
  ],
  [
    'disconnect',
    new RegExp(
      String.raw`(?:^|-)(?:${changing}-(?:\w+-)*${looking}|${changing}-${the}(?:radar|lidar|camara)(?:-${the}(?:frontal|delanter[oa]|traser[oa]|marcha-atras))?)$`,
    ),
  ],
  [
    'remove',
    new RegExp(
      String.raw`(?:^|-)(?:(?:${changing}|drop|lower)-(?:\w+-)*${axleParts}|(?:${changing}|bajar)-${the}${partesDelEje})$`,
    ),
  ],
  phrase(
    'lower-battery',
    `(?:drop|lower)-(?:the-)?(?:\\w+-)?(?:battery|pack)|bajar-${the}bateria|(?:desmontar|quitar|sacar)-${the}${tractionBattery}`,
  ),
  phrase(
    'wash',
    `(?:steam|pressure|jet)-(?:clean\\w*|wash\\w*)|hos(?:e|ing)-(?:down|off|out)|limpi\\w+-${the}(?:presion|vapor|manguera)|submer\\w*|immers\\w*|dunk\\w*|water-bath|sumerg\\w*`,
  ),
  phrase(
    'bake',
    `seca(?:r|do)-${the}(?:cabina|pintura|barniz|laca|imprimacion|masilla|lamparas?)|drying-lamps?|pistola-${the}calor`,
  ),
  phrase('cut', `corte(?!-(?:de-)?(?:corriente|energia))`),
  [
    'bond',
    /(?:^|-)(?:(?:fit|set|install|replace|renew)-(?:front-|rear-)?(?:wind-?(?:screen|shield)|glass|back-?light)|(?:colocar|montar|instalar|poner|cambi\w+|sustitu\w+|re?emplaz\w+)-(?:del?-|el-|la-)*(?:parabrisas|medallon|luneta|luna|cristal)(?:-(?:traser[oa]|delanter[oa]|lateral|fij[oa]))?)$/,
  ],
  // A motor with magnets generates voltage as soon as its rotor turns.
  phrase(
    'roll',
    String.raw`push(?:es|ing)?(?!-(?:\w+-)*(?:clips?|plugs?|pins?|pistons?|dents?|seats?|buttons?|fit|grommets?|talk)(?:-(?:in|home|back))?$)|(?:spin|turn)-(?:\w+-)?(?:wheels?|rotor|motor|(?:drive|half|prop)-?shafts?|hubs?)|girar-${the}(?:ruedas?|llantas?|rotor|motor|semiejes?)|mover-a-mano`,
  ),
  phrase(
    'roller-test',
    String.raw`(?:brake|chassis|hub)-(?:dyno\w*|rollers?)|dyno|rolling-road|banco-${the}(?:rodillos|potencia)|frenometro`,
  ),
  phrase(
    'run-engine',
    `(?:idle|idling|run|running|rev|crank|warm(?:-up)?)-(?:the-)?(?:engine|generator|range-extender)|start-(?:the-)?(?:generator|range-extender)|turn-crankshaft|compression-test|motor-${the}ralenti|prueba-de-compresion|girar-${the}ciguenal`,
  ),
  phrase(
    'tow',
    String.raw`(?:tows?|winch)(?!-(?:eyes?|hooks?|bars?|balls?|hitch|loops?|rope|covers?|brackets?|couplings?)(?!-(?:to|on|onto|into)(?:-|$))(?:-|$))|(?:load|winch)-(?:on|onto)-(?:\w+-)?(?:truck|trailer|flatbed)|(?:cargar|subir|jalar|llevar)-(?:${the}${vehicle}-)?${the}(?:grua|plataforma)`,
  ),
  phrase(
    'jump-start',
    `(?:with|using)-(?:a-)?booster|con-${the}booster|pasar-corriente|conectar-${the}pinzas|puente\\w*-${the}bateria|arran(?:car|que)-con-(?:pinzas|cables)`,
  ),
  phrase(
    'power-up',
    `(?:ignition|key|ready|hv)-on(?!-(?:the-)?hook)|(?:power|switch)-on(?!-(?:the-)?(?:\\w+-)?(?:lamps?|booth|oven|extract\\w*|ventilation|vacuum|dryer|welder|hook|board)(?:-|$))|(?:turn|twist)-(?:the-)?key|key-turn|(?:press|push|tap|hit)-(?:the-)?(?:start|power|ready)-?button|(?:girar|dar)-${the}llave|(?:pulsar|apretar|oprimir)-${the}boton-${the}(?:arranque|encendido)|re-?energi[sz]e|close-contactors|start-(?:engine|vehicle|car|motor|up)|(?:remote|key-?fob|fob)-(?:\\w+-)?start|(?:departure|pre-?heat\\w*|climate|heater|heating)-timer|timer-(?:pre-?heat\\w*|climate)|unlock-(?:the-)?(?:vehicle|car)|press-start|(?:set-to|set|go-to|leave(?:-in)?)-ready(?:-mode)?$|(?:scheduled?|set)-departure\w*|auto-?start|sentry-mode|leave-(?:the-)?key-in-(?:the-)?(?:vehicle|car)|ready-mode|dc-?dc-on|(?:re)?connect-(?:the-)?48-?v|48-?v(?:-battery)?-on|(?:re)?conectar-${the}(?:bateria-${the})?48-?v|(?:programar|temporizador|temporizar)-${the}(?:clima\\w*|calefaccion|salida)|abrir-con-${the}(?:mando|control)|(?:climate|heater)-(?:start|on)|app-(?:pre-?heat|pre-?cool|start|climate|unlock)|(?:by|with|via|from)-(?:the-)?(?:app|phone)|con-${the}(?:app|telefono|movil|celular)|(?:warm|heat|cool)-(?:up-)?(?:the-)?(?:cabin|vehicle|car)|(?:calentar|enfriar)-${the}(?:habitaculo|${vehicle})|(?:remote|keyless)-(?:unlock|entry|climate)|open-(?:\\w+-)?with-key|pre-?condition\\w*|^(?:\\w+-)?pre-?(?:heat|cool)$|pre-?(?:heat|cool)-(?:the-)?(?:cabin|vehicle|car|battery|pack)|^precalentar(?:-${the}(?:habitaculo|cabina|${vehicle}))?$|salida-programada|arranque-automatico|v2[lghx]|vehicle-to-(?:load|grid|home)|(?:force|bypass|bridge|jumper|override)-(?:the-)?(?:\\w+-)?contactors?|wak(?:e|ing)(?:-up)?(?:-(?:vehicle|car|bus|network))?|(?:encender|prender)(?!-${the}(?:luz|lamparas?|cabina|horno|extractor(?:es)?|aspirador\\w*|ventilacion|secador\\w*|infrarrojos?|soldador\\w*|alarma|focos?|reflector(?:es)?)(?:-|$))|arrancar|arranque-remoto|preclimatizar|despertar|(?:poner|dar|meter)-(?:el-)?contacto|abrir-${the}${vehicle}|abrir-(?:el-)?switch|abrir-con-${the}llave|desbloqueo-remoto|(?:poner|puesta)-en-(?:marcha|tension)|energizar`,
  ),
  phrase(
    'road-test',
    `(?:test|trial)-(?:drive|run|ride)|(?:drive|road|driving)-(?:test|trial)|dynamic-calibration|(?:prueba|probar)-(?:de|en)-(?:carretera|ruta|calle|manejo)|prueba-dinamica|vuelta-de-prueba|dar-una-vuelta|calibracion-dinamica`,
  ),
  phrase(
    'calibrate',
    `(?:actuator|output|active)-(?:control-)?tests?|(?:test|run)-actuators?|(?:prueba|test|activar)-(?:de-)?actuadores`,
  ),
  // Fans, wipers, windows and tailgates move by themselves, with hands in them.
  phrase(
    'test-power',
    String.raw`(?:function(?:al)?|fan|wiper|window|sunroof|tailgate)-tests?|(?:test|run|try|teach(?:-in)?|learn|initiali[sz]e|reset|cycle)-(?:the-)?(?:(?:radiator|cooling|engine|electric|power|front|rear|door)-)?(?:fans?|wipers?|windows?|sunroof|tailgate|liftgate|soft-top)(?:-(?:motors?|lift|operation|limits?))?$|prueba-(?:funcional|${the}funcionamiento)|probar-${the}(?:funciones|funcionamiento)|(?:probar|inicializar|accionar)-${the}(?:(?:electro)?ventilador(?:es)?|limpia\w*|elevalunas|cristales|ventan(?:as|illas)|vidrios|techo-solar|quemacocos|porton|cajuela)(?:-electric[oa]s?)?$`,
  ),
  [
    'refuel',
    new RegExp(
      String.raw`^fill-up$|(?:^|-)(?:(?:fill|top)-(?:up-)?(?:the-)?(?:fuel|tank|petrol|diesel|hydrogen)|repostar|(?:llena\w+|echar|(?:re)?cargar)-${the}${fuel})(?:-|$)`,
    ),
  ],
  phrase(
    'defuel',
    `(?:drain|empty|siphon|suck-out|let-out|release|vent|flare|blow-?off|blow(?:-out)?)-(?:the-)?(?:fuel(?!-(?:flap|door|cap))|tank|petrol|diesel|gas-tank|hydrogen|h2|cng|lpg|natural-gas)(?!-(?:straps?|bolts?|covers?|caps?|brackets?))|(?:vacia\\w+|drena\\w+|vente\\w+|solt\\w+|liber\\w+|chup\\w+|extra\\w+|aspir\\w+|sopl\\w+|sacar)-${the}${fuel}`,
  ),
  phrase('braze', String.raw`lead-load\w*`),
  phrase(
    'paint',
    String.raw`under-?(?:coat|seal)\w*|(?:inject|cavity)-wax\w*|wax-inject\w*|(?:inyectar|aplicar)-${the}(?:cera|antigravilla)`,
  ),
  phrase(
    'move',
    `bring-(?:(?:the-)?(?:vehicle|car)-)?(?:out|in)side(?!-(?:mirrors?|handles?|lamps?))|drive-(?:to|in|into|out|away|onto)(?!-(?:\\w+-)?(?:screws?|pins?|rivets?|bolts?|nails?|clips?|bush\\w*|dowels?)(?:-|$))|(?:re-?park|park|move)-(?:the-)?(?:vehicle|car|outside(?!-(?:mirrors?|handles?|sign))|inside(?!-(?:mirrors?|handles?)))|llevar-al?(?!-(?:la-)?(?:perito|asegurador\\w*|oficina|archivo|almacen|bodega|basura|reciclaje|tapiceria|correo))|mover-${the}${vehicle}|(?:meter|pasar|sacar)-(?:${the}${vehicle}-)?${the}(?:cabina|taller|patio)|estacionar|aparcar`,
  ),
  phrase(
    'charge-battery',
    `(?:fast|dc|re)?-?charge-(?:pack|battery|vehicle|car)|top-up-(?:the-)?(?:pack|battery)|fast-charge|dc-charge|(?:try|test)-(?:the-)?(?:charger|charging)|(?:connect|plug-in|try|test)-(?:the-)?wall-?box|probar-${the}(?:carga|cargador)|(?:schedul\\w*|start|overnight|night)-charg\\w*|charg\\w*-overnight|plug-in(?:-(?:the-)?(?:charger|vehicle|car)|$)|(?:put|leave|hang|keep|stay)-(?:the-)?(?:(?:car|vehicle|pack|battery|it)-)?on-(?:the-)?charg(?:e|er)|(?:leave|keep|stay|left)-(?:\\w+-)?plugged(?:-in)?|leave-(?:the-)?charg(?:er|e-cable|ing-cable)|charg(?:e|ing)-cable-(?:in|on|plugged)|(?:connect|insert|plug|plug-in|hook-up)-(?:the-)?charg(?:e|ing)-(?:cable|lead|gun)|hook-up-(?:the-)?charger|dejar-(?:${the}${vehicle}-)?(?:enchufad[oa]|conectad[oa]-${the}cargador|cargando|en-carga|el-cargador)|(?:poner|meter)-(?:${the}${vehicle}-)?(?:en|a)-(?:la-)?carga(?:r)?|poner-la-carga|(?:conectar|enchufar)-${the}(?:cable|manguera|pistola)-${the}carga|cargar-(?:de|por-la|toda-la)-noche|carga-(?:domestica|en-casa)|enchufar-${the}(?:cargador|${vehicle})|programar-${the}carga|carga-(?:nocturna|programada|lenta)|poner-${the}cargador|(?:re)?cargar-${the}(?:bateria|${vehicle})(?!-${the}(?:plataforma|camion|grua|tarima|carro|montacargas|remolque)(?:-|$))|carga-rapida|poner-a-cargar`,
  ),
  phrase(
    'disconnect',
    String.raw`unplug\w*|disconnect\w*|desconect\w*|desenchuf\w*|(?:soltar|quitar|sacar)-${the}(?:conector(?:es)?|enchufes?)`,
  ),
  phrase(
    'remove',
    String.raw`${takingOff}-(?:the-)?(?:\w+-)?${trimInEnglish}|tak(?:e|ing)-(?:the-)?(?:\w+-)?${trimInEnglish}-(?:out|off)|${changing}-${the}${trimInSpanish}|remov\w*|unbolt\w*|desmont\w*|desarm\w*|(?:unscrew\w*|loosen\w*)-(?:the-)?(?:\w+-)?${trimInEnglish}|(?:quitar|sacar|retirar|desatornill\w+|aflojar)-${the}${trimInSpanish}`,
  ),
  phrase(
    'end-of-shift',
    String.raw`overnight|weekend|(?:end|close|change)-of-(?:the-)?(?:shift|day|work|business)|shift-(?:change|end|hand-?over)|(?:until|till|over|through|^for|(?:leav|park|stay|wait|rest|stand|stop|paus|hold|keep)\w*-(?:\w+-)*for)-(?:the-)?(?:night|monday|tomorrow|next-(?:day|morning|week)|holidays?)|(?:await|wait-for|waiting-for|hold-for)-(?:the-)?(?:spare-)?parts|(?:cambio|fin|cierre|relevo|entrega)-${the}(?:turno|jornada|semana|dia|taller)|(?:hasta|^para|(?:dejar|quedar?|esperar|guardar|parar|aparcar)-(?:\w+-)*para)-${the}(?:lunes|manana|dia-siguiente)|(?:toda-la|por-la|pausa-de)-noche|pausa-nocturna|pernocta\w*|esperar-${the}(?:piezas?|refaccion(?:es)?|repuestos?|recambios?)`,
  ),
  phrase(
    'refit',
    String.raw`refit\w*|remont\w*|volver-a-(?:montar|colocar|poner)|(?:montar|armar|colocar)-${the}${trimInSpanish}`,
  ),
];
/** Words beside which all of them mean something harmless. */
const harmless =
  /^(?:check|inspect|measure|photograph|order|polish|codes?|data|estimate|mix\w*|match\w*|12-?v|revisar|medir|pulir|mezcla\w*)$/;

const wordsOf = (name: string): readonly string[] => name.split('-');

/** A built-in task of which a name differs by one letter or a hyphen; a shorter name is mostly another word. */
const slipOf = (name: string): string | undefined =>
  name.length > 5 ? oneSlipFrom(name, builtInTasks.keys()) : undefined;

const paper =
  /^(?:photos?|fotos?|sign|firmar|approve|notify|call|llamar|llamada|avis(?:o|ar)|pedi(?:r|do)|notes?|nota|lists?|lista|notice|reports?|informe|invoice|factura)$/;
/** Whether all that a name tells of is done with a pen, a telephone or a camera, on a vehicle that stays off. */
const isPaperwork = (name: string, words: readonly string[]): boolean =>
  (paper.test(words[0]!) || paper.test(words.at(-1)!)) &&
  !/-(?:and|then|while|y|mientras)-|(?:^|-)(?:ready|ignition|key|power|hv)-on(?:-|$)/.test(name);

/** The built-in task that the name of a shop's own one sounds like. */
export function soundsLike(name: string): string | undefined {
  if (updating.test(name)) return 'program';
  if (supplying.test(name)) return 'battery-12v-on';
  if (supporting.test(name)) return 'support-12v';
  if (insulating.test(name)) return 'measure-insulation';
  if (reaching.test(name)) return 'disconnect';
  const words = wordsOf(name);
  if (words.some((word) => harmless.test(word)) || isPaperwork(name, words)) return undefined;
  return (
    (phrases.find(([, pattern]) => pattern.test(name)) ??
      rows.find(([, pattern]) => words.some((word) => pattern.test(word))))?.[0] ?? slipOf(name)
  );
}
/** Whether a name tells of washing, and not of rinsing a line. */
export const washesByName = (name: string): boolean =>
  soundsLike(name) === 'wash' &&
  !/(?:^|-)(?:lines?|brakes?|circuit|tank|frenos?|tuberias?|circuito|tanque|deposito)(?:-|$)/.test(name);

const touching = new RegExp(
  `^(?:${changing}|(?:re)?connect(?:ing)?|enchuf\\w*|(?:re)?conect(?:ar|ado)|install\\w*|instal(?:ar|ado)|fit|fits|fitting|mount\\w*|mont(?:ar|aje)|coloc\\w*)$`,
);
const taking: ReadonlySet<string | undefined> = new Set(['disconnect', 'remove', 'refit']);
/** Whether a name tells that what a step names is unplugged, plugged in, taken off, put on or changed. */
export const touchesByName = (name: string): boolean => {
  const words = wordsOf(name);
  if (words.some((word) => harmless.test(word)) || noWorkByName(name)) return false;
  return (
    taking.has(soundsLike(name)) ||
    /(?:^|-)plug-(?:in|on|up)(?:-|$)/.test(name) ||
    words.some((word) => touching.test(word))
  );
};

const meters =
  /^(?:ohms?|ohmmeter|ohmio?s|measur\w*|medi(?:r|cion)|multim\w*|polimetro|megger|resistance|resistencia|continuity|continuidad)$/;
/** What stands in for the igniter, or hangs on the other half. */
const noMeterOnIgniter = /^(?:harness|loom|wiring|simulator|substitute|dummy|mazo|cableado|simulador)$/;
/** Whether a name tells that a meter is put on what a step names. */
export const measuresByName = (name: string): boolean => {
  const words = wordsOf(name);
  return words.some((word) => meters.test(word)) && !words.some((word) => noMeterOnIgniter.test(word));
};

/** A window has a lift as well. */
const noWindow = String.raw`(?!-${the}(?:cristal\w*|ventan\w*|vidrios?|lunas?|puertas?|electric[oa]|trasero|delantero))`;
const lifting = new RegExp(
  String.raw`(?:^|-)(?:(?:lift|raise|lower|hoist|jack)-(?:(?:up|down|the|off|on|onto|from|of)-)*(?:vehicle|car|hoist|lift|ramp|stands?)|jack-up|(?:let|set|put|bring)-(?:(?:the|vehicle|car|it|down|back)-)*(?:on|onto|off|to)-(?:the-|its-)?(?:wheels|ramp|hoist|lift|stands|jacks|ground)|(?:let|set|drop)-(?:down-)?(?:the-)?(?:ramp|hoist|lift|jack)|(?:remove|take-(?:away|out|off)|pull)-(?:the-)?(?:axle-|jack-)?(?:stands|jacks?)|(?:raise|lower|inflate|deflate|vent)-(?:the-)?air-(?:suspension|springs?|struts?)|(?:level|inflate|deflate|pump-up|activate)-(?:the-)?(?:front-|rear-)?suspension$|suspension-(?:self-)?level\w*|(?:set|reset|adjust|calibrate)-(?:the-)?ride-height|ride-height-(?:reset|set\w*|adjust\w*)|(?:inflar|desinflar|bajar|subir|nivelar|activar)-${the}suspension|(?:des)?inflar-${the}(?:bolsas|muelles|camaras)-${the}(?:aire|suspension)|(?:elevar|levantar|alzar|subir|bajar)-${the}(?:${vehicle}|elevador${noWindow}|rampa|gatos?|caballetes|borriquetas|torres)|(?:quitar|retirar|sacar)-(?:del-elevador${noWindow}|${the}(?:${vehicle}|rampa|gatos?|caballetes|borriquetas|torres(?!-${the}(?:luz|suspension|amortiguador\w*))))|(?:bajar|poner|dejar)-(?:${the}${vehicle}-)?(?:al|(?:en|sobre)-el)-(?:suelo|piso)(?!-${the}(?:cajuela|maletero|carga|ventas)))(?:-|$)`,
);
/** What keeps the vehicle from rolling is taken away, or it is moved by hand. */
const pushing = new RegExp(
  String.raw`(?:^|-)(?:(?:push|tow|winch|roll|wheel|shunt)-(?:(?:the-)?(?:vehicle|car|shell|body)|(?:to|in|into|out|onto|back|forward)(?:$|-(?:\w+-)*(?:booth|yard|bay|workshop|shop|hall|garage|lift|hoist|ramp|rack|rollers|truck|transporter|trailer|flatbed|street|outside|stall|place|oven|cabin|corner|car-?park|line|alignment)$))|(?:vehicle|car|on)-(?:the-)?(?:wheel-)?(?:skates|dollies)|with-skates|release-(?:the-)?(?:hand|park|parking)-?brake(?!-(?:cables?|levers?|shoes?|pads?))|(?:hand|park|parking)-?brake-off|(?:remove|take-(?:away|out|off)|pull)-(?:the-)?(?:wheel-)?chocks|(?:put|shift|select)-(?:(?:the|vehicle|car|in|into|it)-)*neutral|(?:load|winch)-onto-(?:the-)?(?:truck|trailer|flatbed)|(?:cargar|subir|jalar)-(?:${the}${vehicle}-)?${the}(?:grua|plataforma)|(?:empujar|remolcar|arrastrar|rodar|mover)-(?:al?(?!-${the}(?:mano|estanteria\w*|archivo|almacen|bodega|cliente|banco|mesa|carro-de-herramientas)(?:-|$))|${the}${vehicle})|(?:con|sobre)-${the}patines|(?:soltar|quitar|liberar)-${the}freno-${the}(?:mano|estacionamiento)|(?:quitar|retirar|sacar)-${the}(?:calzos|calces|cunas)|(?:poner|meter|dejar)-${the}(?:${vehicle}-${the})?(?:neutral|neutro|punto-muerto))(?:-|$)`,
);
/** Whether a name tells that the vehicle is lifted, or lowered onto its wheels. */
export const liftsByName = (name: string): boolean => lifting.test(name);
/** Whether a name tells that the vehicle is pushed or towed, or set free to roll. */
export const pushesByName = (name: string): boolean => pushing.test(name);

const noArc = /^(?:plastic\w*|plastico|hot-air|bumpers?|paragolpes|parachoques)$/;
/** Whether a name tells of an arc: of welding that is not of plastic, or of plasma. */
export const weldsByName = (name: string): boolean => {
  const words = wordsOf(name);
  return (words.includes('plasma') || soundsLike(name) === 'weld') && !words.some((word) => noArc.test(word));
};

const noWork =
  /^(?:cordon|barrier|quarantine|watch|monitor|call|phone|order|photos?|quality|control|rotular|acordonar|balizar|senalizar|vigilar|cuarentena|termografia|avisar|llamar|pedir|fotos?)$/;
/** Whether a name, by its first word, tells of keeping people away from a vehicle, watching it, or no work on it at all. */
export const noWorkByName = (name: string): boolean => noWork.test(wordsOf(name)[0]!);

const standing = new RegExp(
  String.raw`^(?:steer|spotter|banksman|cordon|quarantine|watch|call|phone|acordonar|balizar|senalizar|vigilar|cuarentena|avisar|llamar)(?:-|$)|^(?:steer|guid(?:e|ing))-(?:the-)?(?:vehicle|car|driver)$|^(?:hold|turn)-(?:the-)?steering-wheel$|^(?:llevar|sujetar|girar)-${the}volante$|^(?:guiar|dirigir)-(?:al?-)?${the}(?:${vehicle}|conductor|chofer)$`,
);
/** Whether a name tells of steering or guiding a vehicle that others move, of watching it, or of keeping people away: no hands are in, on or under it. */
export const standsByByName = (name: string): boolean => standing.test(name);

const bridging =
  /(?:^|-)(?:bridg\w*|jumper\w*|jump|bypas\w*|short(?:ed|ing)?|shunt\w*|defeat\w*|cheat\w*|overrid\w*|disabl\w*|(?:loop|link)(?:ed|ing)?-out|puente\w*|anula\w*|cortocircuit\w*|deshabilita\w*)(?:-|$)/;
/** Whether a name tells that a loop is bridged. */
export const bridgesByName = (name: string): boolean => bridging.test(name);
/** Whether a name speaks of the interlock loop. */
export const namesInterlock = (name: string): boolean =>
  /(?:^|-)(?:interlock|hvil|enclavamiento|interbloqueo|linea-piloto|pilot-(?:line|loop))(?:-|$)/.test(name);

const opening =
  /^(?:open\w*|chang\w*|replac\w*|renew\w*|swap\w*|split\w*|strip\w*|dismantl\w*|exchang\w*|repair\w*|clean\w*|reseal\w*|prob(?:e|es|ing)|touch\w*|tocar|sondear|abr(?!az)\w*|destap\w*|cambi\w*|sustitu\w*|re?emplaz\w*|despiez\w*|desarm\w*|repar\w*|limpia\w*)$/;
const cells = new RegExp(
  String.raw`(?:^|-)(?:pack|cells?|celdas?|celulas?|traction-battery|hv-battery|battery-(?:pack|modules?|cells?|lid|cover|housing)|${tractionBattery}|(?:abrir|destapar)-${the}paquete$|(?:paquete|banco)-${the}baterias?|acumulador-${the}(?:traccion|alta)|(?:tapa|carcasa|modulos?)-${the}bateria)(?:-|$)`,
);
const maybeCells = /(?:^|-)(?:battery|modules?|bateria|modulos?)(?:-|$)/;
const otherBattery =
  /(?:^|-)(?:12-?v|48-?v|key|remote|aux\w*|starter|llave|mando|servicio|fuel-cells?|(?:celda|pila)-de-combustible)(?:-|$)/;
/** Work that nobody does at a module or a cell of a closed battery. */
const inside =
  /^(?:charg\w*|discharg\w*|balanc\w*|lift\w*|remov\w*|(?:des)?carga\w*|equilibra\w*|quitar|sacar)$/;
const modules = new RegExp(
  String.raw`(?:^|-)(?:cells?|celdas?|celulas?|battery-modules?|modulos?-${the}bateria)(?:-|$)`,
);
const maybeModules = /(?:^|-)(?:modules?|modulos?)(?:-|$)/;
const otherModule = /(?:^|-)(?:control|air-?bags?|ecu|door|lamp|brake|abs|puerta|freno)(?:-|$)/;

/**
 * Whether a name tells that the traction battery itself is opened.
 * @param isAtBattery the step works in a zone of the battery, so that any battery or module is this one
 */
export const opensBatteryByName = (name: string, isAtBattery: boolean): boolean =>
  !otherBattery.test(name) &&
  ((wordsOf(name).some((word) => opening.test(word)) &&
    (cells.test(name) || (isAtBattery && maybeCells.test(name)))) ||
    (wordsOf(name).some((word) => inside.test(word)) &&
      (modules.test(name) || (isAtBattery && maybeModules.test(name) && !otherModule.test(name)))));

const aPack = String.raw`(?:packs?|batter(?:y|ies)|bateria|paquete|acumulador)(?!-(?:${the})?(?:terminals?|clamps?|poles?|posts?|leads?|room|store|shelf|bay|box|brackets?|charger|trolley|cart|order|recambios?|bornes?|cuarto|sala|almacen|cargador|carro|caja)(?:-|$))`;
const harming = new RegExp(
  String.raw`(?:^|-)(?:${aPack}-(?:was-|got-)?(?:over|upside\w*|dropped|fell|falls?|fallen|tipped|slipped|hit|struck|wet|soaked|flooded|knocked|banged|under-water|slid-off|left-out(?:side)?|(?:(?:left-)?out-)?in-(?:the-)?(?:rain|snow)|bajo-la-lluvia|caid[oa]|mojad[oa]|golpead[oa]|volcad[oa]|inundad[oa]|cayo)|(?:wet|kick\w*|fork-through|dropped|turn-over)-(?:the-)?(?:\w+-)?${aPack}|(?:rins|wash|hos|steam|jet|soak|flood|submerg|immers|dunk|quench|extinguish|flip|tip|tilt|toppl|hammer|beat|dent|strik|hit|drag|punctur|pierc|straighten|stack)(?:e|es|ed|ing)?-(?:down-|off-|out-|over-)?(?:the-)?(?:\w+-)?${aPack}|(?:lavar|enjuagar|mojar|manguerear|sumergir|tirar|dejar-caer|inundar|volcar|voltear|golpear|martillar|abollar|enderezar|arrastrar|apilar|perforar|pinchar)-${the}${aPack}|(?:cayo|caida|golpe)-${the}${aPack}|(?:cool|douse|spray)\w*-(?:the-)?(?:\w+-)?${aPack}-with-water|(?:enfriar|rociar)-${the}${aPack}-con-agua)(?:-|$)`,
);
/**
 * Whether a name tells that the traction battery is dropped, struck, turned or wetted.
 * @param isAtBattery the step works at the battery or after it was taken out, so that any battery is this one
 */
export const harmsBatteryByName = (name: string, isAtBattery: boolean): boolean =>
  harming.test(name) && !otherBattery.test(name) && (isAtBattery || cells.test(name));

const shorting =
  /(?:^|-)(?:short(?:ed|ing)?|bridg\w*|jumper\w*|discharg\w*|bleed\w*|drain\w*|descarga\w*|cortocircuit\w*|puente\w*)-(?:\w+-){0,2}(?:capacitors?|dc-?link|link-capacitors?|condensador(?:es)?)(?:-|$)/;
/** Whether a name tells that capacitors are discharged by hand. */
export const shortsByName = (name: string): boolean => shorting.test(name);

const discharging = /(?:^|-)(?:discharg\w*|depower\w*|descarga\w*)-(?:\w+-)*(?:pack|battery|bateria)(?:-|$)/;
/** Whether a name tells that the traction battery is discharged. */
export const dischargesBatteryByName = (name: string): boolean =>
  discharging.test(name) && !otherBattery.test(name);

interface Named {
  readonly id: string;
  readonly name: string;
  readonly class: ConnectorClass | undefined;
  readonly medium: Medium | undefined;
  readonly voltage?: { readonly si: number } | undefined;
}

/** Classes of connectors that anybody may handle. */
const harmlessClasses: ReadonlySet<ConnectorClass | undefined> = new Set([
  'low-voltage',
  'sensor',
  'data',
  '48-volt',
]);
const igniters = new WordTable(`
  air-bag(s) | side-bag(s)/curtain-bag(s)/thorax-bag(s)/head-bag(s)/knee-bag(s) | srs
  | pretensioner(s) | seat-belt/buckle tensioner(s) | squib(s) | igniter(s) | inflator(s) | gas generator(s)
  | pyro | pyrotechnic(s) | pyro-fuse(s)/pyro-switch(es)/pyro-disconnect(s)/pyro-actuator(s) | battery safety terminal(s)
  | roll-bar actuator(s) | roll-over bar actuator(s) | roll-over bar(s)/protection
  | pedestrian/hood/bonnet [hinge(s)] actuator(s)/lifter(s) | active/pop-up hood/bonnet
  | connector/plug/conector yellow/amarillo | yellow connector/plug
  | bolsa(s)/cojin(es) [de] aire | cortina(s) izq*/der*/dcha/lateral(es) | pretensor(es) | tensor(es) [de/del] cinturon(es)
  | detonador(es) | inflador(es) | generador(es) de gas | pirotecnico(s)/pirotecnica(s) | anti-vuelco
  | capo/cofre activo | actuador(es) [de/del] capo/cofre/peatones
`);
/** Beside these words it is a part of the airbag system that no current can fire. */
const noIgniter = new WordTable(
  'sensor(s)/sensores/switch(es)/lamp/light/indicator/mat/module/unit/ecu/control/monitor/interruptor/testigo/luz/lampara/esterilla/modulo/unidad/centralita/computadora/suspension',
);
const crashSensors = new WordTable(`
  crash/impact/air-bag/srs [front/side/rear/left/right] [control] unit/module/ecu
  | crash/impact/air-bag/srs [front/side/rear/left/right] sensor(s) | sensor(es) de impacto/choque/air-bag
  | unidad/modulo/centralita/computadora [de/del] [los] air-bag(s)/srs
  | unidad/modulo/centralita/computadora [de/del] [los/las] bolsas de aire
`);
/** Whether the name of a connector is that of a crash sensor or of the airbag control unit, which fires when it is struck while it is awake. */
export const firesAirbags = memoByIdentity(
  ({ id, name, class: kind }: Named): boolean =>
    harmlessClasses.has(kind) && crashSensors.isIn(spaced(`${id} ${name}`)),
);
/** What may stand between a part and its voltage in Spanish. */
const side = '[lado/entrada/salida/de] [lado/entrada/salida/de] [lado/entrada/salida/de]';
const highVoltageParts = new WordTable(`
  hv | high voltage | orange | traction battery/pack/motor/cable/inverter/plug | motor phase(s) | phase cable(s) | u v w
  | electric [a-c] compressor | electric air conditioning compressor | heat pump compressor | e-compressor
  | ptc heater(s) | heater(s) ptc | cabin/battery ptc
  | hub motor(s) | in wheel motor(s) | e-axle(s) | drive unit(s) dc/ac/power/phase(s)/supply
  | fuel cell plus/minus/positive/negative/power | stack plus/minus/positive/negative/power
  | inverter dc/ac | dc link | on-board charger ac/dc | charge/charging inlet/port/socket ac/dc
  | dc/ac plug(s)/connector(s)/cable(s)/side(s)/input(s)/output(s)/terminal(s) of/at/on [the] [front/rear/traction] inverter
  | dc/ac plug(s)/connector(s)/cable(s)/side(s)/input(s)/output(s)/terminal(s) of/at/on [the] [front/rear/traction] drive unit
  | dc/ac plug(s)/connector(s)/cable(s)/side(s)/input(s)/output(s)/terminal(s) of/at/on [the] [front/rear/traction] on-board charger
  | dc/ac plug(s)/connector(s)/cable(s)/side(s)/input(s)/output(s)/terminal(s) of/at/on [the] [front/rear/traction] charge/charging inlet/port/socket
  | service disconnect/plug | msd | generator phase(s) | battery/pack/cell busbar(s) | busbar(s) of the pack/battery
  | cell voltage tap(s) | pack plus/minus/positive/negative | main contactor(s) | dc-dc converter input
  | desconexion [manual] de servicio | seccionador de servicio | fases del generador | compresor [a-c] electrico
  | compresor de [la] bomba de calor | calefactor/calentador/resistencia ptc | motor(es) de cubo | motor(es) en [la] rueda | alta tension
  | alto voltaje | naranja(s) | anaranjado(s)/anaranjada(s) | bateria/motor/cable(s)/inversor de traccion | fases del motor
  | bus de continua/cc/dc | cc/ca/dc/ac de/del [la] inversor | cc/ca/dc/ac de/del [la] toma/puerto de carga
  | cc/ca/dc/ac de/del [la] cargador de a bordo
  | inversor ${side} cc/ca/dc/ac | cargador de a bordo ${side} cc/ca/dc/ac | toma/puerto de carga ${side} cc/ca/dc/ac
`);
const highVoltageFigure = /(?<![\d.,])[1-9]\d\d ?v(?:cc|ca|dc|ac)?\b/;
const isHighVoltage = (words: string): boolean =>
  (highVoltageParts.isIn(words) || highVoltageFigure.test(words)) &&
  !lowSide.isIn(words.replaceAll(/\b(?:drive unit|heat pump|bomba de calor)\b/g, ''));
/** Beside these words it is a plug of the low-voltage side. */
const lowSide = new WordTable(
  'lv/low/12-v/24-v/48-v/signal/sensor(s)/control/module/unit/ecu/data/can/bms/lamp/light/fan/pump/coolant/valve/resolver/encoder/lin/switch/relay/coil/temperature/detection/interlock/hvil/lock/latch/baja/senal/sensores/ventilador/bomba/valvula/datos/enclavamiento/interbloqueo/unidad/modulo/centralita/luz/luces/piloto/intermitente/testigo/lampara/rele/interruptor/cerradura/bloqueo/trampilla/temperatura',
);
/** V. A 24 V net while it is charged (from memory). */
const highestOfNets = 30;
const ofBattery = /\b(?:batter(?:y|ies)|packs?|cells?|busbars?|traction|bateria|celdas?|celulas?|traccion)\b/;
const fortyEightVolt = /(?<![\d.,])48 ?v\b/;
/** Beside these words it is a plug that carries a signal, or the 12 V of a converter. */
const no48Volt =
  /\b(?:12 ?v|signal|sensors?|control|module|unit|ecu|data|can|lin|bms|lamp|light|resolver|encoder|switch|relay|temperature|detection|lock|latch|senal|sensor(?:es)?|datos|unidad|modulo|centralita|luz|testigo|rele|interruptor|bloqueo|temperatura)\b/;
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
    // The fuel of a fuel cell is named beside it.
    words:
      /\b(?:fuel(?! cell)|petrol|gasoline|diesel|hydrogen|lpg|cng|natural gas|autogas|lng|methane|propane|butane|gas tanks?|(?:common|injection|injector) rails?|metano|propano|butano|(?:tanque|deposito) de gas|(?<!(?:pila|celda) de )combustible|gasolina|hidrogeno|gasoleo|gasoil|gas (?:natural|lp)|glp|gnc|h2)\b/,
    but: /\b(?:cooler|coolant|refrigerante|anticongelante|agua)\b/,
    milder: new Set(['coolant', 'refrigerant', 'other']),
  },
  {
    danger: 'refrigerant',
    // A `refrigerante` is a coolant too.
    words:
      /\b(?:refrigerant|condenser|evaporator|(?:a c|ac|air conditioning) (?:line|pipe|hose)s?|condensador|evaporador|aire acondicionado|gas refrigerante|(?:tubo|tuberia|manguera|linea)s?(?: de| del| alta| baja)* (?:a c|ac|clima)|r ?(?:134a|1234yf|744|290|32))\b/,
    but: /\b(?:coolant|water|drain|condensate|heater|washer|agua|desague|(?<!gas )refrigerante|anticongelante)\b/,
    milder: new Set(['coolant', 'other']),
  },
  {
    danger: 'pressure',
    words:
      /\b(?:brake (?:line|pipe|hose)s?|(?:brake )?calipers?|wheel cylinders?|master cylinder|abs (?:unit|block|lines?)|clutch (?:line|pipe|hose)s?|hydraulics?|accumulators?|(?:power )?steering (?:rack|gear|line|pipe|hose|pump)s?|power steering|compressed air|air (?:springs?|suspension|struts?|reservoirs?)|suspension (?:strut )?(?:line|pipe|hose)s?|hidraulic[oa]s?|calderin|aire comprimido|frenos?|latiguillos?|pinzas?|mordazas?|suspension (?:neumatica|de aire)|muelles? neumaticos?|bolsas? de aire|direccion (?:asistida|hidraulica))\b/,
    but: /\b(?:coolant|cooler|vacuum|vacio|refrigerante|anticongelante)\b/,
    milder: new Set(['coolant', 'other']),
  },
];
/** The words of a name with single spaces; points and commas stay between digits. */
const spaced = (name: string): string =>
  plainWords(name)
    .replaceAll(/(?<!\d)[.,]|[.,](?!\d)|[^a-z0-9.,]+/g, ' ')
    .replaceAll(/ +/g, ' ');

/** What the name of a connector speaks of, where its class or its medium is of something harmless. */
export const dangerByName = memoByIdentity(
  ({
    id,
    name,
    class: kind,
    medium,
    voltage,
  }: Named): 'restraint' | 'high-voltage-power' | '48-volt' | LineRow['danger'] | undefined => {
    const words = spaced(`${id} ${name}`);
    if (kind === 'fluid-line')
      return lineRows.find(
        ({ words: speaks, but, milder }) => milder.has(medium) && speaks.test(words) && !but.test(words),
      )?.danger;
    if (!harmlessClasses.has(kind)) return undefined;
    if (igniters.isIn(words)) return noIgniter.isIn(words) ? undefined : 'restraint';
    // Whoever states the voltage of a 12 V or 24 V net knows the part; a cell has as little, and shares the circuit of the battery.
    const isOnNet = voltage !== undefined && voltage.si <= highestOfNets && !ofBattery.test(words);
    if (!isOnNet && isHighVoltage(words)) return 'high-voltage-power';
    return kind !== '48-volt' && fortyEightVolt.test(words) && !no48Volt.test(words) ? '48-volt' : undefined;
  },
);

const pyrotechnic = /\b(?:pyro\w*|pirotecnic[oa]s?)\b/;
/** What the name of a pyrotechnic disconnect in a high-voltage circuit speaks of beside its class: its igniter, or its high voltage. */
export const otherHalfByName = memoByIdentity(
  ({ id, name, class: kind }: Named): 'pyrotechnic' | 'high-voltage-power' | undefined => {
    const words = spaced(`${id} ${name}`);
    if (kind === 'high-voltage-power' && pyrotechnic.test(words)) return 'pyrotechnic';
    return kind === 'pyrotechnic' && isHighVoltage(words) ? 'high-voltage-power' : undefined;
  },
);

const storesCharge =
  /\b(?:(?:super|ultra) ?caps?|(?:super|ultra)? ?capacitors?|(?:super|ultra)? ?condensador(?:es)?)\b/;
/** Whether the name of a connector is that of a capacitor, which holds its charge after the isolation. */
export const isCapacitorByName = memoByIdentity(({ id, name }: Named): boolean =>
  storesCharge.test(spaced(`${id} ${name}`)),
);

const aims = /\b(?:radars?|lidars?|cameras?|camaras?)\b/;
/** Beside these words it looks at the people inside, or is no camera. */
const aimsAtNothing =
  /\b(?:interior|cabin|cockpit|dash ?cam(?:era)?|habitaculo|camaras? de (?:aire|combustion|freno)|flash)\b/;
/** Whether the name of a connector speaks of a camera, a radar or a lidar, which looks along a line that work on the body moves. */
export const looksOutByName = memoByIdentity(({ id, name, class: kind }: Named): boolean => {
  if (!harmlessClasses.has(kind)) return false;
  const words = spaced(`${id} ${name}`);
  return aims.test(words) && !aimsAtNothing.test(words);
});

const lowVoltagePlace =
  /(?<![\d.,])(?:12|24|48) ?v\b|\b(?:low[ -]voltage|lighter socket|obd|jump(?:[ -]start(?:ing)?)? (?:point|post|stud|terminal)s?|fuse ?box|displays?|(?:ready|warning) (?:light|lamp)|testigo|dash(?:board)?|instrument (?:cluster|panel)|cluster|scan ?tool|borne de arranque|caja de fusibles|fusiblera|pantalla|(?:cuadro|tablero)(?: de instrumentos)?|baja tension|bajo voltaje|encendedor|mechero|bateria auxiliar|acumulador|conector de diagnostico)\b/;
const highVoltagePlace =
  /\b(?:hv|high[ -]voltage|inverters?|traction|dc[ -]link|charge inlet|alta tension|alto voltaje|inversor|traccion|(?:toma|puerto) de carga)\b/;
/** Whether the name of a measuring point is one of the 12 V or 48 V net, and of no place with high voltage beside it. */
export const provenElsewhere = (place: string): boolean => {
  const words = plainWords(place);
  return lowVoltagePlace.test(words) && !highVoltagePlace.test(words);
};

const metal =
  /\b(?:alu(?:mini?um)?|copper|brass|bronze|(?:stainless )?steel|metal(?:lic|li[sz]ed)?|alumini[sz]ed|aluminio|cobre|laton|bronce|acero|metalic[oa]|metalizad[oa])\b/;
const filler = /\b(?:silver|graphite|carbon|plata|grafito)\b/;
/** Beside these words it is no metal, or something for metal. */
const noMetal =
  /\b(?:non|not|no|free|without|for|over|on|colou?r\w*|look|plastic|rubber|sin|libre|para|sobre|color|plastic[oa]|goma|caucho)\b/;
/** Of a cleaner, whose name may be that of what it cleans, only these conduct. */
const bristles = /\b(?:wool|brush|bristles?|lana|cepillo|estropajo)\b/;
const greases = /\b(?:grease|paste|grasa|pasta)\b/;
const conductive = /\b(?:conductive|conductora|(?:capuchon|tapon|adhesivo|plastico|papel) conductor)\b/;
/** Whether the name of a consumable is that of something that conducts. */
export const conductsByName = ({ id, name, kind }: { id: string; name: string; kind: string }): boolean => {
  // What hangs on it, such as a latch of steel, touches no contact.
  const words = spaced(`${id.replaceAll('-', ' ')} ${name}`).replace(/ (?:with|con) .*/, '');
  if (noMetal.test(words)) return false;
  if (conductive.test(words)) return true;
  return (
    (metal.test(words) && (covering.has(kind) || bristles.test(words) || greases.test(words))) ||
    (filler.test(words) && greases.test(words))
  );
};
const covering: ReadonlySet<string> = new Set(['dummy-plug', 'tape', 'bag', 'film']);

const noFiring =
  /^(?:read|scan|check|inspect|photo\w*|document\w*|data|codes?|report|leer|revisar|datos|codigos?)$/;
const bags = String.raw`(?:air-?bags?|(?:curtain|side|knee)-?bags?|bags|(?:pre)?tensioners?|squibs?|inflators?|igniters?|gas-generators?|(?<!(?:rear|sun|window|weld|welding|booth|strip)-)curtains?(?!-(?:rails?|clips?|hooks?))(?=$|-(?:air|bags?|left|right|inflat\w*|deploy\w*)))`;
const otrasBolsas = String.raw`air-?bags?|bolsas?(?:-de-aire)?|pretensor(?:es)?|detonador(?:es)?|infladores|generador(?:es)?-de-gas`;
const bolsas = `(?:${otrasBolsas}|cortinas?)`;
const firing = new RegExp(
  String.raw`(?:^|-)(?:(?:deploy|deploying|detonat\w*|fire|firing|trigger\w*|set-off|blow|pop)-(?:\w+-){0,2}${bags}|${bags}-(?:deploy|deployment|firing)|(?:detonar|disparar|desplegar|explotar|reventar|estallar|activar(?!-${the}${bolsas}-${the}(?:pasajero|acompanante|copiloto)))-${the}${bolsas})(?:-|$)`,
);
/** Whether a name tells that airbags or pretensioners are fired on purpose. */
export const firesByName = (name: string): boolean =>
  firing.test(name) && !wordsOf(name).some((word) => noFiring.test(word));

const sparingIgniters = String.raw`(?!-(?:(?:warning|indicator|status)-)?(?:lights?|lamps?|faults?|covers?|trims?|brackets?|seats?|sensors?|testigo|luz|tapas?|soportes?))`;
const reviving = new RegExp(
  String.raw`(?:^|-)(?:(?:repair\w*|rebuild\w*|refurbish\w*|re-?pack\w*|re-?fold\w*|re-?wind\w*|re-?sew\w*|sew|stitch\w*|splic\w*|solder\w*|crimp\w*|patch\w*)-(?:\w+-){0,2}${bags}|(?:reparar|reparacion|coser|rearmar|rebobinar|reacondicionar|remendar|doblar|plegar|empalmar|soldar)-${the}(?:(?:mazo|cableado|arnes|conector)-${the})?(?:${otrasBolsas}|cortinas?-${the}(?:air-?bag|aire|lateral(?:es)?|izq\w*|der\w*|techo)))${sparingIgniters}(?:-|$)`,
);
const mendingIgniter =
  /^(?!.*-(?:seats?|covers?|trims?|panels?|pillars?|roof|asientos?|butacas?|fundas?|molduras?|tapas?|pilar|techo)(?:-|$))(?:.*-)?(?:repair\w*|rebuild\w*|refurbish\w*|re-?pack\w*|re-?fold\w*|re-?wind\w*|sew|stitch\w*|splic\w*|solder\w*|crimp\w*|patch\w*|repara\w*|coser|rearmar|rebobinar|remendar|empalm\w*|soldar|ponchar)(?:-|$)/;
/** Whether a name tells that an airbag, a pretensioner or its wires are repaired or made ready again; `onIgniter`: the step names one. */
export const revivesByName = (name: string, onIgniter: boolean): boolean =>
  !wordsOf(name).some((word) => noFiring.test(word)) &&
  (reviving.test(name) || (onIgniter && mendingIgniter.test(name)));

const feeding = new RegExp(
  String.raw`(?:^|-)(?:(?:test|probe)-?(?:lamp|light)|(?:with|by|from)-(?:a-|the-)?(?:\w+-)?(?:12-?v|9-?v|battery|lamp|bulb|jumper|power-supply)(?!-(?:off|disconnected|support|maintainer|charger|lead|order))|(?:apply|feed|put)-(?:\w+-)?(?:12-?v|9-?v|current|voltage|power)|lampara-de-pruebas?|(?:con|desde)-${the}(?:12-?v|bateria|pila|foco|bombilla|lampara|fuente|corriente)(?!-(?:desconectad[oa]|quitad[oa]|apagad[oa]|fuera))|(?:dar|meter|aplicar)-${the}(?:corriente|tension|voltaje|12-?v))(?:-|$)`,
);
/** A lamp by whose light somebody looks. */
const lookingOn = /^(?:inspect|look|see|view|mirar|ver|inspeccionar|alumbrar|iluminar)(?:-|$)/;
/** Whether a name tells that current is put on what a step names. */
export const feedsByName = (name: string): boolean => feeding.test(name) && !lookingOn.test(name);

const unplugging =
  /(?:^|-)(?:unplug\w*|disconnect\w*|desconect\w*|desenchuf\w*|plug-back|reconnect\w*)(?:-|$)/;
/** Whether a name tells, in so many words, that connectors are opened or closed, and no more. */
export const unplugsByName = (name: string): boolean =>
  unplugging.test(name) || plugs.has(slipOf(name) ?? '');
const plugs: ReadonlySet<string> = new Set(['disconnect', 'reconnect']);

const spoilt =
  /\b(?:flooded|flood (?:damaged?|car|vehicle)|submerged|water damaged?|fire damaged?|vehicle fire|burn(?:t|ed) (?:out|at|in|car|vehicle)|inundad[oa]|anegad[oa]|sumergid[oa]|incendi(?:ad[oa]|o)|mojad[oa]|agua hasta|(?:car|battery) fire|danos? por (?:agua|fuego|incendio|inundacion)|quemad[oa] (?:por|en|de|del))\b/;
/** Whether the description of a vehicle says that water or fire was at it. */
export const wetOrBurntByText = (description: string): boolean => spoilt.test(spaced(description));

const learners =
  /\b(?:apprentice|trainee|learner|student|intern|helper|watchman|cleaner|customer|visitor|receptionist|aprendi[zc]\w*|practicante|becari[oa]|en[ -]practicas|alumn[oa]|estudiante|pasante|novat[oa]|chalan|ayudante|auxiliar|peon|lavador\w*|lavacoches|limpiador\w*|cliente|visitante|recepcionista|vigilante|velador|conserje)\b/;
/** The same, where families are called so as well: nothing but a number or a letter follows. */
const helpersByTrade = /^(?:the )?(?:porter|valet|mozo|portero)(?: \w| \d+)?$/;
/** Whether the name of a person says that this person still learns the work, or only helps with it. */
export const stillLearns = (name: string): boolean =>
  learners.test(plainWords(name)) || helpersByTrade.test(spaced(name));
