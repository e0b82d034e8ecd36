/** Causes that a fault word can plainly name. */
export type NamedCause = "overload" | "over-temperature" | "low-battery";

const BATTERY = "(?:batter(?:y|ies|ie|ia|ij|ij en)|batt?|bateria|akku|accu|soc)";
const LOW =
  "(?:low|empty|flat|depleted|discharged|undervoltage|under voltage|leer|schwach|niedrig(?:e[rns]?)?|zu niedrig|unterspannung|baj[ao]|agotada|descargada|faible|basse|vide|dechargee|sous tension|bass[ao]|scarica|fraca|baixa|descarregada|leeg|lege|laag|lage)";
const VOLTAGE =
  "(?:voltage|volt|level|spannung|ladezustand|voltaje|tension|niveau|tensione|livello|tensao|nivel|spanning)";
const OF = "(?:of|de|da|do|della|du|la|in|van|der)";
const HIGH =
  "(?:high|too high|hot|hoch|zu hoch|alta|elevada|muy alta|elevee|haute|trop elevee|trop haute|elevata|troppo alta|muito alta|hoog|te hoog)";
const TEMPERATURE = "(?:temp|temperature|temperatur|temperatura|temperatuur)";
const joined = (...parts: string[]) => parts.join(` (?:${OF} )*`);
const any = (...ways: string[]) => new RegExp(`(?:^| )(?:${ways.join("|")})(?: |$)`);

/** By cause the words that name it, without accents, in lower case, with single spaces between. */
const WAYS: Readonly<Record<NamedCause, RegExp>> = {
  overload: any(
    "over ?load(?:ed|ing)?",
    "ue?ber ?last(?:et|ung)?",
    "sobrecarga",
    "surcharge",
    "sovraccaric[oa]",
    "overbelast(?:ing)?",
  ),
  "over-temperature": any(
    `over ?${TEMPERATURE}`,
    "over ?heat(?:ed|ing)?",
    "too hot",
    "ue?bertemperatur",
    "ue?berhitz(?:ung|t)",
    "sobre ?temperatura",
    "sobre ?calentamiento",
    "sur ?temperature",
    "surchauffe",
    "sovra ?temperatura",
    "surriscaldamento",
    "(?:super|sobre) ?aquecimento",
    "overtemperatuur",
    "oververhit(?:ting)?",
    `${TEMPERATURE} ${HIGH}`,
    `${HIGH} ${TEMPERATURE}`,
  ),
  "low-battery": any(
    joined(BATTERY, `(?:${VOLTAGE} )?${LOW}`),
    joined(LOW, BATTERY),
    joined(LOW, VOLTAGE, BATTERY),
    joined(VOLTAGE, BATTERY, LOW),
    "(?:batterie|akku|accu|batterij)(?:spannung |spanning |unterspannung|onderspanning)(?:niedrig|zu niedrig|laag|te laag)?",
    `${LOW} (?:batterie|akku|accu|batterij)(?:spannung|spanning)`,
    "tiefentlad(?:ung|en|eschutz)",
  ),
};

/** What makes it another thing: that it is over, that it isn't, or whose it is. */
const OTHERWISE = any(
  "no|not|non|none|kein[e]?|nicht|sin|sans|pas|senza|sem|geen|niet",
  "clear(?:ed)?|reset|recover(?:ed|y)?|end(?:ed)?|gone|normal|ok|behoben|beendet|fin|finie?|fine|resuelto|resolvido|risolto|voorbij",
  "cell|cells|charg(?:e|er|ing)|mppt|pv|solar|panel|ambient|outdoor|zelle|lade|cargador|chargeur|carregador|caricatore|lader",
);

/** Whose load or heat it would be: the inverter's own is meant where none is named. */
const OF_BATTERY = any(BATTERY);

/**
 * The cause that a log's fault word plainly names, in the languages of the name lexicon: an overload, a temperature too
 * high or a battery too low, of the inverter and under way. Null for everything else, and for words that name several.
 *
 * @example causeOfFaultWord("F07: Over Load") // "overload"
 */
export function causeOfFaultWord(word: string): NamedCause | null {
  const text = word
    .replace(/(\p{Ll})(\p{Lu})/gu, "$1 $2")
    .toLowerCase()
    .replaceAll("ß", "ss")
    .normalize("NFD")
    .replace(/\p{M}/gu, "")
    .replace(/[^a-z]+/g, " ")
    .trim();
  if (OTHERWISE.test(text)) return null;
  const named = (Object.keys(WAYS) as NamedCause[]).filter((cause) => WAYS[cause].test(text));
  if (named.length !== 1) return null;
  return named[0] !== "low-battery" && OF_BATTERY.test(text) ? null : named[0];
}
