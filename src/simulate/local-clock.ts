import { Temporal } from "temporal-polyfill";

const QUARTER_S = 900;

/** Local time of one zone. Instants are epoch seconds. */
export type LocalClock = {
  /** First instant of a local date (yyyy-MM-dd) plus a number of days. */
  dayBeginS(localDate: string, plusDays?: number): number;
  /** Instant of a local time (yyyy-MM-ddTHH:mm[:ss]); the first one where the clock shows it twice. */
  instantS(localTime: string): number;
  /** What to add to an instant for the local clock, in seconds. */
  offsetS(instantS: number): number;
};

/** The clock of an IANA zone. Offsets are looked up once a quarter of an hour: zones change on no finer grid. */
export function localClock(timezone: string): LocalClock {
  let quarter = Number.NaN;
  let offset = 0;
  return {
    dayBeginS: (localDate, plusDays = 0) =>
      Temporal.PlainDate.from(localDate).add({ days: plusDays }).toZonedDateTime(timezone).epochMilliseconds /
      1000,
    instantS: (localTime) =>
      Temporal.PlainDateTime.from(localTime).toZonedDateTime(timezone, { disambiguation: "earlier" })
        .epochMilliseconds / 1000,
    offsetS: (instantS) => {
      const wanted = Math.floor(instantS / QUARTER_S);
      if (wanted !== quarter) {
        quarter = wanted;
        const zoned = Temporal.Instant.fromEpochMilliseconds(wanted * QUARTER_S * 1000).toZonedDateTimeISO(
          timezone,
        );
        offset = Math.round(zoned.offsetNanoseconds / 1e9);
      }
      return offset;
    },
  };
}
