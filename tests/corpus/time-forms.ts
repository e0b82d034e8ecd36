import type { Language } from "./column-words";

/** An instant on the local clock of the log. */
export type WallClock = {
  readonly y: number;
  readonly mo: number;
  readonly d: number;
  readonly h: number;
  readonly mi: number;
  readonly s: number;
  readonly ms: number;
};

export type TimeForm = {
  readonly id: string;
  /** `local`: the site's clock, unsaid. `offset`: said in the text. `utc`: the column's name says it. `instant`: epoch. */
  readonly zone: "local" | "offset" | "utc" | "named-offset" | "instant";
  /** Cells; two where date and time stand in columns of their own. */
  cells(wall: WallClock, timeMs: number, offset: string, language: Language): readonly string[];
  /** Finest interval that the text can tell. */
  readonly finestS: number;
  /** Date pattern for a person who is asked; null where there is nothing to ask. */
  readonly pattern: string | null;
  /** Day and month are numbers either of which could come first. */
  readonly orderOpen?: boolean;
  readonly languages?: readonly Language[];
};

const two = (n: number) => String(n).padStart(2, "0");
const date = (w: WallClock) => `${w.y}-${two(w.mo)}-${two(w.d)}`;
const clock = (w: WallClock) => `${two(w.h)}:${two(w.mi)}:${two(w.s)}`;
const minute = (w: WallClock) => `${two(w.h)}:${two(w.mi)}`;
const twelve = (w: WallClock) => (w.h % 12 === 0 ? 12 : w.h % 12);
const half = (w: WallClock) => (w.h < 12 ? "AM" : "PM");

const MONTHS: Readonly<Record<string, readonly string[]>> = {
  en: ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
  enLong: [
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
  ],
  es: [
    "enero",
    "febrero",
    "marzo",
    "abril",
    "mayo",
    "junio",
    "julio",
    "agosto",
    "septiembre",
    "octubre",
    "noviembre",
    "diciembre",
  ],
  de: [
    "Januar",
    "Februar",
    "März",
    "April",
    "Mai",
    "Juni",
    "Juli",
    "August",
    "September",
    "Oktober",
    "November",
    "Dezember",
  ],
  fr: [
    "janvier",
    "février",
    "mars",
    "avril",
    "mai",
    "juin",
    "juillet",
    "août",
    "septembre",
    "octobre",
    "novembre",
    "décembre",
  ],
};

