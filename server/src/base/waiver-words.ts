import { plainWords } from './plain-words.ts';

/**
 * Words that leave a precaution out, or allow work that is live, in English and Spanish. Common practice, no source. Of a note
 * nothing is ever read but these and `repair-words.ts` (document/reuse.ts keeps what rests on them).
 *
 * Precautions are marked in a sentence first, a letter and low lines in the place of each, so that the patterns stay small:
 * with every name of a precaution in each of them they would take a third of a second to compile.
 */
const few = String.raw`(?:(?:the|an?|any|all|your|its|this|that|such|full|whole|more|about|using?|wear(?:ing)?|put(?:ting)? on|fetch|insulat(?:ing|ed)|rubber|safety|proven|orange) ){0,4}`;
const pocas = String.raw`(?:(?:el|la|los|las|unos?|una|del?|al|a|en|con|ningun[oa]?|ningun tipo|usar|utilizar|llevar|poner(?:se)?|colocar|hacer|tanto|mas|otro) ){0,4}`;
const tension = String.raw`(?:(?:la |el )?(?:ausencia de )?(?:tension|voltaje))`;
/** What is switched off, or stays plugged in. */
const supply = String.raw`(?:12 ?v(?:olts?)?(?: (?:battery|supply))?|(?:auxiliary|service) battery|(?:high voltage|hv)(?: system)?|service (?:plug|disconnect)|(?:(?!the )\w+ )?(?:airbags?|restraints?|(?:pre)?tensioners?|curtain bags?|squibs?)(?: plugs?| connectors?)?)`;
const toma = String.raw`(?:bateria (?:de 12 ?v|auxiliar)|12 ?v|acumulador|alta tension|alto voltaje|(?:airbags?|bolsas? de aire|pretensor(?:es)?)(?: de(?:l| la)? \w+)?)`;
const place = String.raw`(?:it|them|(?:(?:the|both|orange|high voltage|open) )*(?:plugs?|connectors?|halves|half|receptacles?|pins|contacts|sockets?|cables?))`;
const doors = String.raw`(?! (?:the )?(?:\w+ )?(?:doors?|car|vehicle|gate|boot)\b)`;
/** Precautions as work, by what also names them, and by their names alone. */
const verb = String.raw`wait (?:for|until) (?:the )?(?:capacitors?|discharge|proof|full|whole)|isolate|prove|measure(?: (?:first|again|it|(?:the |any |for )?voltage)|$)|(?:test|check)(?: for| the| that)? (?:voltage|(?:it )?is dead|dead)|(?:cover|cap) ${place}|discharge|chock|(?:shut|power) it down|power down|switch(?: it)? off|de ?energi[sz]e|depressuri[sz]e|(?:disconnect|unplug|switch off|take off) (?:the )?${supply}|(?:put|take|switch) (?:the )?${supply} off`;
const verbo = String.raw`esperar(?! (?:al?|por)\b)|esperar a (?:que|la) (?:se )?(?:descarg|condens)\w*|bloquear|aislar|(?:medir|comprobar|verificar|probar)(?: (?:antes|primero|nada|${tension})|$|(?= no ))|tapar(?: (?:nada|las? (?:otra )?mitad(?:es)?|(?:el |los )?(?:conector(?:es)?|contactos?))|$)|purgar|descargar(?! (?:el|los) datos)|calzar(?! (?:la|el) (?:puerta|porton|cofre|capo))|apagar|(?:desconectar|quitar|desenchufar) (?:el |la |los )?${toma}`;
const both = String.raw`wait(?! (?:for|until|till|on|with|longer|more|at|to)\b)|(?:lock|tag) ?out|lock (?:it|the \w+(?: plug| switch)?)(?: out| off)|lock${doors}|purge(?! (?:the )?(?:brakes?|coolant|clutch))|shut ?down`;
const noun = String.raw`gloves?|loto|lock ?outs|locks${doors}|padlocks?|isolation|wait(?: times?)?(?! (?:for|until|till)\b)|wait(?:s|ing times?)|proofs?(?: of (?:no|absence of|zero) voltage)?|waiting(?! (?:for|until)\b)|(?:isolat|prov|discharg|purg|chock|lock|capp)ing(?: (?:it|out|off|dead|first|(?:the|both) \w+)){0,2}|covering ${place}|(?:disconnecting|unplugging) (?:the )?${supply}|wearing gloves|voltage (?:check|test)s?|(?:multi ?)?meters?|voltage testers?|interlocks?|hvil|(?:axle )?stands|chocks?|extinguishers?|face ?shields?|visors?|goggles|ppe|protective (?:gear|equipment)|insulat(?:ed|ing) (?:tools|mats?)|training|(?:trained|qualified) (?:person|people|technician)|(?:second|other) person|fire watch|discharge time`;
const nombre = String.raw`(?:guantes?|bloqueo|candados?|(?:tiempos? de )?espera(?! (?:el|la) )|aislamiento previo|(?:prueba|comprobacion|verificacion)(?: de(?: la)? ${tension})?|(?:multi|volti)metro|medidor|enclavamiento|interbloqueo|purga(?! de(?: los| del?)? (?:frenos?|refrigerante|embrague))|calzos?|cunas|caballetes|torres|extintor|careta|pantalla facial|epp|epi|equipo de proteccion|herramientas? aisladas?|tapete aislante|formacion|capacitacion|(?:personal|persona) (?:formad|capacitad|cualificad|calificad)[oa])(?: aislantes?| dielectricos?| de (?:seguridad|goma|servicio))?`;
const cover = String.raw`covers?|caps?|dummy plugs?|tapas?|tapones|cubiertas?`;
/** A lid of something else, or its lock. */
const other = String.raw`(?<!\b(?:parking|seat|wheel|engine|fuse|belt|mirror|trim|door|bumper|sill|dust|valve|hub|end|fuel|filler|child|steering|boot|tailgate|bonnet) )`;
const precaution = new RegExp(
  String.raw`\b(?:(${verb}|${verbo})|${other}(?:(${both})|(${noun}|${nombre})|(${cover}))|(${supply}|${toma}))\b`,
  'g',
);
const marked = (sentence: string): string =>
  sentence.replaceAll(precaution, (words: string, ...kinds: unknown[]) =>
    'VBNCS'[kinds.findIndex((kind) => kind !== undefined)]!.padEnd(words.length, '_'),
  );
