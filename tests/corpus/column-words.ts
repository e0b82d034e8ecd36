import type { SourceState } from "./invented-house";

/** Languages that columns are named in; `abbr` are the symbols of the trade, `generic` says nothing. */
export const LANGUAGES = ["en", "es", "de", "fr", "it", "nl", "pt", "abbr"] as const;

export type Language = (typeof LANGUAGES)[number];

/** What a column is about, before its unit and sign. */
export type Topic =
  | "load"
  | "total"
  | "va"
  | "volt"
  | "amp"
  | "pv"
  | "pv1"
  | "pv2"
  | "pvV"
  | "pvA"
  | "bat"
  | "batA"
  | "batV"
  | "soc"
  | "chg"
  | "dis"
  | "chgA"
  | "disA"
  | "grid"
  | "gridLeg"
  | "gridV"
  | "imp"
  | "exp"
  | "source"
  | "fault"
  | "freq"
  | "tInv"
  | "eTotal"
  | "eLeg"
  | "ePv"
  | "eImp"
  | "eExp"
  | "eChg"
  | "eDis"
  | "tRoom"
  | "tOut"
  | "humidity"
  | "note"
  | "number"
  | "gen"
  | "price"
  | "signal";

/** How the legs are called; a log keeps to one. */
export const LEG_NAMES: Readonly<Record<Language, readonly (readonly [string, string])[]>> = {
  en: [
    ["L1", "L2"],
    ["L1", "L2"],
    ["Leg 1", "Leg 2"],
    ["Leg A", "Leg B"],
    ["Line 1", "Line 2"],
    ["Phase A", "Phase B"],
  ],
  es: [
    ["L1", "L2"],
    ["Fase 1", "Fase 2"],
    ["Línea 1", "Línea 2"],
  ],
  de: [
    ["L1", "L2"],
    ["Phase 1", "Phase 2"],
    ["Phase L1", "Phase L2"],
  ],
  fr: [
    ["L1", "L2"],
    ["Phase 1", "Phase 2"],
    ["Ligne 1", "Ligne 2"],
  ],
  it: [
    ["L1", "L2"],
    ["Fase 1", "Fase 2"],
  ],
  nl: [
    ["L1", "L2"],
    ["Fase 1", "Fase 2"],
  ],
  pt: [
    ["L1", "L2"],
    ["Fase 1", "Fase 2"],
  ],
  abbr: [["L1", "L2"]],
};

