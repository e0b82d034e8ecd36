/**
 * Which file it is, as text, from its status (read with `bigint`); undefined where the file system gives files no number
 * of their own.
 */
export function fileIdOf({ dev, ino }: { readonly dev: bigint; readonly ino: bigint }): string | undefined {
  return ino === 0n ? undefined : `${dev}:${ino}`;
}
