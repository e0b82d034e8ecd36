import { crc32, deflateRawSync } from "node:zlib";

/** An entry of an archive to be made; what is given beside its text is written as it stands. */
export type ZipEntry = {
  name: string;
  text: string | Uint8Array;
  method?: number;
  flags?: number;
  crc?: number;
  unpackedBytes?: number;
  /** Where its local header is said to be: entries can share one. */
  at?: number;
};

/** A zip archive (PKWARE APPNOTE 4.3), made by hand so that it can be wrong in every way. */
export function zipArchive(entries: readonly ZipEntry[]): Buffer {
  const parts: Buffer[] = [];
  const directory: Buffer[] = [];
  let at = 0;
  for (const entry of entries) {
    const raw = Buffer.from(entry.text);
    const method = entry.method ?? 8;
    const packed = method === 8 ? deflateRawSync(raw) : raw;
    const name = Buffer.from(entry.name);
    const crc = entry.crc ?? crc32(raw);
    const unpacked = entry.unpackedBytes ?? raw.length;
    const flags = (entry.flags ?? 0) | 0x800;
    const local = Buffer.alloc(30);
    local.writeUInt32LE(0x04034b50, 0);
    local.writeUInt16LE(20, 4);
    local.writeUInt16LE(flags, 6);
    local.writeUInt16LE(method, 8);
    local.writeUInt32LE(crc, 14);
    local.writeUInt32LE(packed.length, 18);
    local.writeUInt32LE(unpacked, 22);
    local.writeUInt16LE(name.length, 26);
    const central = Buffer.alloc(46);
    central.writeUInt32LE(0x02014b50, 0);
    central.writeUInt16LE(20, 4);
    central.writeUInt16LE(20, 6);
    central.writeUInt16LE(flags, 8);
    central.writeUInt16LE(method, 10);
    central.writeUInt32LE(crc, 16);
    central.writeUInt32LE(packed.length, 20);
    central.writeUInt32LE(unpacked, 24);
    central.writeUInt16LE(name.length, 28);
    central.writeUInt32LE(entry.at ?? at, 42);
    directory.push(central, name);
    if (entry.at !== undefined) continue;
    parts.push(local, name, packed);
    at += local.length + name.length + packed.length;
  }
  const end = Buffer.alloc(22);
  const directoryBytes = Buffer.concat(directory);
  end.writeUInt32LE(0x06054b50, 0);
  end.writeUInt16LE(entries.length, 8);
  end.writeUInt16LE(entries.length, 10);
  end.writeUInt32LE(directoryBytes.length, 12);
  end.writeUInt32LE(at, 16);
  return Buffer.concat([...parts, directoryBytes, end]);
}