const [named, either, off] = ['[NBC]_*(?!_)', '[NBCV]_*(?!_)', 'S_*(?!_)'];

const needless = String.raw`(?:unnecessary|needless|optional|superfluous|overkill|pointless|(?:a )?waste of time|(?:only |just |a mere )?a formality|(?:not|never) (?:really |strictly |always |at all )?(?:needed|required|necessary|mandatory|compulsory))`;
const leaving = String.raw`(?:skip(?:ping)?|omit(?:ting)?|leave out|miss out|bypass(?:ing)?|overrid(?:e|ing)|defeat|disable|cheat|bridge|ignore|forget(?: about)?|never mind|(?:do|get by|manage|work) without|dispense with|shorten|cut short|(?:do not|don't) (?:bother|worry|waste (?:any )?time)(?: with| about| on| to)?)`;
const dejar = String.raw`(?:omit(?:ir|e|an?)|salt(?:arse|ar|ate|ese|ense)|obvi(?:ar|e)|olvid(?:arse de|ate de|ese de|ar|e|a)|ignor(?:ar|e|a)|prescind(?:ir|a|e) del?|anul(?:ar|e|a)|puente(?:ar|e|a)|bypase\w+|deshabilitar|acort(?:ar|e|a)|pas(?:ar|e|a) por alto|no (?:perder|pierdas|gastar) tiempo (?:con|en)|no (?:te molestes|molestarse|preocuparse) (?:en|con|por))`;
const isnt = String.raw`(?:need not|needn't|(?:do(?:es)? not|don't|doesn't) (?:need|have) to)`;
const noHay = String.raw`no (?:se |te |le |les |me |nos )?(?:hacen? falta|(?:es|son) (?:necesari|precis|obligatori)[oa]s?|(?:necesit|precis|ocup)(?:an?|as|amos|o)|requieren?|exigen?|hay (?:que|necesidad de)|tienen? (?:que|por que)|(?:vale|merece) la pena)`;
const hands = String.raw`(?:works?|do(?! not)|done|open(?:ed)?|pull(?:ed)?|unplug(?:ged)?|disconnect(?:ed)?|measured?|changed?|swap(?:ped)?|touch|cut|weld|handled?|fine|ok|okay)`;
const manos = String.raw`(?:(?:trabaj|abr|desconect|desenchuf|conect|hac|toc|quit|jal|cambi|cort|med|sold)[aei]r(?:l[oa]s?|se)?|hace|funciona)`;
const old = String.raw`(?:the |an? )?(?:old|used|same|worn) (?:seal|gasket|o ring)s?`;

