import { UNIT_SPACE } from "./number";

/** A sentence in which no line breaks between a figure and its unit. @example "4.60 kW" */
export function keepUnits(sentence: string): string {
  return sentence.replaceAll(UNIT, `$1${UNIT_SPACE}`);
}

const UNIT = /(\d) (?=(?:k?W|k?VA|k?Wh|m?V|A|Ah|mΩ|ft|%|°C|s|min|h|d)(?![A-Za-z]))/g;
