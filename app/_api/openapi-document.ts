import { z } from "zod";
import { ARCHIVE_TYPES, LOG_TYPES, MAX_AT_ONCE_BYTES, MAX_LOG_NAME } from "./api-limits";
import { API_QUERIES, API_SCHEMAS, type ApiSchemaName } from "./api-schemas";
import { PROBLEM_TITLES, type ProblemCode, statusOf } from "./problem";

/** One thing that the API does. */
type Operation = {
  method: "get" | "post";
  path: string;
  operationId: string;
  summary: string;
  description?: string;
  query?: z.ZodObject;
  answers: { [status: number]: { description: string; schema?: ApiSchemaName; csv?: true; location?: true } };
  problems: readonly ProblemCode[];
};

const READING: readonly ProblemCode[] = ["unauthorized", "forbidden", "not-found", "too-many"];

/** Everything that the API does, in the order of the document. */
const OPERATIONS: readonly Operation[] = [
  {
    method: "get",
    path: "/api/v1/sites",
    operationId: "listSites",
    summary: "The sites that the token is good for",
    answers: { 200: { description: "The sites, by name.", schema: "SiteList" } },
    problems: ["unauthorized", "too-many"],
  },
  {
    method: "get",
    path: "/api/v1/sites/{site}/logs",
    operationId: "listLogs",
    summary: "A page of a site's logs, the latest first",
    query: API_QUERIES.listLogs,
    answers: { 200: { description: "The page.", schema: "LogPage" } },
    problems: [...READING, "bad-input"],
  },
  {
    method: "post",
    path: "/api/v1/sites/{site}/logs",
    operationId: "sendLog",
    summary: "Sends a log",
    description: `The body is a CSV log, gzip-compressed where Content-Encoding says so. Up to ${MAX_AT_ONCE_BYTES / 1024 ** 2} MiB it is imported at once; a larger one is received, put in line, and can be followed at Location. The same content again changes nothing, so that a request whose answer was lost is simply made again. Where the log doesn't settle how it is read, it is kept as it came and a person is asked (\`unsettled\`); later logs of its shape are read by what was settled then. A gzip file (${ARCHIVE_TYPES.gzip}) is taken as the log in it, and a zip archive (${ARCHIVE_TYPES.zip}), folders and all, as the logs in it: each is received and put in line by itself, and \`entries\` says what became of it. An archive that is damaged, encrypted, holds archives again or unpacks to more than logs do is refused as a whole (\`unreadable\`), and nothing of it is stored.`,
    query: API_QUERIES.sendLog,
    answers: {
      200: {
        description: "A log of the same content was there: nothing was changed.",
        schema: "ReceivedLog",
        location: true,
      },
      201: { description: "It is imported.", schema: "ReceivedLog", location: true },
      202: { description: "It is received, and its import in line.", schema: "ReceivedLog", location: true },
    },
    problems: [
      ...READING,
      "bad-input",
      "cut-off",
      "conflict",
      "too-large",
      "unsupported-type",
      "unreadable",
      "unsettled",
      "disk-full",
    ],
  },
  {
    method: "get",
    path: "/api/v1/sites/{site}/logs/{log}",
    operationId: "readLog",
    summary: "A log: what became of its records, and how far its import is",
    answers: { 200: { description: "The log.", schema: "LogState" } },
    problems: READING,
  },
  {
    method: "get",
    path: "/api/v1/sites/{site}/logs/{log}/rejects",
    operationId: "readRejects",
    summary: "Everything of a log that could not be taken, at most 10,000 rows",
    answers: { 200: { description: "A line each, under a header.", csv: true } },
    problems: READING,
  },
  {
    method: "get",
    path: "/api/v1/sites/{site}/review",
    operationId: "readReview",
    summary: "What the analysis found in a site's whole history, or in a period of it",
    description:
      "With `from`, `to` or both: what was found in that period; `period` says which days its sums are of. The return delay is that of the whole history.",
    query: API_QUERIES.readReview,
    answers: { 200: { description: "The results.", schema: "Review" } },
    problems: [...READING, "bad-input"],
  },
  {
    method: "get",
    path: "/api/v1/sites/{site}/months/{month}",
    operationId: "readMonth",
    summary: "What the analysis found in one local month; the return delay is that of the whole history",
    answers: { 200: { description: "The results.", schema: "Review" } },
    problems: [...READING, "bad-input"],
  },
];

const PARAMETERS: { [name: string]: { description: string; schema: object } } = {
  site: { description: "The site's slug.", schema: { type: "string", maxLength: MAX_LOG_NAME } },
  log: { description: "The log's number.", schema: { type: "integer", minimum: 1 } },
  month: {
    description: "A local month, yyyy-MM.",
    schema: { type: "string", pattern: "^\\d{4}-(0[1-9]|1[0-2])$" },
  },
};