const patterns = (list: readonly string[]): readonly RegExp[] =>
  list.map((words) => new RegExp(String.raw`\b(?:${words})`));
/** Around precautions that are marked. */
const waived = patterns([
  String.raw`no (?:real )?(?:need|reason|point|call)(?: here)?(?: to| for| in| of)? ${few}${either}`,
  String.raw`no ${few}${named}(?: (?:and|or|nor) ${few}${named})?(?: is| are)? (?:needed|required|necessary)(?! that\b)`,
  String.raw`${named}(?: (?:and|or) ${named})?(?: is| are)? (?:${needless}|(?:isn't|aren't) (?:needed|required|necessary)|(?:only |just )?(?:get in the way|slow you down))`,
  String.raw`(?:${needless} to|${leaving}|do(?:es)? not (?:need|require)|(?:don't|doesn't|will not|won't) (?:need|require)|need no|${isnt}|(?:we|i) (?:never|do not|don't)) ${few}${either}(?! (?:without|until|unless|before)\b)`,
  String.raw`leave ${few}${named} (?:off|out|away)`,
  String.raw`(?<=^ *)no ${few}${named}(?: *$| (?:today|tonight|this time)\b)|(?<=^ *)${few}${named} (?:none|no|n/a|ningun[oa]?) *$|(?:do|take) ${few}${named} later|(?<=(?:^|,) *)(?:(?:do not|don't|no) [BV]_*|(?:do not|don't) (?:wear|use) ${few}${named}|no (?:poner|usar|llevar) ${pocas}${named}) *(?:$|,)|(?:\d+|one|two|three|five|ten)(?: minutes?| min\b| s\b| seconds?)(?: of)? (?:[BNV]_* )?(?:is|are) (?:enough|plenty|fine)`,
  String.raw`${named} (?:can|may|could) (?:safely |just |also |well |always )*(?:be (?:skipped|left (?:out|off|away)|omitted|ignored|bypassed|bridged|defeated|disabled|overridden|shortened|cut short|dispensed with|forgotten)|B_*|stay (?:in|at|on) the (?:store|box|shelf|van|office|cabinet|wall)|come later)`,
  String.raw`(?:do not|don't) B_*(?: here|,|$| that long| the (?:ten|full|whole|\d))|(?:do not|don't) wait for the (?:capacitors?|discharge)`,
  String.raw`with ?out ${few}[NB]_*`,
  String.raw`${off} (?:can|may|could) (?:just |safely |also |well )*(?:stay|remain|be left|be kept) (?:plugged|connected|on\b(?! charge))`,
  String.raw`(?:${noHay}|sin necesidad de|${dejar}|(?:es|son) (?:opcional(?:es)?|innecesari[oa]s?)) ${pocas}${either}`,
  String.raw`${either} (?:no (?:se )?(?:hacen? falta|(?:(?:es|son) )?(?:necesari|obligatori|precis|imprescindible)\w*|(?:necesit|precis|ocup)an?|requieren?)|(?:es|son) (?:opcional(?:es)?|innecesari[oa]s?|una perdida de tiempo)|sobran?|(?:solo )?estorban|se pueden? (?:omitir|saltar|acortar|obviar|dejar|ignorar)|pueden? (?:omitirse|saltarse|acortarse|obviarse|dejarse|ignorarse|V_*|quedar(?:se)? en el))`,
  String.raw`(?<!\b(?:cables?|hilos?|puntas?|conductor(?:es)?|lineas?|tuberias?|circuitos?|sistemas?|depositos?|tanques?|frenos|o|estan?|quedan?|siguen?) )sin ${pocas}[NBV]_*`,
  String.raw`${off} pueden? (?:quedar(?:se)?|seguir|dejarse|permanecer) (?:conectad|enchufad|encendid|puest)`,
]);
/** Around what is switched off, or stays on. */
const waivedLive = patterns([
  String.raw`(?:${off}|[NB]_*|it|tester|wheels|orange \w+|plug|connector|half|halves|system|inverter|pins) ${isnt} be (?:covered|capped|isolated|locked(?: out| off)?|proven|measured|tested|purged|discharged|disconnected|unplugged|chocked|shut (?:down|off)|switched off)`,
  String.raw`${hands}(?: \w+){0,3} with (?:the )?(?:${off}|power|voltage|system|ignition|main switch)(?: still| left)? (?:on|up|live|connected|plugged)\b(?! (?:the|an?) )`,
  String.raw`${manos}(?: (?:el|la|los|conector|sistema|cable|asi|todo|bien))* (?:con (?:la |el )?(?:tension|voltaje|corriente|sistema (?:encendido|energizado|activo)|S_*(?: (?:conectad|puest|encendid)\w+| *$))|en vivo|energizad[oa])`,
  String.raw`with ?out (?:(?:shutting|powering)(?: (?:it|the \w+))? down|switching(?: (?:it|the \w+))? off|(?:measuring|testing) (?:first|for voltage|voltage))`,
]);
/** As they stand. */
const waivedPlainly = patterns([
  String.raw`${leaving} ${few}(?:capacitors|(?:\d+|ten|five|fifteen)(?: min\w*|$))|carry on without (?:it|them|one)`,
  String.raw`${hands}(?: (?:it|this|that|them|on|fine|safely|quickly|the|plug|connector|cable|also|even|while|when|still|is|out|off|down)){0,5}(?: the \w+)? (?:live|powered up|energi[sz]ed)(?= *(?:$|,|\(|(?:if|while|when|and|is|to|because|as|by|on|here|too|anyway)\b))`,
  String.raw`(?:leave|keep) (?:the )?(?:high voltage|hv|power|system)(?: system)? (?:on|up|live|connected|energi[sz]ed)|(?:dejar|mantener) (?:la |el )?(?:alta tension|alto voltaje|tension|voltaje|sistema|corriente) (?:conectad|encendid|puest|activ)[oa]`,
  String.raw`no (?:danger|risk) (?:in|of|from|when) (?:touching|handling|opening|pulling)|(?<!\b(?:proof|proven|tested)\b.*)(?:safe|fine|ok|okay|no danger|harmless) to (?:touch|handle|grab|pull|open|unplug|cut)(?! (?:the |a |its )?(?:\w+ )?(?:tailgate|windows?|doors?|boot|trunk|bonnet|hood|car|vehicle|trim|bumper|seat|roof|sunroof))`,
  String.raw`assume (?:it|that it|the \w+)(?: \w+)? is (?:dead|discharged|isolated)|dar por (?:muert|descargad|aislad)[oa]|(?:leave|keep) it (?:live|powered|energi[sz]ed)|(?:dead|discharged|isolated) anyway|(?:should|must|will) be (?:dead|discharged) (?:by now|anyway|already)|(?:won't|will not|does not|doesn't|cannot|can't) (?:bite|hurt)|nothing (?:will|can|is going to) happen|bare hands (?:are|is|will)|with bare hands`,
  String.raw`(?:re ?us(?:e|ing)|refit|use again|put back) ${old}|use ${old} again|(?:old|used|worn) (?:seal|gasket|o ring)s? (?:can|may|could) be (?:re ?used|used again|refitted)`,
  String.raw`(?:one|a single|either) half (?:alone |only |covered )?(?:is (?:good enough|enough|fine|plenty)|will do|suffices)|(?:cover|cap) (?:only|just) one half`,
  String.raw`(?:tape|bag|rag) (?:alone |only )?(?:will do|is (?:enough|fine|good enough|plenty)|suffices)(?! to (?:hold|fix|keep))|(?:ignition|key|it) off is enough`,
  String.raw`(?:any(?:one|body)|apprentice|trainee|helper) (?:can|may) (?:do|open|pull|disconnect|unplug|isolate|lock|prove|measure)(?! (?:the )?(?:\w+ )?(?:doors?|windows?|tailgate|boot|paint\w*|car|vehicle))`,
  String.raw`no (?:esperar|esperes|espere|bloquear|bloquees)(?= *(?:$|,|tanto|los (?:diez|\d)))|no (?:perder|gastar) tiempo (?:esper|bloque|mid|comprob)`,
  String.raw`(?:hacer(?:lo|se)?|trabajar|desconectar|desenchufar|conectar)(?:lo|la)? en caliente`,
  String.raw`se puede tocar (?:ya|con la mano)|tocar sin (?:miedo|peligro|riesgo|problema|cuidado)|es seguro tocar|(?:muert[oa]|sin tension|descargad[oa]) de tod[oa]s (?:modos|formas|maneras)|(?<!\bsi )no (?:pasa|va a pasar) nada|no muerde|manos desnudas`,
  String.raw`(?:re ?utilizar|re ?usar|aprovechar|(?:volver a )?(?:usar|poner|montar)) (?:la |el |las )?(?:misma? )?(?:junta|sello|reten|empaque)s? (?:viej|usad|anterior|gastad)\w*`,
  String.raw`(?:una|media) (?:sola )?mitad (?:basta|es suficiente|alcanza|vale)|(?:basta|alcanza|es suficiente)(?: con)? (?:tapar )?una(?: sola)? mitad|(?:tapar (?:solo una|una sola)|solo se tapa una|se tapa solo una) mitad`,
  String.raw`cinta(?: aislante)? (?:sola )?(?:basta|es suficiente|alcanza|vale)|(?:basta|alcanza|es suficiente)(?: con)? (?:(?:la )?cinta|(?:un|medio|dos|\d+) (?:minutos?|segundos?) de espera)|quitar el contacto (?:basta|es suficiente)`,
  String.raw`(?:cualquiera|aprendiz|ayudante) (?:lo )?puede (?:hacer|abrir|desconectar|desenchufar|aislar|medir)`,
]);

