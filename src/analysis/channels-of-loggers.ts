import { type Channel, NUMERIC_CHANNELS, type NumericChannel } from "./series";

/** A logger that has samples, with the channels that its logs have. */
export type AvailableLogger = {
  readonly name: string;
  readonly channels: readonly NumericChannel[];
  readonly hasSource: boolean;
  readonly hasFault: boolean;
};

/** A logger as the site names it; `channels` limits it to those. */
export type NamedLogger = { readonly name: string; readonly channels?: readonly Channel[] };

/** What of a logger counts. */
export type CountingLogger = {
  /** Its place among the available loggers. */
  index: number;
  name: string;
  /** In the order of NUMERIC_CHANNELS. */
  channels: NumericChannel[];
  hasSource: boolean;
  hasFault: boolean;
};

/** A channel that a logger has and could give, had not another one come first. */
export type PassedOver = { channel: Channel; logger: string; by: string };

/**
 * Which logger each channel comes from (definitions D1): the first in the site's order that has it and may
 * give it. A logger that the site limits to some channels gives those only; what it is kept from is no
 * conflict. Loggers that the site doesn't name come last, in their own order, and give what no other gives:
 * an imported log is never left out just because the site's list is older than it.
 *
 * @returns the loggers of which something counts, in order of precedence (the times of the others are none
 *   of the series), and what was passed over, for a note `channel-of-two-loggers`
 */
export function channelsOfLoggers(
  available: readonly AvailableLogger[],
  precedence: readonly NamedLogger[],
): { loggers: CountingLogger[]; passedOver: PassedOver[] } {
  const rank = (name: string) => {
    const place = precedence.findIndex((logger) => logger.name === name);
    return place < 0 ? precedence.length : place;
  };
  const order = available
    .map((logger, index) => ({ logger, index, rank: rank(logger.name) }))
    .sort((a, b) => a.rank - b.rank || a.index - b.index);
  const takenBy: { [C in Channel]?: string } = {};
  const loggers: CountingLogger[] = [];
  const passedOver: PassedOver[] = [];
  for (const { logger, index, rank } of order) {
    const limit = precedence[rank]?.channels;
    const counts = (channel: Channel): boolean => {
      if (limit !== undefined && !limit.includes(channel)) return false;
      const by = takenBy[channel];
      if (by !== undefined) {
        passedOver.push({ channel, logger: logger.name, by });
        return false;
      }
      takenBy[channel] = logger.name;
      return true;
    };
    const channels = NUMERIC_CHANNELS.filter(
      (channel) => logger.channels.includes(channel) && counts(channel),
    );
    const hasSource = logger.hasSource && counts("source");
    const hasFault = logger.hasFault && counts("faultCode");
    if (channels.length > 0 || hasSource || hasFault) {
      loggers.push({ index, name: logger.name, channels, hasSource, hasFault });
    }
  }
  return { loggers, passedOver };
}
