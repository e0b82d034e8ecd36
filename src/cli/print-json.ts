/** Prints one JSON object on standard output, and nothing else; waits until it is out. */
export async function printJson(value: unknown): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    process.stdout.write(`${JSON.stringify(value, null, 2)}\n`, (error) =>
      error ? reject(error) : resolve(),
    );
  });
}