/** Most sentences hold none of these, and are looked at no further. */
const anyStem = new RegExp(
  [
    String.raw`need|have to|formality|(?:^|[.;!?]) *no |\bno *(?:$|\.)|none|n/a|later|assume|dar por|min\w* (?:\w+ )?(?:is|are) |(?:^|[.,;!?]) *(?:do not|don't) |slow you|no (?:danger|risk|point|reason|call)|requir|neces|optional|overkill|superfl|pointless|worry|waste|skip|om[ií]t|leav(?:e|ing) |miss out|bypass|overrid|defeat|disabl|cheat|bridg|ignor|forget|never mind|\b(?:we|i) (?:never|do)|with ?out|dispens|shorten|cut short|bother`,
    String.raw`(?:can|may|could) (?:safely|just|also|well|always|be (?:sk|le|om|ig|by|br|de|di|ov|sh|cu|fo|ke|re|us)|wait|stay|remain|come|lock|do|open|pull|unplug|disc|isol|prov|meas)|(?:do not|n't) (?:wait|lock|isol|prov)|(?:won|doesn|isn|aren)'t|\blive\b|powered up|energi|with (?:the )?(?:power|hv|high|volt|syst|main|12|serv|aux|airb|\w+ airb)|keep (?:the )?(?:hi|hv|po|sy)|(?:safe|fine|ok|okay|harmless) to|anyway|by now|already|bite|hurt|happen|bare hands|re-?us|refit|use again|put back|used? .*again|one half|half (?:alone|only|cov|is|will)|(?:tape|bag|rag) (?:alone|only|will|is|suf)|off is|get in|on without|apprentice|trainee|helper|any(?:one|body)`,
    String.raw`falta|precis|obligat|ocup|requi|exig|no hay|no (?:se |te |le |les |me |nos )?tiene|la pena|opcional|innec|sobra|p[eé]rdida|puede|\bsin |obvi|s[aá]lt|olv[ií]d|ign[oó]r|prescind|anul|puent|bypas|habilit|acort|por alto|no (?:perder|pierd|gast|te mol|molest|preoc|pasa|va a|muerde|esper|bloq)|con (?:la |el |los )?(?:alt|tens|volt|corr|sist|airb|bol|pret|bater|acum|12)|vivo|caliente|(?:dejar|mantener) (?:la |el )?(?:alt|tens|volt|sist|corr)|tod[oa]s (?:mod|form|man)|desnud|(?:junta|sello|ret[eé]n|empaque)s? (?:viej|usad|ant|gast)|mitad (?:bas|es|alc|val)|una (?:sola )?mitad|cinta (?:ais|sola|bas|es|alc|val)|basta|alcanza|suficiente|aprendiz|ayudante|estorb|es seguro|trabaj\w+ energ`,
  ].join('|'),
  'i',
);

