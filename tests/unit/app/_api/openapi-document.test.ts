import { existsSync } from "node:fs";
import { join } from "node:path";
import { Validator } from "@seriousme/openapi-schema-validator";
import openApiTypes from "openapi-typescript";
import { describe, expect, it } from "vitest";
import { openApiDocument } from "../../../../app/_api/openapi-document";
import { programRoot } from "../../../../db/server/program-root";

describe("openApiDocument", () => {
  it("is a valid OpenAPI 3.1 document to somebody else's validator, and every reference in it leads somewhere", async () => {
    const validator = new Validator();
    const result = await validator.validate(structuredClone(openApiDocument()));
    expect(result.errors ?? []).toEqual([]);
    expect(result.valid).toBe(true);
    expect(validator.version).toBe("3.1");
    expect(JSON.stringify(validator.resolveRefs())).not.toContain("$ref");
  });

  it("is one that the validator would refuse with a mistake in it", async () => {
    const wrong = structuredClone(openApiDocument()) as {
      paths: Record<string, { get: { responses?: object } }>;
    };
    wrong.paths["/api/v1/sites"].get.responses = { nonsense: {} };
    expect((await new Validator().validate(wrong)).valid).toBe(false);
  });

  it("describes routes that there are", () => {
    for (const path of Object.keys(openApiDocument().paths as object)) {
      const folder = path.replace(/\{(\w+)\}/g, "[$1]");
      expect(existsSync(join(programRoot(), "app", folder, "route.ts")), path).toBe(true);
    }
  });

  it("says of every operation what it answers without a token and with too many requests", () => {
    const { paths } = openApiDocument() as { paths: Record<string, Record<string, { responses: object }>> };
    for (const methods of Object.values(paths)) {
      for (const { responses } of Object.values(methods)) {
        expect(Object.keys(responses)).toEqual(expect.arrayContaining(["401", "429"]));
      }
    }
  });

  it("gives the client of the tests: api-client.d.ts is what is made from it", async () => {
    const made = await openApiTypes(openApiDocument() as never, { alphabetize: true });
    await expect(made).toMatchFileSnapshot("../../../api-client.d.ts");
  });
});
