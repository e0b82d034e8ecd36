import type { Recognition } from "./choose-map";

/** Column names that are listed; of more, how many there are. */
const LISTED = 12;

/**
 * What the kept maps say of a log, in a sentence or two.
 *
 * @param when when the log of the kept map was imported, as a local time
 * @example recognitionText(recognition, "2026-05-31 08:00") // 'Recognised: the map of "May.csv", imported on 2026-05-31 08:00.'
 */
export function recognitionText(recognition: Recognition, when: string, loggerName: string): string {
  const { logName, kind } = recognition;
  const other = recognition.loggerName === loggerName ? "" : ` into logger "${recognition.loggerName}"`;
  const map = `the map of "${logName}", imported on ${when}${other}`;
  switch (kind) {
    case "same":
      return `Recognised: ${map}.`;
    case "same-names": {
      const { moved, form } = recognition;
      const changes = [
        ...(moved.length === 0 ? [] : [`other places: ${list(moved)}`]),
        ...form.map((one) => `another ${one}`),
      ];
      return `Recognised by the names of its columns: ${map}. It has ${changes.join("; ")}.`;
    }
    case "changed": {
      const { went, came, moved, form } = recognition;
      const changes = [
        ...(went.length === 0 ? [] : [`gone: ${list(went)}`]),
        ...(came.length === 0 ? [] : [`new: ${list(came)}`]),
        ...(moved.length === 0 ? [] : [`in other places: ${list(moved)}`]),
        ...form.map((one) => `another ${one}`),
      ];
      const how = changes.length === 0 ? "its columns have no names and are others" : changes.join("; ");
      return `The log's shape has changed against ${map}: ${how}. What is still there is read by that map, the rest is inferred.`;
    }
    case "other":
      return `This log has none of the columns of ${map}: all of it is inferred anew.`;
  }
}

function list(names: readonly string[]): string {
  const shown = names.slice(0, LISTED).map((name) => `"${name.slice(0, 60)}"`);
  return shown.join(", ") + (names.length > LISTED ? ` and ${names.length - LISTED} more` : "");
}