/** What turns the words that follow round. */
const denial = String.raw`(?:not|n't|never|cannot|nobody|no one|none|nothing|nor|neither|impossible|whether|instead of|rather than|make sure|check (?:that|whether)|ensure|before (?:you|any\w+|somebody)|no (?:work|step|plug|connector|hand)|no|nunca|jamas|nadie|ningun[oa]?|nada|ni|tampoco|prohib\w+|imposible|evit\w+|en (?:vez|lugar) de|asegur\w+|comprobar que)`;
const denied = new RegExp(String.raw`(?:\b|(?<=n))${denial}\b`);
const deniedList = new RegExp(String.raw`(?:\b|(?<=n))${denial}(?: \w+){0,2} (?:${leaving}|${dejar})\b`);
/** Another thought begins here. */
const turn = /,(?! (?:or|nor|and|o|ni|y|e)\b)|\b(?:but|just|so|pero|asi que)\b/;
/** What is forbidden, warned of, or told of as a fault. */
const forbidden =
  /\b(?:forb[ia]d\w*|prohib\w*|(?:not|never) (?:allowed|permitted|acceptable)|(?:is|are) (?:an? )?(?:\w+ )?(?:fault|mistake|dangerous|deadly|fatal|lethal|illegal)|(?:es|son) (?:una? )?(?:falta|error|peligros[oa]s?|mortal(?:es)?|ilegal)|kills|mata|refus\w*|reject\w*|no (?:esta |se )?permit\w*|rechaz\w*)\b/;
