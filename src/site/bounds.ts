/**
 * The bound of every length, size, ratio and count that site.json and columns.json bring in from outside.
 * They are far outside of what one 120/240 V service can be, so that they catch slips of unit, not sites.
 */
export const BOUNDS = {
  nameLength: 120,
  wordLength: 200,
  ratings: 100,
  overloadSteps: 20,
  derateSteps: 20,
  loggers: 50,
  circuits: 500,
  tariffPeriods: 100,
  mappedWords: 1_000,
  missingWords: 100,
  columnNumber: 2_000,
  timeColumns: 7,
  headerLine: 100_000,
  patternLength: 60,
  watts: 500_000,
  amps: 10_000,
  volts: 2_000,
  ampHours: 1_000_000,
  seconds: 7 * 86_400,
  overloadRatio: 20,
  celsius: 200,
  feet: 10_000,
  price: 1_000_000,
  settingsRatio: 10,
  settingsSeconds: 30 * 86_400,
  settingsWatts: 100_000,
  settingsDays: 366,
  settingsSamples: 1_000,
  /** One leg of a 120/240 V split-phase supply, nominal. */
  legNominalMinV: 100,
  legNominalMaxV: 140,
} as const;
