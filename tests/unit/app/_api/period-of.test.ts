import { describe, expect, it } from "vitest";
import { API_QUERIES } from "../../../../app/_api/api-schemas";
import { periodOf } from "../../../../app/_api/period-of";
import { queryOf } from "../../../../app/_api/query-of";
import { clockOf } from "../../../../src/report/format";

const CLOCK = clockOf("America/Denver");
const asked = (query: string) =>
  periodOf(queryOf(new Request(`http://127.0.0.1/x?${query}`), API_QUERIES.readReview), CLOCK);

describe("periodOf", () => {
  it("is none where none is asked for, and open where one end is", () => {
    expect(asked("")).toBeNull();
    expect(asked("from=2026-05-03")).toEqual({ fromMs: Date.UTC(2026, 4, 3, 6), toMs: null });
    expect(asked("to=2026-05-03")).toEqual({ fromMs: null, toMs: Date.UTC(2026, 4, 3, 6) });
  });

  it("takes local dates from their beginning, over a clock change too, and instants as they are", () => {
    // Denver's clocks went forward on 8 March 2026 (IANA time zone database).
    expect(asked("from=2026-03-08&to=2026-03-09")).toEqual({
      fromMs: Date.UTC(2026, 2, 8, 7),
      toMs: Date.UTC(2026, 2, 9, 6),
    });
    const half = { fromMs: Date.UTC(2026, 4, 3, 10, 30), toMs: Date.UTC(2026, 4, 3, 12) };
    expect(asked("from=2026-05-03T10:30Z&to=2026-05-03T12:00:00.000Z")).toEqual(half);
    expect(asked("from=2026-05-03T04:30:00-06:00&to=2026-05-03T14:00%2B02:00")).toEqual(half);
  });

  it.each([
    ["from", "from=yesterday"],
    ["from", "from=2026-02-30"],
    ["from", "from=2026-02-30T00:00Z"],
    ["from", "from=2026-05-03T25:00Z"],
    ["from", "from=2026-05-03T10:30"],
    ["from", "from=2026-05-03T10:30+02:00"],
    ["to", "to=2026-5-3"],
    ["to", "to="],
    ["to", "from=2026-05-03&to=2026-05-03"],
    ["to", "from=2026-05-04&to=2026-05-03"],
    ["until", "until=2026-05-03"],
    ["from", "from=2026-05-03&from=2026-05-04"],
  ])("names %s where it is wrong: %s", (name, query) => {
    try {
      asked(query);
      expect.unreachable();
    } catch (error) {
      expect(error).toMatchObject({
        code: "bad-input",
        more: { where: `query, ${name}`, hint: expect.any(String) },
      });
    }
  });
});
