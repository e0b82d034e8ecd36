import { createLocalClock, type LocalClock } from "../analysis/local-time";

/** Names of the months, January first. */
export const MONTH_NAMES = [
  "January",
  "February",
  "March",
  "April",
  "May",
  "June",
  "July",
  "August",
  "September",
  "October",
  "November",
  "December",
];

/** A power in W as people say it: "850 W", "4.60 kW", "11.2 kW". Null and NaN give "not known". */
export function formatPower(watts: number | null): string {
  if (watts === null || !Number.isFinite(watts)) return "not known";
  const size = Math.abs(watts);
  if (size < 999.5) return `${grouped(watts, 0)} W`;
  return `${grouped(watts / 1000, size < 9995 ? 2 : 1)} kW`;
}

/** An apparent power in VA: "850 VA", "4.60 kVA". Null and NaN give "not known". */
export function formatApparentPower(voltAmperes: number | null): string {
  return formatPower(voltAmperes).replace(/W$/, "VA");
}

/** A current in A: "27.8 A", "120 A". Null and NaN give "not known". */
export function formatAmps(amperes: number | null): string {
  return withUnit(amperes, "A", amperes !== null && Math.abs(amperes) < 99.95 ? 1 : 0);
}

/** A voltage in V: "48.1 V", "119.8 V". Null and NaN give "not known". */
export function formatVolts(volts: number | null): string {
  return withUnit(volts, "V", 1);
}

/** A temperature in °C: "76 °C". Null and NaN give "not known". */
export function formatTemperature(celsius: number | null): string {
  return withUnit(celsius, "°C", celsius !== null && Number.isInteger(celsius) ? 0 : 1);
}

/** A figure that is in percent already, as a state of charge is: "21 %", "21.5 %". Null and NaN give "not known". */
export function formatPct(percent: number | null): string {
  return withUnit(percent, "%", percent !== null && Math.abs(percent - Math.round(percent)) < 0.05 ? 0 : 1);
}

/** A bare number with thousands set apart: 1234.5 → "1,234.50". Null and NaN give "not known". */
export function formatNumber(value: number | null, decimals: number): string {
  return value === null || !Number.isFinite(value) ? "not known" : grouped(value, decimals);
}

/** The text with a capital letter at its beginning. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** An energy in Wh: "640 Wh", "12.4 kWh", "1,010 kWh". Null and NaN give "not known". */
export function formatEnergy(wattHours: number | null): string {
  if (wattHours === null || !Number.isFinite(wattHours)) return "not known";
  const size = Math.abs(wattHours);
  if (size < 999.5) return `${grouped(wattHours, 0)} Wh`;
  return `${grouped(wattHours / 1000, size < 99_950 ? 1 : 0)} kWh`;
}

/** A ratio as a percentage: 0.9214 → "92.1 %", 1 → "100 %". Null and NaN give "not known". */
export function formatShare(ratio: number | null): string {
  if (ratio === null || !Number.isFinite(ratio)) return "not known";
  const percent = ratio * 100;
  const exact = Math.abs(percent - Math.round(percent)) < 1e-9;
  // Nearly all is not all: 99.97 % must not read as 100 %.
  const rounded = exact ? percent : percent > 99.9 && percent < 100 ? 99.9 : percent;
  return `${grouped(rounded, exact ? 0 : 1)} %`;
}

/**
 * A loading as a ratio: "1.08 of its limit" is said by the caller, here "1.08". Cut off and not rounded: 0.996 must not
 * read as the 1.00 of a limit that was reached, nor 0.898 as the 0.90 from which a load is near it.
 */
export function formatLoading(loading: number | null): string {
  if (loading === null || !Number.isFinite(loading)) return "not known";
  // 0.29 × 100 is 28.999999999999996.
  return (Math.floor(loading * 100 + 1e-6) / 100).toFixed(2);
}