/** Names by topic; `{leg}` takes a leg's name. Those whose language has none take the English one. */
export const COLUMN_NAMES: Readonly<Record<Language, { readonly [T in Topic]?: readonly string[] }>> = {
  en: {
    load: [
      "Load {leg}",
      "{leg} Load",
      "{leg} Load Power",
      "House {leg}",
      "Consumption {leg}",
      "Output Power {leg}",
    ],
    total: ["Total Load", "House Consumption", "Total Load Power", "Total Consumption", "Home Load"],
    va: ["Apparent Power {leg}", "{leg} Apparent", "Load {leg} apparent"],
    volt: ["{leg} Voltage", "Voltage {leg}", "Output Voltage {leg}"],
    amp: ["{leg} Current", "Current {leg}", "Load Current {leg}"],
    pv: ["Solar", "Solar Power", "PV Power", "PV Input Power", "Solar production"],
    pv1: ["PV1 Power", "Solar 1", "PV string 1"],
    pv2: ["PV2 Power", "Solar 2", "PV string 2"],
    pvV: ["PV Voltage", "Solar Voltage"],
    pvA: ["PV Current", "Solar Current"],
    bat: ["Battery Power", "Battery", "Batt Power"],
    batA: ["Battery Current", "Batt Current", "Battery Amps"],
    batV: ["Battery Voltage", "Batt Voltage", "Battery Volts"],
    soc: ["Battery SOC", "State of Charge", "SOC", "Battery Level"],
    chg: ["Battery Charge Power", "Charging Power", "Battery charging"],
    dis: ["Battery Discharge Power", "Discharging Power", "Battery discharging"],
    chgA: ["Charge Current", "Battery Charging Current"],
    disA: ["Discharge Current", "Battery Discharging Current"],
    grid: ["Grid Power", "Grid", "Utility Power", "Mains Power"],
    gridLeg: ["Grid {leg}", "Grid Power {leg}", "Utility {leg}"],
    gridV: ["Grid Voltage", "Utility Voltage"],
    imp: ["Grid Import", "Import Power", "From Grid", "Imported"],
    exp: ["Grid Export", "Export Power", "To Grid", "Exported"],
    source: ["Source", "Load Source", "Mode", "Operating Mode", "Supply"],
    fault: ["Fault Code", "Fault", "Error Code"],
    freq: ["Frequency", "Output Frequency", "Freq"],
    tInv: ["Inverter Temperature", "Inverter Temp", "Inverter heat sink temp"],
    eTotal: ["Load Energy", "Total Consumption", "House Consumption Energy"],
    eLeg: ["Load Energy {leg}", "{leg} Energy", "Consumption {leg}"],
    ePv: ["Solar Energy", "PV Yield", "Solar Production"],
    eImp: ["Imported Energy", "Grid Import", "Energy from Grid"],
    eExp: ["Exported Energy", "Grid Export", "Energy to Grid"],
    eChg: ["Battery Charge Energy", "Energy to Battery", "Battery Charged"],
    eDis: ["Battery Discharge Energy", "Energy from Battery", "Battery Discharged"],
    tRoom: ["Room Temperature", "Ambient Temp", "Shed temperature"],
    tOut: ["Outdoor Temperature", "Outside temp"],
    humidity: ["Humidity", "Rel. humidity"],
    note: ["Note", "Remarks", "Comment"],
    number: ["#", "No.", "Record"],
    gen: ["Generator Power", "Generator"],
    price: ["Price", "Rate USD/kWh"],
    signal: ["Signal strength", "RSSI"],
  },
  es: {
    load: ["Carga {leg}", "Consumo {leg}", "Potencia de carga {leg}", "Potencia de salida {leg}"],
    total: ["Carga total", "Consumo total", "Consumo de la casa", "Consumo del hogar"],
    va: ["Potencia aparente {leg}"],
    volt: ["Tensión {leg}", "Voltaje {leg}", "Voltaje de salida {leg}"],
    amp: ["Corriente {leg}", "Intensidad {leg}"],
    pv: ["Potencia solar", "Solar", "Potencia fotovoltaica", "Producción solar"],
    pv1: ["Solar 1", "Potencia FV1"],
    pv2: ["Solar 2", "Potencia FV2"],
    pvV: ["Tensión solar"],
    pvA: ["Corriente solar"],
    bat: ["Potencia de batería", "Batería", "Potencia batería"],
    batA: ["Corriente de batería", "Corriente batería", "Intensidad de batería"],
    batV: ["Tensión de batería", "Voltaje de batería"],
    soc: ["Estado de carga", "Nivel de batería", "SOC batería"],
    chg: ["Potencia de carga de batería", "Carga de batería"],
    dis: ["Potencia de descarga de batería", "Descarga de batería"],
    chgA: ["Corriente de carga"],
    disA: ["Corriente de descarga"],
    grid: ["Potencia de red", "Red", "Potencia red"],
    gridLeg: ["Red {leg}"],
    gridV: ["Tensión de red"],
    imp: ["Importación de red", "Consumo de red", "Importado"],
    exp: ["Exportación a red", "Inyección a red", "Vertido a red"],
    source: ["Fuente", "Modo", "Modo de operación", "Alimentación"],
    fault: ["Código de fallo", "Falla"],
    freq: ["Frecuencia"],
    tInv: ["Temperatura del inversor", "Temp. inversor"],
    eTotal: ["Energía consumida", "Consumo total"],
    eLeg: ["Energía {leg}", "Consumo {leg}"],
    ePv: ["Energía solar", "Producción solar"],
    eImp: ["Energía importada", "Energía de red"],
    eExp: ["Energía exportada", "Energía vertida a red"],
    eChg: ["Energía cargada en batería"],
    eDis: ["Energía descargada de batería"],
    tRoom: ["Temperatura ambiente"],
    tOut: ["Temperatura exterior"],
    humidity: ["Humedad"],
    note: ["Observaciones"],
    number: ["N.º"],
    gen: ["Potencia del generador"],
  },
  de: {
    load: ["Last {leg}", "Verbrauch {leg}", "Lastleistung {leg}", "Ausgangsleistung {leg}"],
    total: ["Gesamtlast", "Hausverbrauch", "Gesamtverbrauch", "Verbrauch gesamt"],
    va: ["Scheinleistung {leg}"],
    volt: ["Spannung {leg}", "Ausgangsspannung {leg}"],
    amp: ["Strom {leg}", "Ausgangsstrom {leg}"],
    pv: ["PV-Leistung", "Solarleistung", "PV-Erzeugung", "Solarerzeugung"],
    pv1: ["PV1-Leistung", "Solar 1"],
    pv2: ["PV2-Leistung", "Solar 2"],
    pvV: ["PV-Spannung"],
    pvA: ["PV-Strom"],
    bat: ["Batterieleistung", "Batterie", "Speicherleistung", "Akkuleistung"],
    batA: ["Batteriestrom", "Akkustrom"],
    batV: ["Batteriespannung", "Akkuspannung"],
    soc: ["Ladezustand", "Batterie SOC", "Akkustand"],
    chg: ["Batterieladung", "Ladeleistung", "Batterie laden"],
    dis: ["Batterieentladung", "Entladeleistung", "Batterie entladen"],
    chgA: ["Ladestrom"],
    disA: ["Entladestrom"],
    grid: ["Netzleistung", "Netz"],
    gridLeg: ["Netz {leg}", "Netzleistung {leg}"],
    gridV: ["Netzspannung"],
    imp: ["Netzbezug", "Bezug", "Strombezug"],
    exp: ["Netzeinspeisung", "Einspeisung"],
    source: ["Quelle", "Betriebsart", "Versorgung", "Betriebsmodus"],
    fault: ["Fehlercode", "Störung"],
    freq: ["Frequenz", "Ausgangsfrequenz"],
    tInv: ["Wechselrichtertemperatur", "Temperatur Wechselrichter"],
    eTotal: ["Energie Verbrauch", "Gesamtverbrauch"],
    eLeg: ["Energie {leg}", "Verbrauch {leg}"],
    ePv: ["PV-Ertrag", "Solarertrag"],
    eImp: ["Netzbezug", "Energie Bezug"],
    eExp: ["Einspeisung", "Energie Einspeisung"],
    eChg: ["Batterieladung", "Energie geladen"],
    eDis: ["Batterieentladung", "Energie entladen"],
    tRoom: ["Raumtemperatur"],
    tOut: ["Außentemperatur"],
    humidity: ["Luftfeuchte"],
    note: ["Bemerkung"],
    number: ["Nr."],
    gen: ["Generatorleistung"],
  },
  fr: {
    load: ["Charge {leg}", "Consommation {leg}", "Puissance charge {leg}", "Puissance de sortie {leg}"],
    total: ["Charge totale", "Consommation totale", "Consommation maison"],
    va: ["Puissance apparente {leg}"],
    volt: ["Tension {leg}", "Tension de sortie {leg}"],
    amp: ["Courant {leg}", "Courant de sortie {leg}"],
    pv: ["Puissance solaire", "Production PV", "Solaire", "Puissance photovoltaïque"],
    pv1: ["Solaire 1", "Puissance PV1"],
    pv2: ["Solaire 2", "Puissance PV2"],
    pvV: ["Tension PV"],
    pvA: ["Courant PV"],
    bat: ["Puissance batterie", "Batterie"],
    batA: ["Courant batterie", "Courant de la batterie"],
    batV: ["Tension batterie", "Tension de la batterie"],
    soc: ["État de charge", "Niveau batterie", "SOC batterie"],
    chg: ["Puissance de charge batterie", "Charge batterie"],
    dis: ["Puissance de décharge batterie", "Décharge batterie"],
    chgA: ["Courant de charge"],
    disA: ["Courant de décharge"],
    grid: ["Puissance réseau", "Réseau"],
    gridLeg: ["Réseau {leg}", "Puissance réseau {leg}"],
    gridV: ["Tension réseau"],
    imp: ["Import réseau", "Soutirage réseau", "Achat réseau"],
    exp: ["Export réseau", "Injection réseau"],
    source: ["Source", "Mode", "Alimentation", "Mode de fonctionnement"],
    fault: ["Code défaut", "Défaut"],
    freq: ["Fréquence"],
    tInv: ["Température onduleur", "Température de l'onduleur"],
    eTotal: ["Énergie consommée", "Consommation totale"],
    eLeg: ["Énergie {leg}", "Consommation {leg}"],
    ePv: ["Énergie solaire", "Production solaire"],
    eImp: ["Énergie importée", "Énergie soutirée"],
    eExp: ["Énergie exportée", "Énergie injectée"],
    eChg: ["Énergie chargée batterie"],
    eDis: ["Énergie déchargée batterie"],
    tRoom: ["Température ambiante"],
    tOut: ["Température extérieure"],
    humidity: ["Humidité"],
    note: ["Remarque"],
    number: ["N°"],
    gen: ["Puissance groupe électrogène"],
  },
  it: {
    load: ["Carico {leg}", "Consumo {leg}", "Potenza carico {leg}"],
    total: ["Carico totale", "Consumo casa", "Consumo totale"],
    volt: ["Tensione {leg}"],
    amp: ["Corrente {leg}"],
    pv: ["Potenza solare", "Fotovoltaico", "Produzione solare"],
    bat: ["Potenza batteria", "Batteria"],
    batA: ["Corrente batteria"],
    batV: ["Tensione batteria"],
    soc: ["Stato di carica"],
    chg: ["Potenza carica batteria", "Carica batteria"],
    dis: ["Potenza scarica batteria", "Scarica batteria"],
    chgA: ["Corrente di carica"],
    disA: ["Corrente di scarica"],
    grid: ["Potenza rete", "Rete"],
    gridLeg: ["Rete {leg}"],
    gridV: ["Tensione di rete"],
    imp: ["Prelievo dalla rete", "Importazione rete"],
    exp: ["Immissione in rete", "Esportazione rete"],
    source: ["Sorgente", "Modalità"],
    fault: ["Codice errore"],
    freq: ["Frequenza"],
    tInv: ["Temperatura inverter"],
    eTotal: ["Energia consumata"],
    ePv: ["Energia solare"],
    eImp: ["Energia prelevata"],
    eExp: ["Energia immessa"],
    eChg: ["Energia caricata batteria"],
    eDis: ["Energia scaricata batteria"],
  },
  nl: {
    load: ["Belasting {leg}", "Verbruik {leg}"],
    total: ["Totaal verbruik", "Totale belasting"],
    volt: ["Spanning {leg}"],
    amp: ["Stroom {leg}"],
    pv: ["PV-vermogen", "Zonnepanelen"],
    bat: ["Batterijvermogen", "Batterij"],
    batA: ["Batterijstroom", "Accustroom"],
    batV: ["Batterijspanning", "Accuspanning"],
    soc: ["Laadtoestand", "SOC batterij"],
    chg: ["Laadvermogen", "Batterij laden"],
    dis: ["Ontlaadvermogen", "Batterij ontladen"],
    chgA: ["Laadstroom"],
    disA: ["Ontlaadstroom"],
    grid: ["Netvermogen", "Net"],
    gridLeg: ["Net {leg}"],
    gridV: ["Netspanning"],
    imp: ["Netafname", "Afname net"],
    exp: ["Teruglevering"],
    source: ["Bron", "Bedrijfsmodus"],
    fault: ["Foutcode"],
    freq: ["Frequentie"],
    tInv: ["Temperatuur omvormer"],
    eTotal: ["Energie verbruik"],
    ePv: ["Zonne-energie"],
    eImp: ["Energie afname"],
    eExp: ["Energie teruglevering"],
    eChg: ["Energie batterij geladen"],
    eDis: ["Energie batterij ontladen"],
  },
  pt: {
    load: ["Carga {leg}", "Consumo {leg}"],
    total: ["Consumo total", "Carga total"],
    volt: ["Tensão {leg}"],
    amp: ["Corrente {leg}"],
    pv: ["Potência solar", "Produção solar"],
    bat: ["Potência da bateria", "Bateria"],
    batA: ["Corrente da bateria"],
    batV: ["Tensão da bateria"],
    soc: ["Estado de carga"],
    chg: ["Potência de carga da bateria"],
    dis: ["Potência de descarga da bateria"],
    chgA: ["Corrente de carga"],
    disA: ["Corrente de descarga"],
    grid: ["Potência da rede", "Rede"],
    gridLeg: ["Rede {leg}"],
    gridV: ["Tensão da rede"],
    imp: ["Importação da rede"],
    exp: ["Exportação para a rede", "Injeção na rede"],
    source: ["Fonte", "Modo"],
    fault: ["Código de falha"],
    freq: ["Frequência"],
    tInv: ["Temperatura do inversor"],
    eTotal: ["Energia consumida"],
    ePv: ["Energia solar"],
    eImp: ["Energia importada"],
    eExp: ["Energia exportada"],
    eChg: ["Energia carregada na bateria"],
    eDis: ["Energia descarregada da bateria"],
  },
  abbr: {
    load: ["P_load_{leg}", "Pload_{leg}", "Pout_{leg}"],
    total: ["P_load", "Pload", "P_load_tot"],
    va: ["S_load_{leg}", "S_{leg}"],
    volt: ["U_{leg}", "V_{leg}", "Vac_{leg}"],
    amp: ["I_{leg}", "Iac_{leg}"],
    pv: ["P_pv", "Ppv", "PV_P"],
    pv1: ["P_pv1", "Ppv1"],
    pv2: ["P_pv2", "Ppv2"],
    pvV: ["V_pv", "Upv"],
    pvA: ["I_pv", "Ipv"],
    bat: ["P_bat", "Pbat", "P_batt"],
    batA: ["I_bat", "Ibat", "I_batt"],
    batV: ["V_bat", "Ubat", "V_batt"],
    soc: ["SOC", "SoC", "bat_soc"],
    chg: ["P_chg", "P_charge"],
    dis: ["P_dischg", "P_discharge"],
    chgA: ["I_chg", "I_charge"],
    disA: ["I_dischg", "I_discharge"],
    grid: ["P_grid", "Pgrid"],
    gridLeg: ["P_grid_{leg}", "Pgrid_{leg}"],
    gridV: ["V_grid", "Ugrid"],
    imp: ["P_import", "P_grid_imp"],
    exp: ["P_export", "P_grid_exp"],
    source: ["src", "mode"],
    fault: ["err", "fault"],
    freq: ["f_ac", "freq"],
    tInv: ["T_inv", "inv_temp"],
    eTotal: ["E_load"],
    eLeg: ["E_load_{leg}"],
    ePv: ["E_pv"],
    eImp: ["E_import", "E_grid_imp"],
    eExp: ["E_export", "E_grid_exp"],
    eChg: ["E_chg", "E_charge"],
    eDis: ["E_dischg", "E_discharge"],
    tRoom: ["T_amb", "T_room"],
    tOut: ["T_out"],
    number: ["n", "idx"],
    gen: ["P_gen"],
  },
};

