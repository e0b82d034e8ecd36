import type { ProtectiveDevice } from "../analysis/continuous-load";
import type { Source } from "../analysis/series";

const DEVICES: { readonly [D in ProtectiveDevice]: string } = {
  service: "the service",
  "pass-through": "the pass-through",
  "dc-fuse": "the battery's fuse",
};

const SOURCES: { readonly [S in Source]: string } = {
  inverter: "on inverter",
  utility: "on utility",
  generator: "on generator",
  none: "without supply",
  unknown: "source unknown",
};

/** A protective device in words: "the service". */
export function deviceName(device: ProtectiveDevice): string {
  return DEVICES[device] ?? device;
}

/** What carries the loads, in words: "on inverter". */
export function sourceName(source: Source): string {
  return SOURCES[source] ?? source;
}