/** A number of seconds: "8 s", "2 min", "3 min 20 s", "1 h 45 min", "2 d 3 h". */
export function formatDuration(seconds: number): string {
  if (!Number.isFinite(seconds)) return "not known";
  const whole = Math.round(seconds);
  if (whole < 60) return `${whole} s`;
  const minutes = Math.floor(whole / 60);
  if (whole < 600 && whole % 60 > 0) return `${minutes} min ${whole % 60} s`;
  if (whole < 3600) return `${Math.round(whole / 60)} min`;
  const allMinutes = Math.round(whole / 60);
  const hours = Math.floor(allMinutes / 60);
  if (hours < 24) return allMinutes % 60 === 0 ? `${hours} h` : `${hours} h ${allMinutes % 60} min`;
  const days = Math.floor(hours / 24);
  return hours % 24 === 0 ? `${days} d` : `${days} d ${hours % 24} h`;
}

/** A count with its noun: "1 transfer", "12 transfers". */
export function formatCount(count: number, noun: string, plural = `${noun}s`): string {
  return `${grouped(count, 0)} ${count === 1 ? noun : plural}`;
}

/** How often something happened: "once", "twice", "5 times". */
export function howOften(count: number): string {
  return count === 1 ? "once" : count === 2 ? "twice" : `${grouped(count, 0)} times`;
}

/** "14 May, 18:02" on the site's clock; seconds where they are asked for. */
export function formatLocalTime(atMs: number, clock: LocalClock, withSeconds = false): string {
  if (!Number.isFinite(atMs)) return "a time not known";
  return `${formatLocalDate(atMs, clock)}, ${formatClock(atMs, clock, withSeconds)}`;
}

/** "14 May" at the site. */
export function formatLocalDate(atMs: number, clock: LocalClock): string {
  const [, month, day] = clock.date(atMs).split("-").map(Number);
  return `${day} ${MONTH_NAMES[month - 1].slice(0, 3)}`;
}

/** "14 May 2026" at the site. */
export function formatYearDate(atMs: number, clock: LocalClock): string {
  return `${formatLocalDate(atMs, clock)} ${clock.date(atMs).slice(0, 4)}`;
}

/** "18:02", or "18:02:33" where seconds are asked for or matter. */
export function formatClock(atMs: number, clock: LocalClock, withSeconds = false): string {
  if (!Number.isFinite(atMs)) return "a time not known";
  return formatClockTime(clock.clockS(atMs), withSeconds);
}

/** Seconds of the local day as clock time: "18:02", or "18:02:33" where seconds are asked for or matter. */
export function formatClockTime(clockS: number, withSeconds = false): string {
  const seconds = Math.floor(clockS);
  const two = (value: number) => String(value).padStart(2, "0");
  const clockText = `${two(Math.floor(seconds / 3600))}:${two(Math.floor(seconds / 60) % 60)}`;
  return withSeconds || seconds % 60 !== 0 ? `${clockText}:${two(seconds % 60)}` : clockText;
}

/** "May 2026" for 2026-05. */
export function formatMonth(month: string): string {
  const [year, number] = month.split("-").map(Number);
  return `${MONTH_NAMES[number - 1]} ${year}`;
}

/** ISO 8601 with the site's offset at that instant, to the second or, where there are any, milliseconds. */
export function localIso(atMs: number, clock: LocalClock): string {
  const offsetMs = clock.offsetMs(atMs);
  const local = new Date(atMs + offsetMs).toISOString();
  const text = atMs % 1000 === 0 ? local.slice(0, 19) : local.slice(0, 23);
  const minutes = Math.abs(Math.round(offsetMs / 60_000));
  const two = (value: number) => String(value).padStart(2, "0");
  return `${text}${offsetMs < 0 ? "-" : "+"}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}

const clocks = new Map<string, LocalClock>();

/** The clock of a zone, made once. */
export function clockOf(zone: string): LocalClock {
  let clock = clocks.get(zone);
  if (clock === undefined) {
    clock = createLocalClock(zone);
    clocks.set(zone, clock);
  }
  return clock;
}

function withUnit(value: number | null, unit: string, decimals: number): string {
  return value === null || !Number.isFinite(value) ? "not known" : `${grouped(value, decimals)} ${unit}`;
}

function grouped(value: number, decimals: number): string {
  // As the screens' own figures are rounded: 3.155 by its decimals, to 3.16.
  const text = value.toLocaleString("en-US", {
    minimumFractionDigits: decimals,
    maximumFractionDigits: decimals,
  });
  return text.replace(/^-(0(?:\.0+)?)$/, "$1");
}
