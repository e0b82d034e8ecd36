/**
 * What a word of a column's name can say. `main` is the main panel's, which the grid feeds or the inverter;
 * `chargeOrLoad` is a word that means charging in one language or place and load in another (carga, charge); `elsewhere`, `limit`, `health`, `aside` and `circuit` are words of
 * columns that are no channel of ours: another place's temperature, a setting, an index, a single appliance.
 */
export type NameConcept =
  | "load"
  | "solar"
  | "battery"
  | "grid"
  | "main"
  | "generator"
  | "inverter"
  | "total"
  | "peak"
  | "mean"
  | "power"
  | "current"
  | "voltage"
  | "apparent"
  | "reactive"
  | "frequency"
  | "temperature"
  | "soc"
  | "level"
  | "energy"
  | "import"
  | "export"
  | "charge"
  | "discharge"
  | "chargeOrLoad"
  | "leg"
  | "string"
  | "input"
  | "output"
  | "source"
  | "fault"
  | "positive"
  | "negative"
  | "into"
  | "outOf"
  | "dc"
  | "ac"
  | "elsewhere"
  | "limit"
  | "health"
  | "aside"
  | "circuit"
  | "time"
  | "nothing";

/**
 * General words of the trade, without accents and in lower case: English, Spanish, German, French, Italian,
 * Portuguese, Dutch. No maker's headers. Compounds (Netzbezug, batterijspanning) are taken apart into these.
 */
