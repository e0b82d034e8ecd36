/** Bounds of what archives bring in from outside. */
export const CONTAINER_BOUNDS = {
  /** Entries of one archive, folders and all. */
  entries: 1_000,
  /** Bytes of all its logs together, unpacked. */
  totalBytes: 16 * 1024 ** 3,
  /** Bytes unpacked for one packed, once more than `ratioFromBytes` came out. Logs come to 5 to 40. */
  ratio: 200,
  ratioFromBytes: 16 * 1024 ** 2,
  /** Characters of an entry's name that are shown. */
  nameCharacters: 200,
} as const;
