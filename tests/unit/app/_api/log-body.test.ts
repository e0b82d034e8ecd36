import { gzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { MAX_UNPACK_RATIO } from "../../../../app/_api/api-limits";
import { logBody } from "../../../../app/_api/log-body";
import { MAX_LOG_BYTES } from "../../../../src/ingest/read-log";
import { zipArchive } from "../../ingest/zip-archive";

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

const bytesOf = (sent: Request) => logBody(sent).bytes;

describe("logBody", () => {
  it("gives the bytes as they come, of either type and with parameters", async () => {
    for (const type of ["text/csv", "text/csv; charset=utf-8; header=present", "Application/Octet-Stream"]) {
      expect(await textOf(bytesOf(request(TEXT, { "content-type": type })))).toBe(TEXT);
    }
  });

  it("unpacks what says that it is gzip", async () => {
    for (const encoding of ["gzip", "x-gzip", "GZIP"]) {
      const body = bytesOf(request(pieces(gzipSync(TEXT)), { "content-encoding": encoding }));
      expect(await textOf(body)).toBe(TEXT);
    }
  });

  it("gives nothing where there is no body", async () => {
    expect(await textOf(bytesOf(request(null)))).toBe("");
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
    const broken = bytesOf(request(pieces(Buffer.from(TEXT), new Error("aborted"))));
    await expect(textOf(broken)).rejects.toMatchObject({ code: "cut-off" });
    const short = bytesOf(request(pieces(Buffer.from(TEXT)), { "content-length": String(TEXT.length + 1) }));
    await expect(textOf(short)).rejects.toMatchObject({ code: "cut-off" });
    const packed = gzipSync(TEXT);
    const half = bytesOf(
      request(pieces(packed.subarray(0, packed.length >> 1)), { "content-encoding": "gzip" }),
    );
    await expect(textOf(half)).rejects.toMatchObject({ code: "cut-off" });
    const torn = bytesOf(request(pieces(packed, new Error("aborted")), { "content-encoding": "gzip" }));
    await expect(textOf(torn)).rejects.toMatchObject({ code: "cut-off" });
  });

  it("refuses what says gzip and isn't", async () => {
    await expect(textOf(bytesOf(request(TEXT, { "content-encoding": "gzip" })))).rejects.toMatchObject({
      code: "bad-input",
    });
  });

  it("stops unpacking what unpacks to far more than a log does", async () => {
    const bomb = gzipSync(Buffer.alloc(300 * 1024 ** 2));
    expect((300 * 1024 ** 2) / bomb.length).toBeGreaterThan(MAX_UNPACK_RATIO);
    let size = 0;
    const reading = (async () => {
      for await (const piece of bytesOf(request(pieces(bomb), { "content-encoding": "gzip" })))
        size += piece.length;
    })();
    await expect(reading).rejects.toMatchObject({ code: "too-large" });
    expect(size).toBeLessThan(100 * 1024 ** 2);
  });

  it("gives archives as they came, told by their type and held to it by their first bytes", async () => {
    const zip = zipArchive([{ name: "a.csv", text: TEXT }]);
    const sent = (type: string, body: Buffer) => logBody(request(pieces(body), { "content-type": type }));
    expect(sent("application/zip", zip).kind).toBe("zip");
    expect(await textOf(sent("application/zip; x=y", zip).bytes)).toBe(zip.toString());
    const packed = gzipSync(TEXT);
    expect(sent("Application/GZIP", packed).kind).toBe("gzip");
    expect(await textOf(sent("application/gzip", packed).bytes)).toBe(packed.toString());
    for (const [type, body] of [
      ["application/zip", packed],
      ["application/gzip", zip],
      ["application/zip", Buffer.from(TEXT)],
      ["application/gzip", Buffer.from("PK")],
      ["application/zip", Buffer.alloc(0)],
    ] as const) {
      await expect(textOf(sent(type, body).bytes), type).rejects.toMatchObject({
        code: "bad-input",
        message: expect.stringContaining("archive, as its header says"),
      });
    }
  });
});
