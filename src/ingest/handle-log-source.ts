import type { FileHandle } from "node:fs/promises";
import type { LogSource } from "./log-source";

const READ_BYTES = 256 * 1024;

/**
 * A log in a file that is open, as far as `sizeBytes`: what is written behind that meanwhile is not read. It is always
 * the same file, whatever becomes of its name. The handle stays the caller's to close.
 */
export function handleLogSource(
  handle: FileHandle,
  name: string,
  sizeBytes: number,
  fileId?: string,
): LogSource {
  const range = (from: number, to: number) => read(handle, from, to);
  return { name, sizeBytes, open: () => range(0, sizeBytes), range, fileId };
}

/** Bytes of an open file from one place to another; ends where the file does. */
async function* read(handle: FileHandle, from: number, to: number): AsyncGenerator<Uint8Array> {
  for (let at = from; at < to; ) {
    const bytes = Buffer.allocUnsafe(Math.min(READ_BYTES, to - at));
    const { bytesRead } = await handle.read(bytes, 0, bytes.length, at);
    if (bytesRead === 0) return;
    yield bytes.subarray(0, bytesRead);
    at += bytesRead;
  }
}
