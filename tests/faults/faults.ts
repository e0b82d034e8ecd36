/** A wrong behaviour that a test must notice. */
export type Fault = {
  /** The wrong behaviour, as a sentence. */
  readonly name: string;
  /** The file it is planted in, from the root of the checkout. */
  readonly file: string;
  /** Text that occurs exactly once in that file, and what takes its place. */
  readonly find: string;
  readonly plant: string;
  /** The test files that must notice it: as few and as quick ones as do. */
  readonly tests: readonly string[];
};

type Change = readonly [name: string, find: string, plant: string, test?: string];

/** Faults of one file; a test of its own stands last where another file than the usual one notices. */
function faultsIn(file: string, test: string, changes: readonly Change[]): Fault[] {
  return changes.map(([name, find, plant, own]) => ({ name, file, find, plant, tests: [own ?? test] }));
}

const ANALYSIS = "tests/unit/analysis";
const INGEST = "tests/unit/ingest";
const REFERENCE = "tests/reference";

/** Every planted fault, by file. */
export const FAULTS: readonly Fault[] = [
  ...faultsIn("src/analysis/holds.ts", `${ANALYSIS}/holds.test.ts`, [
    [
      "A difference of exactly three intervals is a gap.",
      "const gap = difference > GAP_INTERVALS * delta;",
      "const gap = difference >= GAP_INTERVALS * delta;",
    ],
    [
      "A sample before a gap stands until the next one.",
      "holdS[row] = (gap ? delta : difference) / 1000;",
      "holdS[row] = difference / 1000;",
    ],
    [
      "A sample stands as long as the one before it, off by one.",
      "holdS[row] = difference / 1000;",
      "holdS[row] = (row > 0 ? timesMs[row] - timesMs[row - 1] : difference) / 1000;",
    ],
    [
      "The nominal interval is the mean of the differences and not their median.",
      "differences.sort();",
      "differences.fill(differences.reduce((sum, one) => sum + one, 0) / differences.length);",
    ],
    [
      "The median of an even count is the upper one of the middle two.",
      ": (differences[middle - 1] + differences[middle]) / 2;",
      ": differences[middle];",
    ],
    [
      "The nominal interval comes from the first hundred samples.",
      "const FIRST_SAMPLES = 1000;",
      "const FIRST_SAMPLES = 100;",
    ],
    [
      "Ninety-nine differences make a new segment.",
      "const SEGMENT_DIFFERENCES = 100;",
      "const SEGMENT_DIFFERENCES = 99;",
    ],
    [
      "A difference of exactly one and a half intervals counts towards a new segment.",
      "const kind = difference > long ? 1",
      "const kind = difference >= long ? 1",
    ],
    [
      "A new segment begins at the last of its hundred differences.",
      "fromMs: timesMs[row - SEGMENT_DIFFERENCES]",
      "fromMs: timesMs[row]",
    ],
    [
      "The last sample stands for no time.",
      "const nominal = Number.isNaN(state.segmentMs) ? 0 : state.segmentMs;",
      "const nominal = 0;",
    ],
  ]),

  ...faultsIn("src/analysis/settle-sources.ts", `${ANALYSIS}/transfers.test.ts`, [
    ["Unknown between unequal states takes the later one.", "        code === state.lastKnown &&\n", ""],
    [
      "Unknown with a gap in it takes the state around it.",
      "} else if (gapBefore) state.fillable = false;",
      "}",
      `${ANALYSIS}/settle-sources.test.ts`,
    ],
    [
      "Unknown of exactly ten minutes takes no state.",
      "timesMs[row] - state.pendingFromMs <= fillMs",
      "timesMs[row] - state.pendingFromMs < fillMs",
    ],
    [
      "The state derived from the grid is utility only above half of the load.",
      "gridW >= settings.sourceFromGridShare * loadW",
      "gridW > settings.sourceFromGridShare * loadW",
    ],
    [
      "A load below the floor is on inverter instead of keeping the state before.",
      "  return state.derived;",
      "  return loadW >= settings.sourceFloorShare * ratings.totalLimitW ? state.derived : INVERTER;",
    ],
    [
      "A load that falls away is a dropout while the legs have their voltage.",
      "state.dead = noVoltage && low && state.loadBeforeW",
      "state.dead = low && state.loadBeforeW",
      `${ANALYSIS}/settle-sources.test.ts`,
    ],
    [
      "A load that falls away over a gap is a dropout.",
      "frame.gapAfter[row] === 1 ? Number.NaN : loadW;",
      "loadW;",
      `${ANALYSIS}/settle-sources.test.ts`,
    ],
    [
      "A load of exactly a tenth of the limit can't drop out.",
      "state.loadBeforeW >= settings.dropoutFromShare",
      "state.loadBeforeW > settings.dropoutFromShare",
      `${ANALYSIS}/settle-sources.test.ts`,
    ],
    [
      "A load of exactly a fiftieth of the limit counts as dead.",
      "loadW < settings.dropoutToShare",
      "loadW <= settings.dropoutToShare",
      `${ANALYSIS}/settle-sources.test.ts`,
    ],
  ]),

  ...faultsIn("src/analysis/derive-columns.ts", `${ANALYSIS}/derive-columns.test.ts`, [
    [
      "The neutral carries the sum of the legs' currents.",
      "finite(Math.abs(amps1 - amps2))",
      "finite(Math.abs(amps1 + amps2))",
      `${ANALYSIS}/imbalance.test.ts`,
    ],
    [
      "The loadings of the legs are swapped.",
      "outL1Loading[row] = loading1;\n    outL2Loading[row] = loading2;",
      "outL1Loading[row] = loading2;\n    outL2Loading[row] = loading1;",
    ],
    ["L2 from the total is L1 less the total.", "l2 = measured - l1;", "l2 = l1 - measured;"],
    [
      "A leg's watts from amperes take the nominal voltage where one is measured.",
      "l1 = loadL1A[row] * volts1;",
      "l1 = loadL1A[row] * legNominalV;",
    ],
    ["The sum of the legs wins over the measured total.", "        total = measured;\n", ""],
    [
      "Total and legs are apart by a share of the smaller one.",
      "const larger = Math.max(Math.abs(measured), Math.abs(total));",
      "const larger = Math.min(Math.abs(measured), Math.abs(total));",
    ],
    [
      "VA count only where the watts are missing.",
      "if (!blending || carried1 === l1) loading1",
      "if (Number.isNaN(loading1)) loading1",
    ],
    [
      "VA are held against the limit in watts.",
      "const legLimitVa = ratings.legLimitVa * limitRatio;",
      "const legLimitVa = legLimitW;",
    ],
    [
      "VA are made from amperes and a voltage that nobody measured.",
      "va1 = loadL1A[row] * l1V;",
      "va1 = loadL1A[row] * volts1;",
    ],
    ["Temperature doesn't lower the total's limit.", "      totalLimitW *= limitRatio;\n", ""],
    [
      "Temperature doesn't lower the legs' limit in VA.",
      "ratings.legLimitVa * limitRatio",
      "ratings.legLimitVa",
    ],
    [
      "A grid that brings exactly a twentieth of the load blends.",
      "grid > blendingShare * total",
      "grid >= blendingShare * total",
    ],
    [
      "On utility what the grid brings is taken off the loading.",
      "code === INVERTER && grid > 0",
      "grid > 0",
    ],
    [
      "With blending the inverter carries the load and the grid's part.",
      "carriedTotal = total - grid;",
      "carriedTotal = total + grid;",
    ],
    [
      "With blending each leg is relieved by half of the grid's part.",
      "carried1 = l1 - Math.max(0, gridL1W[row]);",
      "carried1 = l1 - grid / 2;",
    ],
    [
      "The sign of the battery is turned round: charge counts as discharge.",
      "if (battery >= 0) discharge = battery;\n      else if (battery < 0) charge = -battery;",
      "if (battery > 0) charge = battery;\n      else if (battery <= 0) discharge = -battery;",
    ],
    ["An export is negative.", "exported = -grid;", "exported = grid;"],
    [
      "The grid's power from the balance leaves charging out.",
      "const balance = total + charge - solar;",
      "const balance = total - solar;",
    ],
    ["Of several strings only the last one counts.", "solar += (raw[string]", "solar = (raw[string]"],
    [
      "A leg's pass-through has all of the charging on it.",
      "const extra = !Number.isNaN(toBattery) ? toBattery / 2 : 0;",
      "const extra = !Number.isNaN(toBattery) ? toBattery : 0;",
    ],
    [
      "Charging that is unknown makes the pass-through unknown.",
      "const extra = !Number.isNaN(toBattery) ? toBattery / 2 : 0;",
      "const extra = toBattery / 2;",
    ],
    ["The pass-through is the lesser leg.", "Math.max(amps1, amps2)", "Math.min(amps1, amps2)"],
    [
      "The service leaves out what is fed outside of the inverter.",
      "serviceL1A[row] = outL1A[row] + loadOutsideA;",
      "serviceL1A[row] = outL1A[row];",
    ],
    [
      "On generator the service has the generator's amperes.",
      "if (hasGridLegs && code !== GENERATOR) {",
      "if (hasGridLegs) {",
    ],
    [
      "Sun reaches the battery only after the grid.",
      "const solarToBattery = Math.min(solar - solarToLoad, charge);",
      "const solarToBattery = 0;",
    ],
  ]),

  ...faultsIn("src/analysis/derate-ratio.ts", `${ANALYSIS}/derive-columns.test.ts`, [
    [
      "A step of derating counts at its temperature and not above it.",
      "temperatureC > step.aboveC",
      "temperatureC >= step.aboveC",
    ],
    ["Of several steps exceeded the one listed last counts.", "&& step.aboveC > above", ""],
  ]),

  ...faultsIn("src/analysis/near-limit.ts", `${ANALYSIS}/near-limit.test.ts`, [
    ["A run doesn't open at exactly 0.90.", "!(value >= enter)", "!(value > enter)"],
    ["A run closes at exactly 0.85.", "if (value < leave) {", "if (value <= leave) {"],
    [
      "Runs exactly sixty seconds apart are joined.",
      "const joinMs = settings.nearLimitJoinS * 1000;",
      "const joinMs = settings.nearLimitJoinS * 1000 + 1;",
    ],
    [
      "Runs are joined across a missing value.",
      "if (Number.isNaN(value)) {\n      finish(state, ratingsOf, settings);",
      "if (Number.isNaN(value)) {",
    ],
    [
      "Runs are joined across a gap.",
      "    if (gapAfter[row] === 1) finish(state, ratingsOf, settings);\n",
      "",
    ],
    ["The time between joined runs is no part of them.", "join(state.run, state.between);", ""],
    [
      "A short interval is dropped though a sample reached exactly 1.",
      "!(run.peakLoading >= 1)",
      "!(run.peakLoading > 1)",
    ],
    [
      "An interval of exactly sixty seconds is dropped.",
      "durationS < settings.nearLimitMinS",
      "durationS <= settings.nearLimitMinS",
    ],
    [
      "Time at exactly the limit counts as above it.",
      "if (value > 1) into.overLimitS",
      "if (value >= 1) into.overLimitS",
    ],
    [
      "Of equal peaks the latest counts.",
      "if (value > into.peakLoading) {",
      "if (value >= into.peakLoading) {",
    ],
    [
      "The mean loading is one of rows and not of held time.",
      "into.loadingSeconds += value * hold;",
      "into.loadingSeconds += (value * deltaMs[row]) / 1000;",
      `${REFERENCE}/statistics.test.ts`,
    ],
    ["The longest run held goes on through time on utility.", "        into.stretchS = 0;\n", ""],
    [
      "The limit at the peak is told without the derating in force there.",
      "const ratio = derateRatio(ratings, run.peakTempC);",
      "const ratio = 1;",
    ],
  ]),

  ...faultsIn("src/analysis/transfers.ts", `${ANALYSIS}/transfers.test.ts`, [
    [
      "A transfer behind a stretch of unknown isn't found.",
      "&& state.lastKnown === INVERTER) {",
      "&& state.before === INVERTER) {",
    ],
    [
      "A gap is forgotten where unknown stands between it and the transfer.",
      "inGap: !Number.isNaN(state.gapFromMs),",
      "inGap: gapBefore,",
    ],
    [
      "A transfer returns where the state isn't utility any more.",
      "if (state.transferOpen && code === INVERTER)",
      "if (state.transferOpen && code !== UTILITY)",
    ],
    ["A transfer goes on across a gap.", "  if (state.transferOpen) leaveTransferOpen(state, fromMs);\n", ""],
    [
      "A transfer whose return a gap hides is no lower bound.",
      "(untilMs - pending.event.atMs) / 1000;\n  pending.event.lowerBound = true;\n  pending.ended = true;\n  state.transferOpen = false;",
      "(untilMs - pending.event.atMs) / 1000;\n  pending.ended = true;\n  state.transferOpen = false;",
    ],
    [
      "What is under way at a gap ends at the last sample and not with its hold.",
      "openGap(state, atMs + holdS[row] * 1000);",
      "openGap(state, atMs);",
    ],
    [
      "None between inverter and utility is a transfer besides.",
      "      state.lastKnown = code;\n",
      "      if (code !== NONE) state.lastKnown = code;\n",
    ],
    [
      "A dropout ends only back on inverter.",
      "if (state.dropoutOpen && code !== NONE)",
      "if (state.dropoutOpen && code === INVERTER)",
    ],
    [
      "A dropout that the log's end cuts off is no lower bound.",
      "pending.event.deadS = (untilMs - pending.event.atMs) / 1000;\n  pending.event.lowerBound = true;",
      "pending.event.deadS = (untilMs - pending.event.atMs) / 1000;",
    ],
    [
      "The return delay runs from the beginning of the last hold above a limit.",
      "frame.timesMs[row] + frame.holdS[row] * 1000;\n  }",
      "frame.timesMs[row];\n  }",
      `${ANALYSIS}/imbalance.test.ts`,
    ],
    [
      "The return delay waits for a loading below 1 and not for one that isn't above.",
      "(l1 > 1 || l2 > 1 || total > 1)",
      "(l1 >= 1 || l2 >= 1 || total >= 1)",
      `${ANALYSIS}/imbalance.test.ts`,
    ],
    [
      "A leg that is missing on utility goes unheeded in the return delay.",
      "if (Number.isNaN(total) || (legs &&",
      "if (Number.isNaN(total) && (legs &&",
      `${ANALYSIS}/imbalance.test.ts`,
    ],
    [
      "A cause is read before the samples of its window are there.",
      "event.figures === null && windowComplete(frame, row - frame.base)",
      "event.figures === null",
      `${ANALYSIS}/review-pass.test.ts`,
    ],
  ]),

  ...faultsIn("src/analysis/return-delay.ts", `${REFERENCE}/statistics.test.ts`, [
    [
      "The return delay is the mean and not the median.",
      "medianS: at(0.5)",
      "medianS: sorted.length === 0 ? null : sorted.reduce((sum, one) => sum + one, 0) / sorted.length",
    ],
    [
      "The return delay runs from the transfer, whatever the loads did after it.",
      "Number.isNaN(found.overUntilMs) ? found.atMs : found.overUntilMs",
      "found.atMs",
      `${ANALYSIS}/imbalance.test.ts`,
    ],
    [
      "A transfer with a missing load counts in the return delay.",
      "found.returnedAtMs === null || found.loadMissing",
      "found.returnedAtMs === null",
      `${ANALYSIS}/imbalance.test.ts`,
    ],
  ]),

  ...faultsIn("src/analysis/cause-figures.ts", `${ANALYSIS}/cause-figures.test.ts`, [
    [
      "The window leaves out the sample exactly a minute before.",
      "if (timesMs[row - 1] < atMs - Math.max(",
      "if (timesMs[row - 1] <= atMs - Math.max(",
    ],
    [
      "The window ends at the transfer and not an interval later.",
      "timesMs[last + 1] <= toMs",
      "timesMs[last + 1] < toMs",
    ],
    [
      "The window looks back two intervals instead of three.",
      "Math.max(leastS * 1000, 3 * shortestMs)",
      "Math.max(leastS * 1000, 2 * shortestMs)",
    ],
    [
      "The window looks back across a gap.",
      "while (row > 0 && gapAfter[row - 1] === 0) {",
      "while (row > 0) {",
    ],
    [
      "The sample before the transfer is no near part.",
      "(peakRow >= (before ?? k) && peakRow <= (after ?? k))",
      "(peakRow >= k && peakRow <= (after ?? k))",
    ],
    [
      "The near part leaves out a sample exactly ten seconds away.",
      "Math.abs(timesMs[peakRow] - atMs) <= NEAR_MS",
      "Math.abs(timesMs[peakRow] - atMs) < NEAR_MS",
    ],
    [
      "Of equal loadings the latest sample, and a leg before the total, limits.",
      "!(value <= figures.peakLoading)",
      "!(value < figures.peakLoading)",
    ],
    [
      "A fault code that stood there before is a new fault.",
      "fault[row] !== 0 && fault[row] !== faultBefore",
      "fault[row] !== 0",
      `${ANALYSIS}/transfers.test.ts`,
    ],
    [
      "A falling load is a rise.",
      "const rise = watts[row] - watts[before];",
      "const rise = watts[before] - watts[row];",
    ],
    ["A rise at the sample after the transfer isn't looked at.", "after !== null ? [k, after] : [k]", "[k]"],
    [
      "What one interval could have hidden uses none of the allowance.",
      "figures.usedHidden = figures.deltaMs / 1000 / ",
      "figures.usedHidden = 0 / ",
    ],
    [
      "A loading at exactly a step of the ladder has the next one's allowance.",
      "if (loading <= step.upToRatio) return step.forS;",
      "if (loading < step.upToRatio) return step.forS;",
    ],
    [
      "The mean of the legs at the peak is held against a limit without derating.",
      "/ 2 / legLimitAt(peakRow);",
      "/ 2 / ratings.legLimitW;",
      `${ANALYSIS}/transfers.test.ts`,
    ],
    [
      "A rise of exactly a tenth of the limit is no stacked start.",
      "rise1 >= leastW ||",
      "rise1 > leastW ||",
    ],
    [
      "A start exactly two minutes before isn't stacked.",
      "timesMs[row] >= fromMs; row--",
      "timesMs[row] > fromMs; row--",
    ],
  ]),

  ...faultsIn("src/analysis/energy-shares.ts", `${ANALYSIS}/energy-shares.test.ts`, [
    [
      "On utility the sun serves the load before the grid does.",
      "if (code === UTILITY || code === GENERATOR) {",
      "if (code === GENERATOR) {",
    ],
    [
      "On inverter the battery serves the load before the sun does.",
      "solarToLoad = Math.min(solar, load);\n      const left = load - solarToLoad;\n      batteryToLoad = Math.min(discharge, left);\n      const left2 = left - batteryToLoad;",
      "batteryToLoad = Math.min(discharge, load);\n      const left = load - batteryToLoad;\n      solarToLoad = Math.min(solar, left);\n      const left2 = left - solarToLoad;",
    ],
    [
      "The grid charges the battery before the sun does.",
      "const solarToBattery = Math.min(solarLeft, charge);",
      "const solarToBattery = Math.min(solarLeft, Math.max(0, charge - (imported - gridToLoad)));",
    ],
    [
      "Losses have the other sign.",
      "solar + discharge + imported - load - charge - exported;",
      "load + charge + exported - solar - discharge - imported;",
    ],
    [
      "Charging from the grid is stock of the sun.",
      "gridStock += gridToBattery * hours;",
      "solarStock += gridToBattery * hours;",
    ],
    [
      "The sun's stock is drawn before the rest and not in proportion.",
      "ofSolar = (batteryToLoad * solarStock) / Math.max(drawn, stock);",
      "ofSolar = Math.min(batteryToLoad, solarStock / hours);",
    ],
    [
      "The stock isn't scaled down to the state of charge.",
      "!Number.isNaN(soc) ? (soc / 100) * capacityWh : capacityWh;",
      "capacityWh;",
    ],
    [
      "The stock begins full where no state of charge is known.",
      "Number.isNaN(known) ? capacityWh / 2 :",
      "Number.isNaN(known) ? capacityWh :",
    ],
    [
      "The stock that was there at first is the sun's.",
      "if (Number.isNaN(unknownStock)) unknownStock = 0;",
      "if (!Number.isNaN(unknownStock)) solarStock = unknownStock;\n      unknownStock = 0;",
    ],
    [
      "A hold over midnight counts in the day of its sample alone.",
      "if (atMs + hold * 1000 <= dayEndMs) {",
      "if (atMs < dayEndMs) {",
    ],
    [
      "A hold over midnight with a channel missing counts in the day of its sample alone.",
      "if (atMs + hold * 1000 <= dayEndMs) sums[HELD_S] += hold;",
      "if (atMs < dayEndMs) sums[HELD_S] += hold;",
    ],
    [
      "A hold counts in the shares though a channel is missing.",
      "const check = load + solar + discharge + charge + imported + exported;",
      "const check = load;",
    ],
    [
      "The generator's energy counts as the grid's.",
      "sums[onGenerator ? 5 : 4] += gridToLoad * hours;",
      "sums[4] += gridToLoad * hours;",
    ],
    [
      "Where a hold is split the sun's part of the battery is left out.",
      "        solar + discharge + imported,\n        ofSolar,",
      "        solar + discharge + imported,\n        0,",
    ],
  ]),

  ...faultsIn("src/analysis/demand.ts", `${ANALYSIS}/demand.test.ts`, [
    [
      "L1's load by hour is that of both legs.",
      "day.legHours[hour + i] += sums[2 + i];",
      "day.legHours[hour + i] += sums[i];",
    ],
    ["An interval of exactly 80 % coverage doesn't count.", "heldS >= leastS", "heldS > leastS"],
    ["Demand is taken over half hours.", "const INTERVAL_MS = 900_000;", "const INTERVAL_MS = 1_800_000;"],
    [
      "An interval is named by its end.",
      "const atMs = state.interval * INTERVAL_MS;",
      "const atMs = (state.interval + 1) * INTERVAL_MS;",
    ],
    [
      "A hold over the quarter of an hour counts before it alone.",
      "const untilMs = Math.min(endMs, edgeMs);",
      "const untilMs = endMs;",
      `${ANALYSIS}/imbalance.test.ts`,
    ],
    [
      "Intervals begin at the first sample and not on the clock.",
      "state.interval = Math.floor(atMs / INTERVAL_MS);",
      "state.interval = atMs / INTERVAL_MS;",
    ],
    [
      "The heavier leg is the sum of both.",
      "const heavierW = greater(l1W, l2W);",
      "const heavierW = l1W + l2W;",
    ],
    [
      "The service's demand is the first leg's.",
      "const serviceA = greater(meanAt(6), meanAt(8));",
      "const serviceA = meanAt(6);",
    ],
    ["Days added together forget the sum of their means.", "  into.sumW += more.sumW;\n", ""],
    [
      "Days added together keep the peak's value with the earlier day's time.",
      "    into.peakAtMs = more.peakAtMs;\n",
      "",
    ],
  ]),

  ...faultsIn("src/analysis/imbalance.ts", `${ANALYSIS}/imbalance.test.ts`, [
    [
      "Imbalance opens whether or not a leg is loaded.",
      "const opens = difference >= enterW && larger >= imbalanceLoadEnter;",
      "const opens = difference >= enterW;",
    ],
    [
      "Imbalance of exactly a quarter of the limit opens nothing.",
      "if (state.run === null && !(difference >= enterW)) continue;",
      "if (state.run === null && !(difference > enterW)) continue;",
    ],
    [
      "Imbalance goes on where the legs are hardly loaded any more.",
      "difference < leaveW || larger < imbalanceLoadLeave",
      "difference < leaveW",
    ],
    [
      "Imbalance of exactly ten minutes is dropped.",
      "durationS < settings.imbalanceMinS",
      "durationS <= settings.imbalanceMinS",
    ],
    [
      "The heavier leg is the lighter one.",
      "run.l1WattSeconds >= run.l2WattSeconds",
      "run.l1WattSeconds < run.l2WattSeconds",
    ],
    [
      "The imbalance share is taken of the heavier leg.",
      "(difference / sum) * hold",
      "(difference / Math.max(l1, l2)) * hold",
      `${REFERENCE}/statistics.test.ts`,
    ],
    ["What is stranded leaves the split out.", "(legLimitW * (l1 + l2)) / larger", "2 * legLimitW"],
  ]),

  ...faultsIn("src/analysis/leg-density.ts", `${ANALYSIS}/leg-density.test.ts`, [
    [
      "A pair of loads on utility counts as carried by the inverter.",
      "const onInverter = source[row] === INVERTER;",
      "const onInverter = true;",
    ],
    [
      "What a full leg leaves is told of the same leg.",
      "addFull(full, 0, hold, onInverter, legLimitW - l2)",
      "addFull(full, 0, hold, onInverter, legLimitW - l1)",
    ],
    [
      "A leg exactly at its limit isn't full.",
      "if (l1Loading[row] >= 1) addFull",
      "if (l1Loading[row] > 1) addFull",
    ],
    [
      "Of days added together the time on inverter counts as held otherwise.",
      "into.heldS[2 * place + 1] += more",
      "into.heldS[2 * place] += more",
    ],
    [
      "Of equal greatest loads the latest stands.",
      "if (!(value > greatestOf(peaks, peak))) continue;",
      "if (!(value >= greatestOf(peaks, peak))) continue;",
    ],
  ]),

  ...faultsIn("src/analysis/continuous-load.ts", `${ANALYSIS}/continuous-load.test.ts`, [
    [
      "Exactly three hours are no continuous load.",
      "run.toMs - run.fromMs < CONTINUOUS_MS",
      "run.toMs - run.fromMs <= CONTINUOUS_MS",
    ],
    [
      "Exactly 80 % of the rating are no continuous load.",
      "let high = 5 * a >= leastTimesFive",
      "let high = 5 * a > leastTimesFive",
    ],
    [
      "A device rated for 100 % isn't exempt.",
      "ratings.hundredPercentRated.includes(device) ? undefined : ratingOf",
      "ratingOf",
    ],
    [
      "Continuous load goes on across a gap.",
      "if (gapAfter[row] === 1) {\n      close(state, place);\n      run = null;\n    }",
      "",
    ],
  ]),

  ...faultsIn("src/analysis/leg-voltage.ts", `${ANALYSIS}/leg-voltage.test.ts`, [
    [
      "Time below the service range counts as above it.",
      "if (volts < lowV) belowS += hold;\n    else if (volts > highV) aboveS += hold;",
      "if (volts < lowV) aboveS += hold;\n    else if (volts > highV) belowS += hold;",
    ],
    [
      "The service range stands at 120 V whatever the nominal voltage is.",
      "const lowV = (SERVICE_RANGE.lowV * ratings.legNominalV) / SERVICE_RANGE.nominalV;",
      "const lowV = SERVICE_RANGE.lowV;",
    ],
    ["A sample that stands over midnight is one of both days.", "carried ? from + 1 : from", "from"],
    ["The sag's slope is turned round.", "(1000 * sxy) / sxx", "(1000 * sxx) / sxy"],
    [
      "Days added together lose the sag's common origin.",
      "into[at + SX] += sx + n * dx;",
      "into[at + SX] += sx;",
    ],
  ]),
  ...faultsIn("src/analysis/battery-current.ts", `${ANALYSIS}/battery-current.test.ts`, [
    [
      "A current at the rating counts as above it.",
      "if (ampsHere > dischargeLimitA)",
      "if (ampsHere >= dischargeLimitA)",
    ],
    [
      "Charging isn't held against the fuse.",
      "if (size > fuse) sums.aboveFuseS += hold;",
      "if (ampsHere > fuse) sums.aboveFuseS += hold;",
    ],
    [
      "A current at 80 % of the fuse counts as above it.",
      "if (5 * size > 4 * fuse)",
      "if (5 * size >= 4 * fuse)",
    ],
    [
      "A capacity of another day rates the C-rate.",
      "Object.is(bank.capacityAh, capacityAh)",
      "bank.capacityAh > 0",
    ],
    [
      "Of two equal days the later one has the greatest current.",
      "if (!(more.maxDischargeA <= into.maxDischargeA)",
      "if (!(more.maxDischargeA < into.maxDischargeA)",
    ],
    ["Watts over no volts are a current.", "amps[row] = volts > 0 ? ", "amps[row] = volts !== 0 ? "],
  ]),
  ...faultsIn("src/analysis/battery-power.ts", `${ANALYSIS}/battery-power.test.ts`, [
    ["Sun counts as battery in the inverter's model.", "!(solarPartW[row] <= NO_SUN_W)", "false"],
    [
      "What the grid brings counts as carried by the inverter.",
      "totalW[row] - importW[row] + exportW[row]",
      "totalW[row] + exportW[row]",
    ],
    ["The efficiency is the slope.", "efficiency: 1 / fitted.slope,", "efficiency: fitted.slope,"],
    ["Ninety-nine samples make a model.", "const FIT_MIN_SAMPLES = 100;", "const FIT_MIN_SAMPLES = 99;"],
    ["A round trip ends at any state of charge.", "const EQUAL_SOC_PCT = 1;", "const EQUAL_SOC_PCT = 100;"],
    [
      "A round trip goes on over days that aren't known.",
      "if (day.toMs !== next.fromMs || day.heldS * 1000 < WAY_COVERAGE * (day.toMs - day.fromMs)) break;",
      "",
    ],
    ["A round trip takes no cycle.", "cycles < 1 ||", ""],
  ]),
  ...faultsIn("src/analysis/soc-by-hour.ts", `${ANALYSIS}/soc-by-hour.test.ts`, [
    [
      "The mean of an hour goes by samples and not by time.",
      "pctS += soc * hold;",
      "pctS += (soc * heldS) / Math.max(1, row - from + 1);",
    ],
    [
      "Hours are those of UTC.",
      "Math.floor(clock.clockS(atMs) / 3600)",
      "Math.floor((atMs / 3_600_000) % 24)",
    ],
  ]),
  ...faultsIn("src/analysis/battery-resistance.ts", `${ANALYSIS}/battery-resistance.test.ts`, [
    ["A step over a gap counts.", "|| gapAfter[row - 1] === 1) continue;", ") continue;"],
    ["Nineteen steps make a resistance.", "const MIN_STEPS = 20;", "const MIN_STEPS = 19;"],
    ["A voltage that rises under load makes a resistance.", "|| !(fitted.slope > 0)", ""],
  ]),
  ...faultsIn("src/analysis/battery-discharges.ts", `${ANALYSIS}/battery-discharges.test.ts`, [
    ["A discharge goes on over a gap.", "if (amps >= -CHARGING_A && !gap)", "if (amps >= -CHARGING_A)"],
    ["A discharge goes on while the battery charges.", "const CHARGING_A = 1;", "const CHARGING_A = 1000;"],
    [
      "What is drawn over midnight counts twice.",
      "if (!Number.isNaN(state.fromMs)) state.drawnAs += batteryA[row] * holdS[row];",
      "if (!Number.isNaN(state.fromMs)) state.drawnAs += 2 * batteryA[row] * holdS[row];",
    ],
    ["A fall of 20 points is enough for a capacity.", "const MIN_FALL_PCT = 30;", "const MIN_FALL_PCT = 20;"],
  ]),
  ...faultsIn("src/analysis/weighted-line.ts", `${REFERENCE}/battery.test.ts`, [
    ["The line's errors are as if both its coefficients were given.", "beside / (n - 2)", "beside / n"],
    ["The intercept's error leaves the slope out.", "(1 / w + (meanX * meanX) / sxx)", "(1 / w)"],
  ]),
  ...faultsIn("src/analysis/cable-drop.ts", `${REFERENCE}/battery.test.ts`, [
    ["A cable drops along one conductor alone.", "ohmPerKft * 2 * oneWayFt", "ohmPerKft * oneWayFt"],
  ]),

  ...faultsIn("src/analysis/open-neutral.ts", `${ANALYSIS}/open-neutral.test.ts`, [
    ["Two samples make an open neutral.", "const MIN_SAMPLES = 3;", "const MIN_SAMPLES = 2;"],
    [
      "Legs exactly 6 V apart are suspicious.",
      "      differenceV > openNeutralV &&",
      "      differenceV >= openNeutralV &&",
    ],
    [
      "An open neutral is suspected where the heavier leg has the higher voltage.",
      "* (v2 - v1) > 0",
      "* (v1 - v2) > 0",
    ],
    [
      "A sum of the legs exactly 5 % off is no open neutral.",
      "<= SUM_TOLERANCE * nominalSumV",
      "< SUM_TOLERANCE * nominalSumV",
    ],
  ]),

  ...faultsIn("src/analysis/distribution.ts", `${ANALYSIS}/distribution.test.ts`, [
    [
      "A duration curve counts rows and not held time.",
      "heldS[(beyond ? clampedBin(bin) : bin) - firstBin] += hold;\n    totalS += hold;",
      "heldS[(beyond ? clampedBin(bin) : bin) - firstBin] += 1;\n    totalS += 1;",
    ],
    [
      "Days added together have their bins shifted.",
      "into.heldS[i + shift] += more.heldS[i];",
      "into.heldS[i] += more.heldS[i];",
    ],
    [
      "Room is made for the bin that a value is cut to, and not rounded to.",
      "clampedBin(Math.floor(value * perUnit + 0.5))",
      "clampedBin(Math.floor(value * perUnit))",
    ],
  ]),

  ...faultsIn("src/analysis/quantile.ts", `${ANALYSIS}/quantile.test.ts`, [
    [
      "A quantile is of type 5 and not of type 7.",
      "const place = (sorted.length - 1) * share;",
      "const place = Math.max(0, Math.min(sorted.length - 1, sorted.length * share - 0.5));",
    ],
    [
      "A quantile is the nearest value below.",
      "const below = Math.floor(place);",
      "return sorted[Math.floor(place)];\n  const below = 0;",
    ],
  ]),

  ...faultsIn("src/analysis/value-counts.ts", `${ANALYSIS}/value-counts.test.ts`, [
    ["A quantile of counts is off by one.", "while (upTo[i] <= rank) i++;", "while (upTo[i] < rank) i++;"],
  ]),

  ...faultsIn("src/analysis/local-time.ts", `${REFERENCE}/clock-changes.test.ts`, [
    [
      "Days are UTC days.",
      "startOfDayMs: (atMs) => startOfDateMs(dayOf(atMs)),\n    nextDayMs: (atMs) => startOfDateMs(dayOf(atMs).add({ days: 1 })),",
      "startOfDayMs: (atMs) => Math.floor(atMs / DAY_MS) * DAY_MS,\n    nextDayMs: (atMs) => Math.floor(atMs / DAY_MS) * DAY_MS + DAY_MS,",
    ],
    [
      "Every local day has 24 hours.",
      "startOfDateMs(dayOf(atMs).add({ days: 1 })),",
      "startOfDateMs(dayOf(atMs)) + DAY_MS,",
    ],
    [
      "A day that the clock goes back into begins twice.",
      "return startOfDateMs(next) <= atMs ? next : date;",
      "return date;",
      `${ANALYSIS}/local-time.test.ts`,
    ],
    [
      "The offset changes a moment too late.",
      "atMs >= fromMs && atMs < untilMs",
      "atMs >= fromMs && atMs <= untilMs",
    ],
    ["An hour goes on over a change of the clock.", "return Math.min(end, untilMs);", "return end;"],
    [
      "A repeated hour begins before the change of the clock.",
      "return Math.max(start, fromMs);",
      "return start;",
    ],
    [
      "A date is that of UTC.",
      "const local = new Date(Math.floor(atMs) + offsetMs(atMs));",
      "const local = new Date(Math.floor(atMs));",
      `${ANALYSIS}/local-time.test.ts`,
    ],
  ]),

  ...faultsIn("src/analysis/coverage.ts", `${ANALYSIS}/holds.test.ts`, [
    [
      "A gap begins at its last sample and not with the end of that hold.",
      "state.gapFromMs = timesMs[row] + holdS[row] * 1000;",
      "state.gapFromMs = timesMs[row];",
    ],
    [
      "Coverage counts a missing leg as known.",
      "if (Number.isNaN(l2W[row])) missingS[1] += hold;",
      "",
      `${ANALYSIS}/period-findings.test.ts`,
    ],
  ]),

  ...faultsIn("src/analysis/decide-causes.ts", `${ANALYSIS}/decide-causes.test.ts`, [
    [
      "The last rule that holds gives the cause.",
      "const first = rules[0] ?? unexplained(subject, sameTime.days,",
      "const first = rules[rules.length - 1] ?? unexplained(subject, sameTime.days,",
    ],
    ["A fault is one whatever it means.", 'cause: word?.meaning ?? "fault",', 'cause: "fault",'],
    [
      "An overload at exactly 0.98 isn't seen.",
      "figures.peakLoading >= settings.overloadSeenAt",
      "figures.peakLoading > settings.overloadSeenAt",
    ],
    [
      "An overload is seen wherever in the window it lies.",
      'figures.peakNear ? "seen" : "inferred"',
      '"seen"',
      `${ANALYSIS}/cause-figures.test.ts`,
    ],
    [
      "A battery current of exactly 0.98 of its rating is no limit.",
      "figures.maxDischargeA >= settings.dcLimitAt",
      "figures.maxDischargeA > settings.dcLimitAt",
    ],
    [
      "Exactly the greatest temperature is none too high.",
      "figures.maxTempC >= ratings.maxTempC",
      "figures.maxTempC > ratings.maxTempC",
    ],
    [
      "A state of charge exactly two points above the limit isn't low.",
      "figures.minSocPct <= lowSocPct",
      "figures.minSocPct < lowSocPct",
    ],
    [
      "A battery is low only below its least voltage.",
      "figures.minBatteryV <= lowV + settings.lowVMarginV",
      "figures.minBatteryV <= lowV",
    ],
    [
      "A rise of exactly a quarter of the limit starts nothing.",
      "figures.riseW >= settings.startRise",
      "figures.riseW > settings.startRise",
    ],
    ["At exactly five seconds a rise is a load step.", "figures.deltaMs > 5000", "figures.deltaMs >= 5000"],
    [
      "A peak channel of exactly 0.98 starts nothing.",
      "figures.peakChannelLoading >= settings.overloadSeenAt",
      "figures.peakChannelLoading > settings.overloadSeenAt",
    ],
    [
      "A cause of its own holds besides.",
      "if (rule.cause !== first.cause) also.add(rule.cause);",
      "also.add(rule.cause);",
    ],
    [
      "Exactly three other days are no schedule.",
      "days < settings.scheduledDays ||",
      "days <= settings.scheduledDays ||",
    ],
    [
      "A schedule needs no share of the days with samples.",
      " || days < settings.scheduledShare * ofDays",
      "",
    ],
    [
      "Exactly two fifths of the days are no schedule.",
      "days < settings.scheduledShare * ofDays",
      "days <= settings.scheduledShare * ofDays",
    ],
    [
      "Exactly five minutes away is another clock time.",
      "DAY_S - apart) <= toleranceS",
      "DAY_S - apart) < toleranceS",
    ],
    [
      "A schedule doesn't look round midnight.",
      "return Math.min(apart, DAY_S - apart) <=",
      "return apart <=",
    ],
    [
      "A schedule looks at thirteen days before.",
      "own.dayNumber - schedule[i].dayNumber <= span",
      "own.dayNumber - schedule[i].dayNumber < span",
    ],
    [
      "A transfer in a gap counts towards a schedule.",
      "counts: !transfer.inGap && !(loading",
      "counts: !(loading",
    ],
    [
      "A transfer with an overload counts towards a schedule.",
      "counts: !transfer.inGap && !(loading >= context.settings.overloadSeenAt),",
      "counts: !transfer.inGap,",
    ],
    [
      "A schedule allows for one interval instead of two.",
      "(2 * found.figures.deltaMs) / 1000",
      "found.figures.deltaMs / 1000",
    ],
    [
      "The other transfer of the same day counts as another day.",
      "if (!other.counts || other.date === own.date) return false;",
      "if (!other.counts) return false;",
    ],
    [
      "A loading of exactly 0.70 infers no overload.",
      "if (!(figures.peakLoading >= overloadInferredAt)) return [];",
      "if (!(figures.peakLoading > overloadInferredAt)) return [];",
    ],
    [
      "A return exactly a minute off doesn't fit the delay.",
      "Math.abs(found.onUtilityS - ratings.returnDelayS) > toleranceS",
      "Math.abs(found.onUtilityS - ratings.returnDelayS) >= toleranceS",
    ],
    [
      "A return is held to a minute however long the interval is.",
      "const toleranceS = Math.max(60, (2 * figures.deltaMs) / 1000);",
      "const toleranceS = 60;",
    ],
    [
      "A return that fits infers an overload beside other causes.",
      "if (rules.length === 0) rules.push(...returnRule(found, subject));",
      "rules.push(...returnRule(found, subject));",
      `${ANALYSIS}/transfers.test.ts`,
    ],
    [
      "A mean of the legs of exactly 0.95 isn't one leg's.",
      "figures.meanLegsAtPeak <= settings.oneLegMean",
      "figures.meanLegsAtPeak < settings.oneLegMean",
    ],
    [
      "An overload of the total is one leg's.",
      'figures.peakQuantity !== "total" && figures.meanLegsAtPeak',
      "figures.meanLegsAtPeak",
    ],
    [
      "An overload after the transfer counts against the allowance.",
      "    figures.peakNotAfter &&\n",
      "",
      `${ANALYSIS}/cause-figures.test.ts`,
    ],
    ["One start is stacked.", "figures.stackedRises >= 2", "figures.stackedRises >= 1"],
    [
      "A transfer exactly ten minutes after the return repeats it.",
      "(atMs - lastReturnMs) / 1000 < settings.repeatWithinS",
      "(atMs - lastReturnMs) / 1000 <= settings.repeatWithinS",
    ],
    [
      "Avoidable is what is one leg's and stacked at once.",
      'names.includes("one-leg") || names.includes("stacked-starts")',
      'names.includes("one-leg") && names.includes("stacked-starts")',
    ],
    [
      "Tags are given whatever the cause.",
      "if (!byLoad(first) || figures.peakQuantity === null) return [];",
      "if (figures.peakQuantity === null) return [];",
    ],
  ]),

  ...faultsIn("src/analysis/load-neighbours.ts", `${ANALYSIS}/load-neighbours.test.ts`, [
    [
      "A row at which only another logger has a sample is next to the transfer.",
      "    if (loadSampled[row] === 1) {\n      before = row;",
      "    if (row >= 0) {\n      before = row;",
    ],
    [
      "A load from before a gap of its own logger is next to the transfer.",
      "    if (loadSampled[row] === 2) break;\n  }\n  let after",
      "  }\n  let after",
    ],
  ]),

  ...faultsIn("src/analysis/union-loggers.ts", `${ANALYSIS}/union-loggers.test.ts`, [
    [
      "A logger's values go on over its gap.",
      "frame.gapAfter[row] === 1 ? frame.timesMs[row] + frame.deltaMs[row] : frame.timesMs[next];",
      "next < frame.count ? frame.timesMs[next] : frame.timesMs[row] + frame.deltaMs[row];",
    ],
    [
      "A sample without a hold shows where another logger's is in force.",
      "if (!held) pickWithoutHold(",
      "pickWithoutHold(",
    ],
    [
      "Of several loggers of the load the shortest interval counts.",
      "if (givesLoad && delta > ofLoad) ofLoad = delta;",
      "if (givesLoad && (ofLoad === 0 || delta < ofLoad)) ofLoad = delta;",
    ],
    [
      "A gap of the source's own logger isn't marked.",
      "if (parts[p].bearsSource && picks[p][rows] < 0) sourceGap[rows] = 1;",
      "{}",
    ],
    [
      "A gap of any logger is one of the source.",
      "if (parts[p].bearsSource && picks[p][rows] < 0) sourceGap[rows] = 1;",
      "if (picks[p][rows] < 0) sourceGap[rows] = 1;",
    ],
    [
      "A row stands until the last of the holds in force has ended.",
      "if (end < untilMs) untilMs = end;",
      "untilMs = end;",
    ],
    [
      "The union goes on before every logger is known so far.",
      "decidedMs = Math.min(decidedMs, decidedBeforeMs(part));",
      "decidedMs = part.ended ? decidedMs : Math.max(decidedBeforeMs(part), decidedMs === Number.POSITIVE_INFINITY ? 0 : decidedMs);",
    ],
  ]),

  ...faultsIn("src/analysis/channels-of-loggers.ts", `${ANALYSIS}/channels-of-loggers.test.ts`, [
    ["The last logger in the site's order comes first.", "a.rank - b.rank ||", "b.rank - a.rank ||"],
    [
      "A logger gives channels that the site keeps it from.",
      "if (limit !== undefined && !limit.includes(channel)) return false;",
      "",
    ],
  ]),

  ...faultsIn("src/analysis/pass-config.ts", "tests/property/every-setting.test.ts", [
    [
      "A pass's configuration forgets a setting.",
      ".filter(([name]) => !(CONCLUDING_SETTINGS as readonly string[]).includes(name))",
      '.filter(([name]) => name !== "imbalanceMinS" && !(CONCLUDING_SETTINGS as readonly string[]).includes(name))',
      `${ANALYSIS}/pass-config.test.ts`,
    ],
    [
      "A setting of the pass counts as one of the conclusions.",
      '  "repeatWithinS",\n',
      '  "repeatWithinS",\n  "demandCoverage",\n',
    ],
    [
      "A rating of the pass counts as one of the conclusions.",
      '"lowSocPct", "resumeSocPct", "lowV"];',
      '"lowSocPct", "resumeSocPct", "lowV", "capacityAh"];',
      `${ANALYSIS}/pass-config.test.ts`,
    ],
    [
      "A pass's configuration forgets which logger gives what.",
      "      logger.channels,\n",
      "",
      `${ANALYSIS}/pass-config.test.ts`,
    ],
    [
      "A pass's configuration counts ratings that begin at its very end.",
      "period.fromMs < beforeMs",
      "period.fromMs <= beforeMs",
      `${ANALYSIS}/pass-config.test.ts`,
    ],
    [
      "A pass's configuration forgets how far later ratings look back.",
      "lookBackS: lookBackS(periods, options.settings),",
      "",
      `${ANALYSIS}/pass-config.test.ts`,
    ],
  ]),

  ...faultsIn("src/analysis/ratings-in-force.ts", `${ANALYSIS}/ratings-in-force.test.ts`, [
    [
      "Ratings count from the sample after their midnight.",
      "if (atMs >= period.fromMs)",
      "if (atMs > period.fromMs)",
    ],
    [
      "Ratings count in the order in which they are listed.",
      "[...list].sort((a, b) => (a.from < b.from ? -1 : a.from > b.from ? 1 : 0))",
      "[...list]",
    ],
    [
      "Ratings count from midnight in UTC.",
      "fromMs: i === 0 ? Number.NEGATIVE_INFINITY : clock.dateStartMs(ratings.from),",
      "fromMs: i === 0 ? Number.NEGATIVE_INFINITY : Date.parse(ratings.from),",
    ],
  ]),

  ...faultsIn("src/analysis/loading-calendar.ts", `${ANALYSIS}/loading-calendar.test.ts`, [
    [
      "A sample's loading counts in the hour it comes in alone.",
      "hour = hourAt(state, clock, fromMs);\n      raiseHour(hour, frame, row);",
      "hour = hourAt(state, clock, fromMs);",
    ],
    [
      "Of equal loadings in an hour a leg comes before the total.",
      '  raise("total", totalLoading[row]);\n  raise("L1", l1Loading[row]);\n  raise("L2", l2Loading[row]);',
      '  raise("L1", l1Loading[row]);\n  raise("L2", l2Loading[row]);\n  raise("total", totalLoading[row]);',
    ],
    [
      "A hold over the hour counts in the first one alone.",
      "if (endMs <= now[HOUR_END_MS]) {",
      "if (atMs < now[HOUR_END_MS]) {",
    ],
  ]),

  ...faultsIn("src/analysis/period-figures.ts", `${ANALYSIS}/period-figures.test.ts`, [
    [
      "Of equally long runs the later one is the longest.",
      "if (a.fromMs !== b.fromMs) return a.fromMs < b.fromMs;",
      "if (a.fromMs !== b.fromMs) return a.fromMs > b.fromMs;",
    ],
    [
      "Of equally long runs at one time a leg comes before the total.",
      "const TIES = { total: 0, L1: 1, L2: 2,",
      "const TIES = { L1: 0, L2: 1, total: 2,",
    ],
  ]),

  ...faultsIn("src/analysis/existing-load.ts", `${ANALYSIS}/existing-load.test.ts`, [
    ["The existing load is taken without its quarter more.", "1.25 * demandA", "demandA"],
    ["The new load has a quarter more too.", "demand125A + newLoadA", "demand125A + 1.25 * newLoadA"],
    ["Exactly thirty days are too few.", "recordDays < EXCEPTION_DAYS", "recordDays <= EXCEPTION_DAYS"],
  ]),

  ...faultsIn("src/analysis/unbalance.ts", `${ANALYSIS}/unbalance.test.ts`, [
    [
      "Unbalance is the span over the mean.",
      "return greatest / mean;",
      "return (Math.max(...Array.from(values)) - Math.min(...Array.from(values))) / mean;",
    ],
  ]),

  ...faultsIn("src/analysis/conclude-review.ts", `${ANALYSIS}/conclude-review.test.ts`, [
    [
      "Exactly a day of totals that disagree is noted.",
      "counts.totalApartS > 86_400",
      "counts.totalApartS >= 86_400",
    ],
    [
      "Meters that give less than they take aren't noted.",
      "Math.abs(lossesWh) > settings.lossNoteShare",
      "lossesWh > settings.lossNoteShare",
    ],
    [
      "A return delay is held to half a minute however long the interval is.",
      "Math.max(30, (2 * options.nominalMs) / 1000)",
      "30",
    ],
    [
      "Days without a sample count for a schedule.",
      "days.filter((day) => day.samples > 0).map((day) => day.date)",
      "days.map((day) => day.date)",
    ],
    [
      "The history begins at its last day's first sample.",
      "days.find((day) => !Number.isNaN(day.firstMs))",
      "days.findLast((day) => !Number.isNaN(day.firstMs))",
    ],
  ]),

  ...faultsIn("src/analysis/review-pass.ts", `${ANALYSIS}/review-pass.test.ts`, [
    [
      "A day's coverage has all of a hold that goes on over midnight.",
      "    frame.holdS[row] = (day.toMs - atMs) / 1000;\n",
      "",
    ],
    [
      "A sample that stands over midnight is one of the next day.",
      "addToDay(later, ratings, row, to, true);",
      "addToDay(later, ratings, row, to, false);",
    ],
    [
      "Ratings are those at the beginning of what is kept.",
      "const ratings = ratingsOf(frame.timesMs[from]);",
      "const ratings = ratingsOf(frame.timesMs[0]);",
    ],
    [
      "The demand's last interval of a day goes on into the next one.",
      "if (before !== undefined && before !== day) closeDay(before);",
      "",
    ],
    [
      "What a cause looks back at is forgotten too early.",
      "firstRowAt(frame, keepFromMs) - 2",
      "firstRowAt(frame, keepFromMs) + 3",
    ],
    [
      "A wait for a cause's later samples doesn't keep the earlier ones.",
      "if (waiting !== null) keepFromMs =",
      "if (waiting === -1) keepFromMs =",
    ],
  ]),

  ...faultsIn("src/ingest/number-reader.ts", `${INGEST}/number-reader.test.ts`, [
    [
      "A decimal is multiplied and not divided, and off by its last digit.",
      "digits / POWERS[decimals] : digits;",
      "digits * 10 ** -decimals : digits;",
    ],
    ["A minus is lost.", "return negative ? -value : value;", "return value;"],
    [
      "A decimal comma after groups of thousands isn't read.",
      'if (decimalMark === ",") plain = plain.replace(",", ".");',
      "",
    ],
    [
      "A word for a missing value counts only in its own letter case.",
      "missingWords.has(plain.toLowerCase())",
      "missingWords.has(plain)",
    ],
    ["A text that is no number passes for missing.", "    lastBad = true;\n", "    lastBad = false;\n"],
  ]),

  ...faultsIn("src/ingest/sample-columns.ts", `${INGEST}/read-log.test.ts`, [
    [
      "Values aren't rounded to float32 when they are read.",
      "new Float32Array(capacity)",
      "new Float64Array(capacity)",
    ],
  ]),

  ...faultsIn("src/ingest/log-columns.ts", `${INGEST}/read-log.test.ts`, [
    [
      "Kilowatts are taken as watts.",
      'if (unit === "kW" || unit === "kVA" || unit === "kWh") return',
      'if (unit === "kVA" || unit === "kWh") return',
    ],
    [
      "Milliamperes are taken as amperes.",
      'if (unit === "mA" || unit === "mV") return',
      'if (unit === "mV") return',
    ],
    ["Fahrenheit is shifted before it is scaled.", "add: -160 / 9", "add: -32"],
    [
      "A stated sign is taken the other way.",
      "column.positive === directions[1] ? -1 : 1",
      "column.positive === directions[1] ? 1 : -1",
    ],
  ]),

  ...faultsIn("src/ingest/row-taker.ts", `${INGEST}/read-log.test.ts`, [
    ["Signs are left as they were written.", "(c) => c.multiply * c.sign);", "(c) => c.multiply);"],
    ["Both halves of a one-way pair count up.", "? value : value - down;", "? value : value + down;"],
    ["An idle empty plus side leaves the minus side positive.", "? -down :", "? down :"],
    [
      "An empty half makes the pair missing.",
      "Number.isNaN(value) ? -down : Number.isNaN(down) ? value : value - down;",
      "value - down;",
    ],
    ["A row without any value is a sample.", "if (good === 0) {", "if (good < 0) {"],
    ["Other values at the same time are a duplicate.", "if (sameAsLast(n)) {", "if (at === lastMs) {"],
    [
      "A sample at a time that stands at the end of the batch before is always a conflict.",
      "for (let k = 0; k < m; k++) standing[k] = values[k][last];",
      "",
      `${INGEST}/read-log-in-batches.test.ts`,
    ],
    ["A footer is counted nowhere.", "      counts.skipped += pendingFooters.length;\n", ""],
    [
      "A word that nobody knows is on inverter.",
      "lastSource < 0 ? SOURCE_CODE.unknown : lastSource;",
      "lastSource < 0 ? SOURCE_CODE.inverter : lastSource;",
    ],
    [
      "The word for no fault is a fault.",
      "if (noFault.has(folded) || missing.has(folded)) return 0;",
      "if (missing.has(folded)) return 0;",
    ],
    ["A time exactly a day after the log was received is rejected.", "at <= latestMs", "at < latestMs"],
    [
      "The second pass of a repeated hour is read as the first.",
      "if (!steppedBack(first, second)) return first;",
      "return first;",
    ],
    [
      "A single pass that could be either counts as the first.",
      "if (openJoins && !joinsNext) return;",
      "if (openJoins) return;",
    ],
    [
      "A value out of bounds is kept.",
      "if (value >= min[k] && value <= max[k]) {",
      "if (!Number.isNaN(value)) {",
    ],
  ]),

  ...faultsIn("src/ingest/read-log.ts", `${INGEST}/read-log.test.ts`, [
    [
      "Times of the site's clock are read as UTC.",
      'map.time.zone === "site" ? options.siteZone : map.time.zone',
      'map.time.zone === "site" ? "UTC" : map.time.zone',
    ],
    ["Stamps of the end are moved on and not back.", "timesMs[i] -= shiftMs;", "timesMs[i] += shiftMs;"],
    [
      "Stamps of the end aren't moved.",
      "Math.round(options.nominalMs ?? output.nominalMs ?? 0) : 0;",
      "0 : 0;",
    ],
    [
      "Stamps of the end are moved by the log's own interval where the fold's is known.",
      "options.nominalMs ?? output.nominalMs ?? 0",
      "output.nominalMs ?? 0",
    ],
    [
      "Stamps of the end are moved by the interval of their batch and not of the log.",
      "if (shiftMs === null) begin();",
      "begin();",
      `${INGEST}/read-log-in-batches.test.ts`,
    ],
    ["Rejects of the first reading are counted again in the second.", "  rejects.clear();\n", ""],
    [
      "In a sorted log other values at the same time are a duplicate.",
      "if (equalSamples(into, shape, i, kept - 1)) {",
      "if (kept > 0) {",
    ],
    [
      "What was there already is counted as taken too.",
      "  counts.taken -= stored.duplicates + stored.conflicts;\n",
      "",
    ],
  ]),

  ...faultsIn("src/ingest/sorted-runs.ts", `${INGEST}/sorted-runs.test.ts`, [
    [
      "Equal times are sorted the last one first.",
      "timesMs[a] - timesMs[b] || a - b",
      "timesMs[a] - timesMs[b] || b - a",
    ],
    ["Of equal times in two runs the later run's comes first.", "a.number < b.number", "a.number > b.number"],
    ["A run on disk loses the physical lines.", "into.lines[n] = run.buffer.readUInt32LE(run.at + 8);", ""],
  ]),

  ...faultsIn("src/ingest/rejects.ts", `${INGEST}/rejects.test.ts`, [
    [
      "Counts stop where no more instances are kept.",
      "codes[code] = (codes[code] ?? 0) + 1;\n      if (before + instances.length >= MAX_REJECT_INSTANCES) return;",
      "if (before + instances.length >= MAX_REJECT_INSTANCES) return;\n      codes[code] = (codes[code] ?? 0) + 1;",
    ],
    ["A column is counted from nought.", "column.index + 1", "column.index"],
  ]),

  ...faultsIn("src/ingest/power-from-energy.ts", `${INGEST}/power-from-energy.test.ts`, [
    ["A counter that falls gives power all the same.", "if (rise < 0) {", "if (rise < -1e15) {"],
    [
      "A counter gives power across a hole.",
      "differenceMs > GAP_INTERVALS * counter.lastDeltaMs",
      "differenceMs > 1e15",
    ],
    ["A jump of a counter is taken for power.", "powerW > limitW[e]", "powerW > 1e15"],
    [
      "Of a log that stamps the end a counter's power is that of the interval to come.",
      "const fromMs = columns.timesMs[row] - shiftMs;",
      "const fromMs = columns.timesMs[row];",
    ],
    [
      "Energy of the interval is taken to be of a minute.",
      "(wh * 3600) / frame.holdS[row]",
      "(wh * 3600) / 60",
    ],
    [
      "One counter's fall spoils its pair's.",
      "counter.lastWh = wh;",
      "counter.lastWh = Math.max(wh, counter.lastWh || 0);",
    ],
    ["Equal steps are taken for the counter's resolution.", "if (varied && steps", "if (steps"],
  ]),

  ...faultsIn("src/ingest/record-reader.ts", `${INGEST}/record-reader.test.ts`, [
    ["A record over several lines counts as one line.", "line += countLineEnds(raw);", "line++;"],
    ["A CRLF inside of quotes counts as two lines.", "/\\r\\n|\\n|\\r/g", "/\\n|\\r/g"],
    [
      "An open quote swallows lines up to the next quote.",
      "|| (columns !== null && cells.length !== columns)) {\n        broken",
      ") {\n        broken",
    ],
  ]),

  ...faultsIn("src/ingest/parse-iso-time.ts", `${INGEST}/parse-iso-time.test.ts`, [
    ["An offset east of Greenwich counts as west.", "first === 43 ? ms : -ms", "first === 43 ? -ms : ms"],
    ["Every fourth year is a leap year.", "(year % 4 === 0 && year % 100 !== 0)", "year % 4 === 0"],
    ["A fraction of a second is read as whole milliseconds.", "      scale /= 10;\n", ""],
  ]),

  ...faultsIn("src/ingest/time-reader.ts", `${INGEST}/time-reader.test.ts`, [
    [
      "An offset is added and not taken off.",
      "written.wallMs - written.offsetMs",
      "written.wallMs + written.offsetMs",
    ],
  ]),

  ...faultsIn("src/ingest/sniff/day-order.ts", `${INGEST}/sniff/time-form.test.ts`, [
    [
      "Sniffing: of two orders of day and month the one that jumps is taken.",
      "s.jumps === 0 && s.steps > 0",
      "s.jumps > 0",
    ],
  ]),

  ...faultsIn("src/ingest/sniff/decimal-mark.ts", `${INGEST}/sniff/decimal-mark.test.ts`, [
    [
      "Sniffing: a number that could be read in two ways is taken for one with decimals.",
      "return { mark: written, open: true, confidence: 0.5, figures };",
      "return { mark: written, open: false, confidence: 0.8, figures };",
    ],
  ]),

  ...faultsIn("src/ingest/convert-unit.ts", `${INGEST}/number-reader.test.ts`, [
    [
      "Sniffing: a cell in kilowatts counts as watts where the column is in watts.",
      "value * (a.scale / b.scale)",
      "value",
    ],
  ]),

  ...faultsIn("src/ingest/header-again.ts", `${INGEST}/sniff-forms.test.ts`, [
    [
      "Sniffing: a later header in another order is taken for the same one.",
      "  const places = Int32Array",
      '  if (there.length > 0) return "same";\n  const places = Int32Array',
    ],
  ]),

  ...faultsIn("src/ingest/spreadsheet-day.ts", `${INGEST}/spreadsheet-day.test.ts`, [
    [
      "Sniffing: a spreadsheet's days are counted from the first of 1900.",
      "Date.UTC(1899, 11, 30)",
      "Date.UTC(1900, 0, 1)",
    ],
  ]),

  ...faultsIn("src/ingest/zone-clock.ts", `${INGEST}/time-reader.test.ts`, [
    ["A fixed offset west of Greenwich counts as east.", 'match[1] === "-" ? -ms : ms', "ms"],
    [
      "An hour that the clock skips is read by the offset before.",
      "if (at < starts[i] || at >= end) continue;",
      "if (at < starts[i]) continue;",
      `${INGEST}/read-log.test.ts`,
    ],
  ]),

  ...faultsIn("src/ingest/nominal-interval.ts", `${INGEST}/fold-nominal.test.ts`, [
    [
      "The interval of a fold is the mean of its differences.",
      "differences.sort();",
      "differences.fill(differences.reduce((sum, one) => sum + one, 0) / differences.length);",
    ],
  ]),

  ...faultsIn("src/ingest/fold-nominal.ts", `${INGEST}/fold-nominal.test.ts`, [
    [
      "A stamp that two logs have counts twice.",
      "const distinct = new Set<number>();",
      "const list: number[] = [];\n  const distinct = { add: (one: number) => list.push(one), [Symbol.iterator]: () => list[Symbol.iterator]() };",
    ],
  ]),

  ...faultsIn("src/ingest/sniff/sign-evidence.ts", `${INGEST}/sniff/sign-evidence.test.ts`, [
    [
      "Sniffing: a sign is the one by which the balance stays open.",
      "const byOpen = right.open < wrong.open ? 1 : -1;",
      "const byOpen = right.open < wrong.open ? -1 : 1;",
    ],
    [
      "Sniffing: a sign is taken although the state of charge contradicts it.",
      "if (linked.sign !== null && linked.sign !== sign) return { sign: null, confidence: 0, figures };",
      "",
    ],
  ]),

  ...faultsIn("src/ingest/sniff/time-part.ts", `${INGEST}/sniff/time-part.test.ts`, [
    [
      "Sniffing: figures of four digits with a sign are offsets of the time.",
      'return isOffset(named(OFFSET_NAMES), texts) ? "offset" : null;',
      'return "offset";',
    ],
    [
      "Sniffing: an offset that changes at every row is one of the time.",
      "  if (!staysButForChanges(texts)) return false;\n",
      "",
    ],
  ]),

  ...faultsIn("src/ingest/sniff/infer-meaning.ts", `${INGEST}/sniff/contradicted-names.test.ts`, [
    [
      "Sniffing: a total that the legs contradict is taken beside them.",
      "if (disagrees !== null && roles[0][1] < -0.3) continue;",
      "",
    ],
    [
      "Sniffing: a total that is 0 while the legs are not is no question.",
      "return still > TOTAL_STILL ?",
      "return still > 1 ?",
    ],
    [
      "Sniffing: names outweigh a balance that another reading closes.",
      "if (closer.length > 0 && instead === null) {",
      "if (closer.length > 1e9) {",
    ],
    [
      "Sniffing: the half of a one-way pair that counts below zero is lost without a question.",
      "  if (half !== null) {",
      "  if (half !== null && half < 0) {",
    ],
    [
      "Sniffing: legs that take turns with others are the whole load.",
      "return turns ? [one.indices[0], two.indices[0]] : null;",
      "return null;",
    ],
  ]),

  ...faultsIn("src/ingest/sniff/assign-powers.ts", `${INGEST}/sniff/contradicted-names.test.ts`, [
    [
      "Sniffing: a leg whose clamp is turned round counts against the other.",
      "const clamp = !flip && legs && a.named && b.named;",
      "const clamp = false;",
    ],
  ]),

  ...faultsIn("src/ingest/sniff/source-words.ts", `${INGEST}/sniff/contradicted-names.test.ts`, [
    [
      "Sniffing: a word for no supply is believed while the loads run.",
      "return rows > 0 && fed > FED_SHARE * rows;",
      "return false;",
    ],
  ]),

  ...faultsIn("src/ingest/sniff/channels-stage.ts", `${INGEST}/sniff/contradicted-names.test.ts`, [
    [
      "Sniffing: an open balance is as sure as a closed one.",
      "0.95 * (1 - Math.min(1, openPct / 100)) ** 2;",
      "0.9;",
    ],
  ]),

  ...faultsIn("src/ingest/places-of-pieces.ts", `${INGEST}/further-pieces.test.ts`, [
    [
      "Sniffing: of a long log four pieces behind its head are looked at.",
      "const MOST_PIECES = 24;\nconst LEAST_PIECES = 8;",
      "const MOST_PIECES = 4;\nconst LEAST_PIECES = 4;",
    ],
  ]),

  ...faultsIn("src/ingest/piece-gatherer.ts", `${INGEST}/further-pieces.test.ts`, [
    [
      "Of a log that goes by the wrong half of the pieces is let go of.",
      "onGrid.filter((_, place) => place % 2 === 0)",
      "onGrid.filter((_, place) => place % 2 === 1)",
    ],
  ]),
  ...faultsIn("src/ingest/log-columns.ts", `${INGEST}/sniff/soc-share.test.ts`, [
    [
      "A state of charge as a share is read as percent.",
      'if (unit === "share") return { multiply: 100, divide: 1, add: 0 };',
      'if (unit === "share") return { multiply: 1, divide: 1, add: 0 };',
    ],
  ]),
  ...faultsIn("src/ingest/sniff/infer-meaning.ts", `${INGEST}/sniff/soc-share.test.ts`, [
    [
      "Sniffing: a state of charge of 0 to 1 is a share whatever the battery does.",
      "const isShare = r >= SHARE_CORRELATION && decimals >= 2;",
      "const isShare = decimals >= 2;",
    ],
  ]),
  ...faultsIn("src/ingest/sniff/fault-words.ts", `${INGEST}/sniff/fault-words.test.ts`, [
    [
      "Sniffing: an overload that is over is one.",
      "if (OTHERWISE.test(text)) return null;",
      "if (text === null) return null;",
    ],
  ]),

  ...faultsIn("src/analysis/frozen-runs.ts", `${ANALYSIS}/quality-day.test.ts`, [
    [
      "A channel at nought hangs.",
      "const still = value === column.max[row] && value !== 0;",
      "const still = value === column.max[row];",
    ],
    [
      "A rest over midnight is two.",
      "if (last !== undefined && last.toMs === run.fromMs && last.value === run.value) {",
      "if (last !== undefined && last.toMs > run.fromMs && last.value === run.value) {",
    ],
    [
      "A channel hangs though nothing else moved.",
      "long.filter((run) => run.othersMoved * 2 >= run.steps && run.steps * nats > FROZEN_NATS)",
      "long.filter((run) => run.steps * nats > FROZEN_NATS)",
    ],
  ]),
  ...faultsIn("src/analysis/jumps.ts", `${ANALYSIS}/quality-day.test.ts`, [
    [
      "A fall of the charge is no jump.",
      "else if (down > limit)",
      "else if (down > Number.POSITIVE_INFINITY)",
    ],
    [
      "Jumps beyond the fiftieth aren't counted.",
      "found.count++;",
      "if (found.count < MAX_JUMPS) found.count++;",
    ],
  ]),
  ...faultsIn("src/analysis/clock-lag.ts", `${ANALYSIS}/clock-drift.test.ts`, [
    ["A clock that is ahead counts as behind.", "ab += a[i] * b[i + lag];", "ab += a[i + lag] * b[i];"],
  ]),
  ...faultsIn("src/analysis/clock-drift.ts", `${ANALYSIS}/clock-drift.test.ts`, [
    [
      "The equation of time is taken off and not added.",
      "(middleMs % DAY_MS) / 60_000 + equationOfTimeMin(middleMs)",
      "(middleMs % DAY_MS) / 60_000 - equationOfTimeMin(middleMs)",
    ],
  ]),
];