/** Names of time columns: one, or date and time of day. */
export const TIME_NAMES: Readonly<
  Record<Language, { readonly one: readonly string[]; readonly two: readonly [string, string] }>
> = {
  en: { one: ["Time", "Timestamp", "Date/Time", "Datetime", "Recorded at"], two: ["Date", "Time"] },
  es: { one: ["Fecha y hora", "Fecha/hora", "Marca de tiempo"], two: ["Fecha", "Hora"] },
  de: { one: ["Zeitstempel", "Zeit", "Datum/Uhrzeit", "Zeitpunkt"], two: ["Datum", "Uhrzeit"] },
  fr: { one: ["Horodatage", "Date et heure", "Date/heure"], two: ["Date", "Heure"] },
  it: { one: ["Data e ora", "Data/ora"], two: ["Data", "Ora"] },
  nl: { one: ["Tijdstip", "Datum/tijd"], two: ["Datum", "Tijd"] },
  pt: { one: ["Data e hora", "Data/hora"], two: ["Data", "Hora"] },
  abbr: { one: ["ts", "t", "time", "dt"], two: ["date", "time"] },
};

/** Words for what carries the loads. */
export const SOURCE_WORDS: Readonly<Record<Language, readonly { readonly [S in SourceState]: string }[]>> = {
  en: [
    { inverter: "Inverter", utility: "Utility", generator: "Generator" },
    { inverter: "Battery", utility: "Grid", generator: "Generator" },
    { inverter: "INV", utility: "UTIL", generator: "GEN" },
    { inverter: "on inverter", utility: "on utility", generator: "on generator" },
    { inverter: "Inverting", utility: "Bypass", generator: "Generator" },
    { inverter: "Off-grid", utility: "Grid", generator: "Generator" },
  ],
  es: [
    { inverter: "Inversor", utility: "Red", generator: "Generador" },
    { inverter: "Batería", utility: "Red", generator: "Generador" },
    { inverter: "BATERIA", utility: "RED", generator: "GENERADOR" },
  ],
  de: [
    { inverter: "Wechselrichter", utility: "Netz", generator: "Generator" },
    { inverter: "Batterie", utility: "Netz", generator: "Generator" },
    { inverter: "Inselbetrieb", utility: "Netzbetrieb", generator: "Generatorbetrieb" },
  ],
  fr: [
    { inverter: "Onduleur", utility: "Réseau", generator: "Groupe électrogène" },
    { inverter: "Batterie", utility: "Réseau", generator: "Générateur" },
  ],
  it: [
    { inverter: "Inverter", utility: "Rete", generator: "Generatore" },
    { inverter: "Batteria", utility: "Rete", generator: "Generatore" },
  ],
  nl: [
    { inverter: "Omvormer", utility: "Net", generator: "Generator" },
    { inverter: "Batterij", utility: "Net", generator: "Generator" },
  ],
  pt: [
    { inverter: "Inversor", utility: "Rede", generator: "Gerador" },
    { inverter: "Bateria", utility: "Rede", generator: "Gerador" },
  ],
  abbr: [
    { inverter: "INV", utility: "UTIL", generator: "GEN" },
    { inverter: "BAT", utility: "GRID", generator: "GEN" },
  ],
};

