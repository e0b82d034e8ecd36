import { gzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { MAX_UNPACK_RATIO } from "../../../../app/_api/api-limits";
import { logBody } from "../../../../app/_api/log-body";
import { MAX_LOG_BYTES } from "../../../../src/ingest/read-log";

const TEXT = "Time,L1 W\n2026-05-03T00:00:00Z,600\n".repeat(10_000);

function request(body: BodyInit | null, headers: Record<string, string> = {}): Request {
  return new Request("http://localhost/", {
    method: "POST",
    headers: { "content-type": "text/csv", ...headers },
    body,
    duplex: "half",
  } as RequestInit);
}

/** A body in pieces, which breaks off with an error where there is one. */
function pieces(bytes: Uint8Array, error?: Error): ReadableStream<Uint8Array> {
  let at = 0;
  return new ReadableStream({
    pull(controller) {
      if (at < bytes.length) {
        controller.enqueue(bytes.subarray(at, at + 5000));
        at += 5000;
      } else if (error === undefined) controller.close();
      else controller.error(error);
    },
  });
}

async function textOf(bytes: AsyncIterable<Uint8Array>): Promise<string> {
  const all: Uint8Array[] = [];
  for await (const piece of bytes) all.push(piece);
  return Buffer.concat(all).toString();
}

describe("logBody", () => {
  it("gives the bytes as they come, of either type and with parameters", async () => {
    for (const type of ["text/csv", "text/csv; charset=utf-8; header=present", "Application/Octet-Stream"]) {
      expect(await textOf(logBody(request(TEXT, { "content-type": type })))).toBe(TEXT);
    }
  });

  it("unpacks what says that it is gzip", async () => {
    for (const encoding of ["gzip", "x-gzip", "GZIP"]) {
      const body = logBody(request(pieces(gzipSync(TEXT)), { "content-encoding": encoding }));
      expect(await textOf(body)).toBe(TEXT);
    }
  });

  it("gives nothing where there is no body", async () => {
    expect(await textOf(logBody(request(null)))).toBe("");
  });

  it("refuses other types and encodings by name", () => {
    for (const type of ["application/json", "multipart/form-data; boundary=x", "text/plain", ""]) {
      expect(() => logBody(request(TEXT, { "content-type": type })), type).toThrow(
        expect.objectContaining({ code: "unsupported-type" }),
      );
    }
    expect(() => logBody(request(TEXT, { "content-encoding": "br" }))).toThrow(/"br"/);
  });

  it("refuses at once what is announced as larger than an import takes", () => {
    expect(() => logBody(request("x", { "content-length": String(MAX_LOG_BYTES + 1) }))).toThrow(
      expect.objectContaining({ code: "too-large" }),
    );
  });

  it("says so where the connection ends, fewer bytes come than were announced, or the gzip stream breaks off", async () => {
    const broken = logBody(request(pieces(Buffer.from(TEXT), new Error("aborted"))));
    await expect(textOf(broken)).rejects.toMatchObject({ code: "cut-off" });
    const short = logBody(request(pieces(Buffer.from(TEXT)), { "content-length": String(TEXT.length + 1) }));
    await expect(textOf(short)).rejects.toMatchObject({ code: "cut-off" });
    const packed = gzipSync(TEXT);
    const half = logBody(
      request(pieces(packed.subarray(0, packed.length >> 1)), { "content-encoding": "gzip" }),
    );
    await expect(textOf(half)).rejects.toMatchObject({ code: "cut-off" });
    const torn = logBody(request(pieces(packed, new Error("aborted")), { "content-encoding": "gzip" }));
    await expect(textOf(torn)).rejects.toMatchObject({ code: "cut-off" });
  });

  it("refuses what says gzip and isn't", async () => {
    await expect(textOf(logBody(request(TEXT, { "content-encoding": "gzip" })))).rejects.toMatchObject({
      code: "bad-input",
    });
  });

  it("stops unpacking what unpacks to far more than a log does", async () => {
    const bomb = gzipSync(Buffer.alloc(300 * 1024 ** 2));
    expect((300 * 1024 ** 2) / bomb.length).toBeGreaterThan(MAX_UNPACK_RATIO);
    let size = 0;
    const reading = (async () => {
      for await (const piece of logBody(request(pieces(bomb), { "content-encoding": "gzip" })))
        size += piece.length;
    })();
    await expect(reading).rejects.toMatchObject({ code: "too-large" });
    expect(size).toBeLessThan(100 * 1024 ** 2);
  });
});
