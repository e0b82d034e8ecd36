/**
 * postgresql.conf of the embedded server, written anew at every start: a two-core laptop, one household's or a
 * few sites' samples, large COPYs now and then. Nothing here trades safety for speed: fsync,
 * synchronous_commit and full_page_writes stay on. There is no replica, so the log of changes is minimal.
 *
 * `logFolder` must be an absolute path.
 */
export function serverSettings(port: number, logFolder: string): string {
  const settings: Record<string, string | number> = {
    listen_addresses: "127.0.0.1",
    port,
    unix_socket_directories: "",
    max_connections: 60,
    password_encryption: "scram-sha-256",
    shared_buffers: "128MB",
    effective_cache_size: "1GB",
    work_mem: "16MB",
    maintenance_work_mem: "128MB",
    max_parallel_workers_per_gather: 1,
    jit: "off",
    wal_level: "minimal",
    max_wal_senders: 0,
    max_wal_size: "2GB",
    checkpoint_timeout: "10min",
    timezone: "UTC",
    datestyle: "ISO",
    log_timezone: "UTC",
    lc_messages: "C",
    logging_collector: "on",
    log_directory: logFolder,
    log_filename: "server-%a.log",
    log_rotation_age: "1d",
    log_rotation_size: 0,
    log_truncate_on_rotation: "on",
    log_file_mode: "0600",
    log_min_error_statement: "panic",
    log_line_prefix: "%m [%p] ",
    log_checkpoints: "off",
  };
  const lines = Object.entries(settings).map(
    ([name, value]) => `${name} = '${String(value).replaceAll("'", "''")}'`,
  );
  return `# Written at every start; changes made here are lost.\n${lines.join("\n")}\n`;
}
