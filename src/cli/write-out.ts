import { CommandError } from "./command-error";

let gone = false;

/**
 * Writes to standard output and waits until it is out. False where nobody reads it any more (`… | head -1`): what
 * is left need not be made then.
 *
 * @throws CommandError where it can't be written for another reason, such as a full disk
 */
export async function writeOut(text: string): Promise<boolean> {
  if (gone) return false;
  return new Promise((resolve, reject) => {
    process.stdout.write(text, (error) => {
      if (!error) return resolve(true);
      const { code, message } = error as NodeJS.ErrnoException;
      if (code !== "EPIPE") {
        const reason = code === "ENOSPC" ? "its disk is full" : message;
        return reject(
          new CommandError(1, `Standard output can't be written: ${reason}. What is there is not whole.`),
        );
      }
      gone = true;
      resolve(false);
    });
  });
}
