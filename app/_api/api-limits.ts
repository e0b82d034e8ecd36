/** Types of content that a log is sent as; parameters such as charset are let through, the log itself says how it is read. */
export const LOG_TYPES = ["text/csv", "application/octet-stream"] as const;

/** Types of content that archives are sent as: a log in a gzip file, and logs in a zip archive. */
export const ARCHIVE_TYPES = { gzip: "application/gzip", zip: "application/zip" } as const;

/** Logs up to this size are held and imported in the request; larger ones are received, and imported by the worker. */
export const MAX_AT_ONCE_BYTES = 1024 ** 2;

/** How many times its own size a compressed body may unpack to, beyond `FREE_UNPACKED_BYTES`: no log is that even. */
export const MAX_UNPACK_RATIO = 250;
export const FREE_UNPACKED_BYTES = 64 * 1024 ** 2;

/** Longest name of a log, characters. */
export const MAX_LOG_NAME = 255;

/** Longest header Authorization that is looked at, characters; much longer than any token. */
export const MAX_AUTHORIZATION = 500;

/** Logs of a page where the request says nothing, and the most that it can ask for. */
export const PAGE_LOGS = { usual: 50, most: 200 } as const;

/**
 * Imports that one web server has under way at once, and those that wait for it, each with up to MAX_AT_ONCE_BYTES in
 * memory. One under way takes up to two of the eight connections to the database, a large log that is being received
 * one: two are always left for those who read.
 */
export const IMPORT_TURNS = { running: 2, waitingOfSite: 32, waiting: 64 } as const;

/** Large logs that one web server receives at once. */
export const MAX_RECEIVING = 2;

/** Imports of a site that may wait for the worker. */
export const MAX_WAITING_JOBS = 32;
