import { describe, expect, it } from "vitest";
import { API_QUERIES } from "../../../../app/_api/api-schemas";
import { queryOf } from "../../../../app/_api/query-of";

const query = (text: string) => new Request(`http://localhost/api/v1/sites/x/logs${text}`);

describe("queryOf", () => {
  it("gives what is given, and what stands where nothing is", () => {
    expect(queryOf(query(""), API_QUERIES.listLogs)).toEqual({ limit: 50 });
    expect(queryOf(query("?limit=7&before=12"), API_QUERIES.listLogs)).toEqual({ limit: 7, before: 12 });
    expect(queryOf(query("?name=%20May.csv"), API_QUERIES.sendLog)).toEqual({ name: "May.csv" });
  });

  it.each([
    ["?limit=0", /limit/],
    ["?limit=201", /limit/],
    ["?limit=ten", /limit/],
    ["?before=1.5", /before/],
    ["?before=99999999999", /before/],
    ["?limit=1&limit=2", /twice/],
    ["?limits=3", /no parameter "limits"/],
  ])("refuses %s and says where", (text, says) => {
    expect(() => queryOf(query(text), API_QUERIES.listLogs)).toThrow(
      expect.objectContaining({
        code: "bad-input",
        message: expect.stringMatching(says),
        more: { where: expect.stringMatching(/^query, /), hint: expect.any(String) },
      }),
    );
  });
});