/** What a logger writes for sun where it tells it from the battery. */
export const SUN_WORD: Readonly<Record<Language, string>> = {
  en: "Solar",
  es: "Solar",
  de: "Solar",
  fr: "Solaire",
  it: "Solare",
  nl: "Zon",
  pt: "Solar",
  abbr: "PV",
};

/** Notes that signed columns carry in some logs: which way they count up. */
export const SIGN_WORDS: Readonly<
  Record<"en" | "es" | "de" | "fr", Readonly<Record<"discharge" | "charge" | "import" | "export", string>>>
> = {
  en: {
    discharge: "+ discharging",
    charge: "+ charging",
    import: "+ import",
    export: "+ export",
  },
  es: { discharge: "+ descarga", charge: "+ carga", import: "+ importación", export: "+ exportación" },
  de: { discharge: "+ Entladung", charge: "+ Ladung", import: "+ Bezug", export: "+ Einspeisung" },
  fr: { discharge: "+ décharge", charge: "+ charge", import: "+ soutirage", export: "+ injection" },
};

/** Two-line headers: the group that stands over a column, and the name under it. */
export const GROUPED_NAMES: Readonly<
  Record<"en" | "es" | "de" | "fr", { readonly [T in Topic]?: readonly [string, string] }>
> = {
  en: {
    load: ["Load", "{leg}"],
    total: ["Load", "Total"],
    volt: ["Output voltage", "{leg}"],
    amp: ["Output current", "{leg}"],
    pv: ["Solar", "Power"],
    bat: ["Battery", "Power"],
    batA: ["Battery", "Current"],
    batV: ["Battery", "Voltage"],
    soc: ["Battery", "SOC"],
    grid: ["Grid", "Power"],
    imp: ["Grid", "Import"],
    exp: ["Grid", "Export"],
    source: ["Inverter", "Mode"],
    tInv: ["Inverter", "Temperature"],
  },
  es: {
    load: ["Carga", "{leg}"],
    total: ["Carga", "Total"],
    volt: ["Tensión de salida", "{leg}"],
    amp: ["Corriente de salida", "{leg}"],
    pv: ["Solar", "Potencia"],
    bat: ["Batería", "Potencia"],
    batA: ["Batería", "Corriente"],
    batV: ["Batería", "Tensión"],
    soc: ["Batería", "SOC"],
    grid: ["Red", "Potencia"],
    imp: ["Red", "Importación"],
    exp: ["Red", "Exportación"],
    source: ["Inversor", "Modo"],
    tInv: ["Inversor", "Temperatura"],
  },
  de: {
    load: ["Last", "{leg}"],
    total: ["Last", "Gesamt"],
    volt: ["Ausgangsspannung", "{leg}"],
    amp: ["Ausgangsstrom", "{leg}"],
    pv: ["PV", "Leistung"],
    bat: ["Batterie", "Leistung"],
    batA: ["Batterie", "Strom"],
    batV: ["Batterie", "Spannung"],
    soc: ["Batterie", "Ladezustand"],
    grid: ["Netz", "Leistung"],
    imp: ["Netz", "Bezug"],
    exp: ["Netz", "Einspeisung"],
    source: ["Wechselrichter", "Betriebsart"],
    tInv: ["Wechselrichter", "Temperatur"],
  },
  fr: {
    load: ["Charge", "{leg}"],
    total: ["Charge", "Totale"],
    volt: ["Tension de sortie", "{leg}"],
    amp: ["Courant de sortie", "{leg}"],
    pv: ["Solaire", "Puissance"],
    bat: ["Batterie", "Puissance"],
    batA: ["Batterie", "Courant"],
    batV: ["Batterie", "Tension"],
    soc: ["Batterie", "État de charge"],
    grid: ["Réseau", "Puissance"],
    imp: ["Réseau", "Import"],
    exp: ["Réseau", "Export"],
    source: ["Onduleur", "Mode"],
    tInv: ["Onduleur", "Température"],
  },
};