/** The ways in which the corpus writes its instants. */
export const TIME_FORMS: readonly TimeForm[] = [
  {
    id: "iso local",
    zone: "local",
    finestS: 1,
    pattern: "yyyy-MM-dd HH:mm:ss",
    cells: (w) => [`${date(w)} ${clock(w)}`],
  },
  {
    id: "iso T local",
    zone: "local",
    finestS: 1,
    pattern: "yyyy-MM-dd'T'HH:mm:ss",
    cells: (w) => [`${date(w)}T${clock(w)}`],
  },
  {
    id: "iso offset",
    zone: "offset",
    finestS: 1,
    pattern: null,
    cells: (w, _t, offset) => [`${date(w)}T${clock(w)}${offset}`],
  },
  {
    id: "iso Z",
    zone: "instant",
    finestS: 1,
    pattern: null,
    cells: (_w, timeMs) => [new Date(timeMs).toISOString().replace(".000", "")],
  },
  {
    id: "iso millis",
    zone: "local",
    finestS: 1,
    pattern: "yyyy-MM-dd HH:mm:ss.SSS",
    cells: (w) => [`${date(w)} ${clock(w)}.${String(w.ms).padStart(3, "0")}`],
  },
  {
    id: "iso minutes",
    zone: "local",
    finestS: 60,
    pattern: "yyyy-MM-dd HH:mm",
    cells: (w) => [`${date(w)} ${minute(w)}`],
  },
  {
    id: "iso slashes",
    zone: "local",
    finestS: 1,
    pattern: "yyyy/MM/dd HH:mm:ss",
    cells: (w) => [`${date(w).replaceAll("-", "/")} ${clock(w)}`],
  },
  {
    id: "us 12-hour",
    zone: "local",
    finestS: 1,
    orderOpen: true,
    languages: ["en", "abbr"],
    pattern: "MM/dd/yyyy hh:mm:ss a",
    cells: (w) => [`${two(w.mo)}/${two(w.d)}/${w.y} ${two(twelve(w))}:${two(w.mi)}:${two(w.s)} ${half(w)}`],
  },
  {
    id: "us spreadsheet",
    zone: "local",
    finestS: 60,
    orderOpen: true,
    languages: ["en", "abbr"],
    pattern: "M/d/yyyy H:mm",
    cells: (w) => [`${w.mo}/${w.d}/${w.y} ${w.h}:${two(w.mi)}`],
  },
  {
    id: "us short year 12-hour",
    zone: "local",
    finestS: 60,
    orderOpen: true,
    languages: ["en", "abbr"],
    pattern: "M/d/yy h:mm a",
    cells: (w) => [`${w.mo}/${w.d}/${two(w.y % 100)} ${twelve(w)}:${two(w.mi)} ${half(w)}`],
  },
  {
    id: "dotted",
    zone: "local",
    finestS: 1,
    pattern: "dd.MM.yyyy HH:mm:ss",
    cells: (w) => [`${two(w.d)}.${two(w.mo)}.${w.y} ${clock(w)}`],
  },
  {
    id: "dotted short year",
    zone: "local",
    finestS: 60,
    pattern: "dd.MM.yy HH:mm",
    languages: ["de", "nl", "fr"],
    cells: (w) => [`${two(w.d)}.${two(w.mo)}.${two(w.y % 100)} ${minute(w)}`],
  },
  {
    id: "day first slashes",
    zone: "local",
    finestS: 60,
    orderOpen: true,
    pattern: "dd/MM/yyyy HH:mm",
    languages: ["es", "fr", "it", "pt", "en"],
    cells: (w) => [`${two(w.d)}/${two(w.mo)}/${w.y} ${minute(w)}`],
  },
  {
    id: "day first slashes seconds",
    zone: "local",
    finestS: 1,
    orderOpen: true,
    pattern: "dd/MM/yyyy HH:mm:ss",
    languages: ["es", "fr", "it", "pt", "en"],
    cells: (w) => [`${two(w.d)}/${two(w.mo)}/${w.y} ${clock(w)}`],
  },
  {
    id: "day first dashes",
    zone: "local",
    finestS: 1,
    orderOpen: true,
    pattern: "dd-MM-yyyy HH:mm:ss",
    languages: ["nl", "it", "es", "en"],
    cells: (w) => [`${two(w.d)}-${two(w.mo)}-${w.y} ${clock(w)}`],
  },
  {
    id: "date and time iso",
    zone: "local",
    finestS: 1,
    pattern: "yyyy-MM-dd HH:mm:ss",
    cells: (w) => [date(w), clock(w)],
  },
  {
    id: "date and time dotted",
    zone: "local",
    finestS: 60,
    pattern: "dd.MM.yyyy HH:mm",
    languages: ["de", "fr", "nl", "it"],
    cells: (w) => [`${two(w.d)}.${two(w.mo)}.${w.y}`, minute(w)],
  },
  {
    id: "date and time us 12-hour",
    zone: "local",
    finestS: 1,
    orderOpen: true,
    pattern: "MM/dd/yyyy hh:mm:ss a",
    languages: ["en"],
    cells: (w) => [
      `${two(w.mo)}/${two(w.d)}/${w.y}`,
      `${two(twelve(w))}:${two(w.mi)}:${two(w.s)} ${half(w)}`,
    ],
  },
  {
    id: "epoch s",
    zone: "instant",
    finestS: 1,
    pattern: null,
    cells: (_w, timeMs) => [String(timeMs / 1000)],
  },
  {
    id: "epoch ms",
    zone: "instant",
    finestS: 1,
    pattern: null,
    cells: (_w, timeMs) => [String(timeMs)],
  },
  {
    id: "spreadsheet days",
    zone: "local",
    finestS: 60,
    pattern: "spreadsheet-day",
    cells: (w) => [(Date.UTC(w.y, w.mo - 1, w.d, w.h, w.mi, w.s, w.ms) / 86_400_000 + 25_569).toFixed(8)],
  },
  {
    id: "month name en day first",
    zone: "local",
    finestS: 1,
    pattern: null,
    languages: ["en", "abbr"],
    cells: (w) => [`${two(w.d)}-${MONTHS.en[w.mo - 1]}-${w.y} ${clock(w)}`],
  },
  {
    id: "month name en 12-hour",
    zone: "local",
    finestS: 60,
    pattern: null,
    languages: ["en"],
    cells: (w) => [`${MONTHS.enLong[w.mo - 1]} ${w.d} ${w.y} ${twelve(w)}:${two(w.mi)} ${half(w)}`],
  },
  {
    id: "month name es",
    zone: "local",
    finestS: 60,
    pattern: null,
    languages: ["es"],
    cells: (w) => [`${w.d} ${MONTHS.es[w.mo - 1]} ${w.y} ${minute(w)}`],
  },
  {
    id: "month name de",
    zone: "local",
    finestS: 1,
    pattern: null,
    languages: ["de"],
    cells: (w) => [`${w.d}. ${MONTHS.de[w.mo - 1]} ${w.y} ${clock(w)}`],
  },
  {
    id: "month name fr",
    zone: "local",
    finestS: 60,
    pattern: null,
    languages: ["fr"],
    cells: (w) => [`${w.d} ${MONTHS.fr[w.mo - 1]} ${w.y} ${minute(w)}`],
  },
  {
    id: "utc named",
    zone: "utc",
    finestS: 1,
    pattern: "yyyy-MM-dd HH:mm:ss",
    cells: (_w, timeMs) => [new Date(timeMs).toISOString().slice(0, 19).replace("T", " ")],
  },
  {
    id: "offset named",
    zone: "named-offset",
    finestS: 1,
    pattern: "yyyy-MM-dd HH:mm:ss",
    cells: (w) => [`${date(w)} ${clock(w)}`],
  },
  {
    id: "compact",
    zone: "local",
    finestS: 1,
    pattern: "yyyyMMddHHmmss",
    cells: (w) => [`${date(w).replaceAll("-", "")}${clock(w).replaceAll(":", "")}`],
  },
];