const WORDS: { readonly [C in NameConcept]: string } = {
  load: `load loads loading consumption consumed consumer consumers house home household site building demand usage use
    consumo consumos consumida consumido casa vivienda hogar demanda cargas last lasten verbrauch verbraucher
    verbrauchs haus gebaude gebaeude  bedarf haushalt consommation consommee conso maison foyer logement
    habitation charges carico carichi consumi abitazione utenze fabbisogno habitacao verbruik huis woning belasting
    belastingen afnemers`,
  solar: `solar pv ppv array arrays panel panels photovoltaic photovoltaics sun roof fotovoltaico fotovoltaica fv sol paneles placas
    sonne sonnen solaranlage fotovoltaik photovoltaik modul dach erzeugung ertrag yield solaire soleil photovoltaique panneaux
    panneau production produced produccion produzione producao produktion productie generation generacion generated
    fotovoltaici pannelli solare sole paineis geracao zon zonne zonnepanelen panelen opwekking opbrengst opwek`,
  battery: `battery batteries batt bat batts pack bank storage bms accumulator bateria baterias acumulador acumuladores
    almacenamiento batterie batterien akku akkus speicher  stockage batteries accu accus accumulatore
    accumulo batteria batterij batterijen opslag armazenamento banco`,
  main: `main`,
  grid: `grid utility util mains street service public network netz stromnetz hausanschluss zaehler zahler meter reseau compteur red
    contador rete contatore rede medidor net netwerk stroomnet elektriciteitsnet`,
  generator: `generator genset gen generador groupe electrogene notstromaggregat aggregat generatore gerador aggregaat generateur`,
  inverter: `inverter inv wechselrichter inversor onduleur omvormer`,
  total: `total totals sum overall whole combined gesamt gesamte summe insgesamt globale global totale totaal ambos both somme
    soma somma suma`,
  peak: `peak peaks max maximum maximo maxima spitze spitzen pico pointe crete massimo picco piek highest`,
  mean: `mean avg average mittel mittelwert moyenne moyen media medio promedio medie gemiddeld gemiddelde instant instantaneous
    momentan aktuell actual momentane actuel`,
  power: `power pwr watts leistung potencia puissance potenza vermogen active activa aktive wirk wirkleistung real activo attiva ativa
    actieve potence pot wirkl`,
  current: `current amps amperage corriente strom strome courant intensite intensity intensidad corrente stroom amperaje`,
  voltage: `voltage volts volt spannung tension voltaje tensione tensao spanning`,
  apparent: `apparent schein scheinleistung aparente apparente schijnbaar schijnbaare`,
  reactive: `reactive blind blindleistung reactiva reactif reattiva reativa reactief var vars cosphi cos pf factor leistungsfaktor`,
  frequency: `frequency freq frequenz frecuencia frequence frequenza frequencia frequentie `,
  temperature: `temp temperature temperatur temperatura heatsink kuhlkorper kuehlkoerper temperatuur`,
  soc: `soc ladezustand ladestand fullstand laadtoestand `,
  level: `level nivel niveau stand fill percentage percent pct livello nivell prozent porcentaje pourcentage`,
  energy: `energy energie energia kwh wh mwh counter cumulative accumulated zahlerstand zaehlerstand meterreading
    arbeit acumulada acumulado cumulee cumul`,
  import: `imp import imports imported importing importe importation importacion importado importada bezug bezogen bezogene  purchased bought buy
    drawn draw soutirage soutiree preleve prelevement prelievo afname comprada comprado importata importazione importado achat
    compra kauf`,
  export: `exp export exports exported exporting exportation exportacion exportado exportada einspeisung einspeise eingespeist
    eingespeiste rueckspeisung ruckspeisung lieferung injection injected injectee inyeccion inyectada inyectado vertido
    excedente excedentes surplus excess sold sell feedin backfeed immissione immessa injecao injetada injetado teruglevering
    invoeding vendida vendido venta vente verkauf surplus exportata exportazione esportazione esportata`,
  charge: `chg charging charged laden geladen  aufladung ladung  lade  cargando cargado recharge
    recharging opladen laad laden caricamento`,
  discharge: `discharge discharging discharged dischg dchg dischrg descarga descargando entladung entladen entlade entlad decharge
    dechargement scarica ontladen ontlading ontlaad`,
  chargeOrLoad: `charge carga carica`,
  leg: `leg legs line lines phase phases ph hot conductor linie leiter aussenleiter linea linha ligne fase lijn phasen l bein`,
  string: `string strings str mppt tracker trackers strang straenge strange cadena chaine stringa`,
  input: `input in eingang entrada entree ingresso ingang`,
  output: `output out ausgang salida sortie uscita saida uitgang abgabe`,
  source: `source src feed fed mode state status supply relay transfer position quelle zustand modus betriebsart betrieb versorgung
    speisung fuente estado modo alimentacion suministro etat alimentation stato fonte alimentazione modalita fornecimento
    toestand bron voeding origin origen herkunft operation umschaltung commutation conmutacion carrier`,
  fault: `fault faults error errors err alarm alarms code warning warnings event events trip fehler fehlercode storung stoerung
    warnung meldung ereignis falla fallo fallos averia aviso evento codigo defaut erreur panne alarme evenement guasto
    errore allarme codice falha erro fout foutcode storing melding`,
  positive: `positive pos plus positiv positivo positiva positif positief`,
  negative: `negative neg minus negativ negativo negativa negatif negatief`,
  into: `to into towards hacia vers zum ins zur naar verso`,
  outOf: `from desde aus vom depuis uit dal`,
  dc: `dc gleichstrom`,
  ac: `ac wechselstrom`,
  elsewhere: `outdoor outside ambient room water tank cell cells environment weather indoor inside aussen exterior exterieure ambiente
    umgebung raum wasser zelle exterieur ambiante piece eau cellule celda agua module omgeving buiten kamer boiler umgebungs`,
  limit: `limit limits setpoint setpoints target targets threshold reserve rated rating nominal sollwert grenze grenzwert schwelle limite
    consigna consigne seuil umbral objetivo soll minimum min minimo capacity capacidad kapazitat kapazitaet capacite capacita`,
  health: `health soh cycles cycle zyklen ciclos salud`,
  aside: `humidity irradiance irradiation wind price tariff forecast count id serial version firmware index row record number nr num numero nummer n no
    comment note remark remarque bemerkung nota rssi uptime interpolated feuchte feuchtigkeit einstrahlung preis humedad irradiancia precio
    humidite prix rayonnement co2 pressure druck presion efficiency wirkungsgrad fan spare reserved unused quality checksum
    eigenverbrauch autoconsumo autoconsommation self autarkie autarky sunshine cloud neutral losses loss cost revenue`,
  circuit: `dishwasher freezer fridge refrigerator washing washer dryer oven stove kettle heat pump heatpump ev car charger wallbox
    submeter sub submetering kitchen laundry pool spa kiln welder lighting lights light aircon hvac geschirrspuler
    kuhlschrank waschmaschine trockner herd lavavajillas nevera lavadora secadora horno frigo lave congelateur four pompe
    frigorifero lavatrice forno koelkast wasmachine vaatwasser oven compressor circuit circuits stromkreis circuito`,
  time: `time date datetime timestamp stamp when ts utc fecha hora datum zeit uhrzeit zeitstempel heure horodatage epoch clock
    ora tijd day month year hour minute`,
  nothing: `the of and by per for de del der die das des du la le les el los las di da do en et und y e a an al au aux von
    on fur im im value wert valor valeur measured gemessen medido mesure dall dalla nella l side seite lado cote now signed sensor sensors channel kanal canal data col column spalte columna reg register signal ch`,
};