/** A warning, up to the next comma. */
const warnedOf = /\b(?:careful|caution|beware|cuidado|ojo|atencion)\b[^,]*$/;
/** A time at which the precaution has done its work, or work that needs none. */
const excused =
  /\b(?:after|once|when|if|despues de|una vez|cuando|tras|si)\b[^,]*\b(?:closed|re ?connected|reconnection|refitted|mated|plugged in|proven|proof|re ?conect|volver a conectar|cerrad|comprobad)|\b(?:after|once|despues de|una vez|tras)\b[^,]*\b(?:clos|re ?connect|refit|deliver|entreg)|\b(?:before|for|during|antes del?|para|durante) (?:the |an? |this |el |la |los |las )?(?:estimat|quot|photo|paint|scan|polish|wash|road test|mask|label|lamp|trim|seat|paperwork|diagnos|software|updat|presupuest|fotos?\b|pint|escan|pul|lava|faro|asiento|etiquet|actualiz)/;
/** A wait of paint, and people who wait for their vehicle. */
const otherWait = /\b(?:coats?|wet on wet|sealer|primer|entre manos|barniz)\b[^,]*$/;
const visitor = /\b(?:customers?|clientes?|visitors?|visitantes?)\b[^,]*$/;
const ofWaiting = /\b(?:wait\w*|esper\w*)\b/;
/** "If gloves are not needed, the text says so". */
const supposed = /\b(?:if|where|when|unless|si|donde|cuando) (?:(?:the|el|la|los|las) )?$/;
const withoutIt = /^(?:with ?out|sin)\b/;
/** What is told of, not asked for. */
const told = /\b(?:was|were|came|arrive[sd]|found|ha[sd]|worked|vino|llega|llego|estaba|fue|trabajo)\b/;
/** "Without the lock do not go on", "Without its lock it works loose": it counts only where nothing of the kind follows. */
const alone = /^ *(?:$|,|\(|(?:is|are|es|se puede|it)\b)/;

const restraint = /air-?bag|tensioner|restraint|curtain|squib|12 ?v|bolsas? de aire|pretensor|acumulador/i;
/** Whether words name an airbag, a pretensioner, or the 12 V that fires them. */
export const namesRestraint = (words: string): boolean => restraint.test(words);

/**
 * The first words of a text that leave a precaution out or allow live work, as they are written. A sentence that forbids it, or
 * tells when a precaution has done its work, does not count.
 */
export function waivedByText(text: string): string | undefined {
  if (!anyStem.test(text)) return undefined;
  const written = text
    .normalize('NFC')
    .replaceAll('’', "'")
    .replaceAll(/\s+/g, ' ')
    .replaceAll(/: (?=(?:not?|none|n\/a|ningun[oa]?)\b)/gi, ' ');
  const plain = plainWords(written).replaceAll('-', ' ');
  const quoted = plain.length === written.length ? written : plain;
  for (const { 0: sentence, index } of plain.matchAll(/(?:[^.;:!?]|[.:](?=\S))+/g)) {
    if (!anyStem.test(sentence) || forbidden.test(sentence)) continue;
    const marks = marked(sentence);
    const found =
      (marks === sentence ? undefined : firstOf(waived, marks, sentence)) ??
      firstOf(waivedLive, marks, sentence) ??
      firstOf(waivedPlainly, sentence, sentence);
    if (found) return quoted.slice(index + found.from, index + found.to);
  }
  return undefined;
}

function firstOf(
  list: readonly RegExp[],
  inText: string,
  sentence: string,
): { readonly from: number; readonly to: number } | undefined {
  for (const pattern of list) {
    const found = pattern.exec(inText);
    if (!found) continue;
    const [from, to] = [found.index, found.index + found[0].length];
    if (!isDenied(sentence, from, to)) return { from, to };
  }
  return undefined;
}

function isDenied(sentence: string, from: number, to: number): boolean {
  const [before, words, after] = [sentence.slice(0, from), sentence.slice(from, to), sentence.slice(to)];
  if (excused.test(after) || supposed.test(before) || warnedOf.test(before)) return true;
  if (visitor.test(before)) return true;
  if (
    ofWaiting.test(words) &&
    (otherWait.test(before) ||
      /^(?: time)? (?:between|entre) (?:coats|manos)\b/.test(after) ||
      /wet on wet/.test(before))
  )
    return true;
  if (withoutIt.test(words)) {
    if (before.trim() === '') return denied.test(after) || !alone.test(after);
    return denied.test(before) || told.test(before);
  }
  const clause = before.split(turn).at(-1)!;
  return denied.test(clause) || (clause !== before && deniedList.test(before));
}
