/** One row of `log_chunk` (site_id, log_id, seq, bytes) in PostgreSQL's binary COPY format. */
export function encodeChunk(siteId: number, logId: number, seq: number, bytes: Buffer): Buffer {
  const head = Buffer.alloc(30);
  head.writeInt16BE(4, 0);
  head.writeInt32BE(4, 2);
  head.writeInt32BE(siteId, 6);
  head.writeInt32BE(4, 10);
  head.writeInt32BE(logId, 14);
  head.writeInt32BE(4, 18);
  head.writeInt32BE(seq, 22);
  head.writeInt32BE(bytes.length, 26);
  return Buffer.concat([head, bytes]);
}