const BY_WORD = new Map<string, NameConcept>();
for (const [concept, list] of Object.entries(WORDS)) {
  for (const word of list.split(/\s+/))
    if (word !== "" && !BY_WORD.has(word)) BY_WORD.set(word, concept as NameConcept);
}

/** Word stems, for participles and endings of all sorts that no list holds; tried after the words. */
const STEMS: readonly (readonly [RegExp, NameConcept])[] = [
  [/^(import|prelev|prelieb|soutir|achet|compr[ao]|acquist|bezieh|bezog|afgenom|afneem)/, "import"],
  [
    /^(export|inject|injekt|inyect|injet|einspeis|eingespeis|immess|immiss|invoed|terugl|vert|exced|vend|verkauf|verkoch|verkoop)/,
    "export",
  ],
  [/^(discharg|descarg|decharg|entlad|entlad|ontlad|scaric|dischr?g)/, "discharge"],
  [/^(charg(ed|ing|ee|ees|eur)|cargad|gelad|geladen|opgelad|caricat|recharg|carregad|carrega)/, "charge"],
  [/^(consum|consom|verbrauch|gebruik|verbruik)/, "load"],
  [/^(produ[czkt]|erzeug|gener[ai][dtc]|opgewek|fotovolt|photovolt)/, "solar"],
  [/^(temperat)/, "temperature"],
  [/^(exter|outdoor|ambient|umgeb|aussen)/, "elsewhere"],
  [/^(humid|humed|umid|feucht|vochtig|luchtvocht)/, "aside"],
  [/^(batter|bateri|akkumul|acumul|accumul)/, "battery"],
  [/^(frequen|frecuen|frequ)/, "frequency"],
];

/** Shortest word that is looked for inside a compound; shorter ones only where listed. */
const COMPOUND_MIN = 4;
/** Longest word that is taken apart. */
const COMPOUND_MAX = 60;
const SHORT_IN_COMPOUND = new Set([
  "pv",
  "fv",
  "dc",
  "ac",
  "soc",
  "bat",
  "inv",
  "red",
  "net",
  "ph",
  "zon",
  "temp",
]);
/** Letters that join the words of a compound. */
const JOINTS = ["", "s", "n", "en", "es", "e", "er", "de"];

/**
 * What one word of a name (lower case, no accents) says: one concept, or the concepts of the words that it is
 * made of; empty where it isn't known.
 */
export function nameConcepts(word: string): readonly NameConcept[] {
  const known = BY_WORD.get(word);
  if (known !== undefined) return [known];
  // No compound is longer; a damaged header can be one word of a megabyte.
  if (word.length < 5 || word.length > COMPOUND_MAX) return [];
  const apart = takenApart(word, 3);
  if (apart !== null) return apart;
  const stem = STEMS.find(([pattern]) => pattern.test(word));
  return stem === undefined ? [] : [stem[1]];
}

function takenApart(word: string, parts: number): NameConcept[] | null {
  for (let end = word.length; end >= 2; end--) {
    const first = word.slice(0, end);
    const concept = BY_WORD.get(first);
    if (concept === undefined || !(first.length >= COMPOUND_MIN || SHORT_IN_COMPOUND.has(first))) continue;
    if (end === word.length) return [concept];
    if (parts === 1) continue;
    for (const joint of JOINTS) {
      if (!word.startsWith(joint, end)) continue;
      const rest = takenApart(word.slice(end + joint.length), parts - 1);
      if (rest !== null) return [concept, ...rest];
    }
  }
  return null;
}