/** The HTTP API as an OpenAPI 3.1 document, its schemas made from those by which it is held (zod). */
export function openApiDocument(): Record<string, unknown> {
  const paths: Record<string, Record<string, unknown>> = {};
  for (const operation of OPERATIONS) {
    paths[operation.path] ??= {};
    paths[operation.path][operation.method] = operationObject(operation);
  }
  return {
    openapi: "3.1.0",
    info: {
      title: "Legroom",
      version: "1",
      summary: "Does the inverter carry the load? Leg by leg, from a CSV log.",
      description:
        "Sends logs in and reads what was found in them. Every request carries a token: `Authorization: Bearer TOKEN`. Errors come in the form of RFC 9457. Every request counts against the token's allowance; 429 says with Retry-After when the next one is taken.",
      license: { name: "MIT", identifier: "MIT" },
    },
    servers: [{ url: "/" }],
    security: [{ token: [] }],
    paths,
    components: {
      securitySchemes: {
        token: {
          type: "http",
          scheme: "bearer",
          description:
            "A token of one site or of all, of the scope read or write: made on a site's settings screen.",
        },
      },
      schemas: componentSchemas(),
    },
  };
}

function operationObject(operation: Operation): Record<string, unknown> {
  const { method, path, operationId, summary, description, query, answers, problems } = operation;
  const inPath = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => ({
    name,
    in: "path",
    required: true,
    ...PARAMETERS[name],
  }));
  return {
    operationId,
    summary,
    ...(description === undefined ? {} : { description }),
    parameters: [...inPath, ...queryParameters(query)],
    ...(method === "post" ? { requestBody: { required: true, content: logContent() } } : {}),
    responses: {
      ...Object.fromEntries(
        Object.entries(answers).map(([status, answer]) => [status, answerObject(answer)]),
      ),
      ...problemObjects(problems),
    },
  };
}

function queryParameters(query: z.ZodObject | undefined): object[] {
  if (query === undefined) return [];
  // What comes in a query is text that is read as the number it must be: told is what it is read as.
  const { properties = {} } = z.toJSONSchema(query, { io: "output" });
  return Object.entries(properties).map(([name, property]) => {
    const { description, ...schema } = property as { description?: string };
    return { name, in: "query", required: false, description, schema };
  });
}

function logContent(): Record<string, unknown> {
  return Object.fromEntries([
    ...LOG_TYPES.map((type) => [type, { schema: { type: "string" } }]),
    // Bytes: an empty schema, as OpenAPI 3.1 has it for what is no text (4.8.14.3).
    ...Object.values(ARCHIVE_TYPES).map((type) => [type, { schema: {} }]),
  ]);
}

function answerObject({ description, schema, csv, location }: Operation["answers"][number]): object {
  return {
    description,
    ...(location === true
      ? { headers: { Location: { description: "Address of the log.", schema: { type: "string" } } } }
      : {}),
    content:
      csv === true
        ? { "text/csv": { schema: { type: "string" } } }
        : { "application/json": { schema: { $ref: `#/components/schemas/${schema}` } } },
  };
}

/** Problems of one status are one response. */
function problemObjects(problems: readonly ProblemCode[]): Record<string, object> {
  const byStatus = new Map<number, ProblemCode[]>();
  for (const code of problems) byStatus.set(statusOf(code), [...(byStatus.get(statusOf(code)) ?? []), code]);
  return Object.fromEntries(
    [...byStatus].map(([status, codes]) => [
      status,
      {
        description: codes.map((code) => `${code}: ${PROBLEM_TITLES[code]}.`).join(" "),
        ...headersOf(status),
        content: { "application/problem+json": { schema: { $ref: "#/components/schemas/Problem" } } },
      },
    ]),
  );
}

function headersOf(status: number): object {
  const header = (name: string, description: string, schema: object) => ({
    headers: { [name]: { description, schema } },
  });
  if (status === 401) return header("WWW-Authenticate", "What is asked for (RFC 6750).", { type: "string" });
  if (status === 429) return header("Retry-After", "Seconds to wait.", { type: "integer", minimum: 1 });
  return {};
}

function componentSchemas(): Record<string, unknown> {
  const registry = z.registry<{ id: string }>();
  for (const [id, schema] of Object.entries(API_SCHEMAS)) registry.add(schema, { id });
  const { schemas } = z.toJSONSchema(registry, {
    io: "input",
    target: "draft-2020-12",
    uri: (id) => `#/components/schemas/${id}`,
  });
  return Object.fromEntries(
    Object.entries(schemas).map(([id, whole]) => {
      const { $schema: _, $id: __, ...schema } = whole;
      return [id, schema];
    }),
  );
}
