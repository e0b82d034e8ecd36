import { getTableColumns } from "drizzle-orm";
import {
  continuousLoad,
  dayResult,
  dropout,
  gap,
  hourResult,
  imbalanceInterval,
  nearLimit,
  openNeutral,
  transfer,
} from "../schema/results";

const day = getTableColumns(dayResult);

/** The columns of result tables in the shapes of src/analysis/results.ts, without what storing them adds. */
export const RESULT_COLUMNS = {
  shares: {
    loadWh: day.loadWh,
    solarWh: day.solarWh,
    solarToLoadWh: day.solarToLoadWh,
    batteryToLoadWh: day.batteryToLoadWh,
    gridToLoadWh: day.gridToLoadWh,
    generatorToLoadWh: day.generatorToLoadWh,
    unattributedWh: day.unattributedWh,
    solarToBatteryWh: day.solarToBatteryWh,
    gridToBatteryWh: day.gridToBatteryWh,
    generatorToBatteryWh: day.generatorToBatteryWh,
    solarToGridWh: day.solarToGridWh,
    batteryToGridWh: day.batteryToGridWh,
    lossesWh: day.lossesWh,
    suppliedWh: day.suppliedWh,
    batteryToLoadOfSolarWh: day.batteryToLoadOfSolarWh,
  },
  day: {
    date: day.date,
    fromMs: day.fromMs,
    toMs: day.toMs,
    samples: day.samples,
    heldS: day.heldS,
    sharesHeldS: day.sharesHeldS,
    onS: day.onS,
    peakLoading: day.peakLoading,
    peakQuantity: day.peakQuantity,
    peakAtMs: day.peakAtMs,
    peakLoadingL1: day.peakLoadingL1,
    peakLoadingL2: day.peakLoadingL2,
    peakLoadingTotal: day.peakLoadingTotal,
  },
  hour: without(getTableColumns(hourResult)),
  transfer: withoutDelay(withoutFound(getTableColumns(transfer))),
  dropout: withoutFound(getTableColumns(dropout)),
  nearLimit: without(getTableColumns(nearLimit)),
  imbalance: without(getTableColumns(imbalanceInterval)),
  continuousLoad: without(getTableColumns(continuousLoad)),
  openNeutral: without(getTableColumns(openNeutral)),
  gap: without(getTableColumns(gap)),
};

function without<C extends { siteId: unknown; segmentMs: unknown }>(columns: C) {
  const { siteId: _, segmentMs: __, ...own } = columns;
  return own;
}

function withoutFound<C extends { siteId: unknown; segmentMs: unknown; found: unknown; digest: unknown }>(
  columns: C,
) {
  const { siteId: _, segmentMs: __, found: ___, digest: ____, ...own } = columns;
  return own;
}

function withoutDelay<C extends { delayS: unknown }>(columns: C) {
  const { delayS: _, ...own } = columns;
  return own;
}
