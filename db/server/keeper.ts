/**
 * The program of the keeper, for /bin/sh: a Node process in its place would take forty times the memory, for as
 * long as the server runs. It reads the FIFO on its standard input, which every member holds open for writing,
 * gets end-of-file when the last one is gone, however that died, and then stops PostgreSQL.
 *
 * Arguments: the FIFO, the name the FIFO gets while the server stops, PostgreSQL's data directory. It runs as
 * the user that PostgreSQL runs as.
 */
export const KEEPER = `#!/bin/sh
members=$1 closing=$2 data=$3
trap '' HUP INT QUIT TERM

# A server process works in its data directory; a process id alone may have gone to a stranger meanwhile.
running() {
  if [ -d /proc/self ]; then [ "/proc/$1/cwd" -ef "$data" ]; else kill -0 "$1" 2>/dev/null; fi
}

while :; do
  while read -r _; do :; done
  mv "$members" "$closing" 2>/dev/null || break
  # Whoever opened the FIFO before it got its other name has written a line, and is a member.
  read -r _ || break
  mv "$closing" "$members"
done

# A starter that died just now may have left a server that has not written its process id yet.
[ -f "$data/postmaster.pid" ] || sleep 0.3
postmaster=
[ -f "$data/postmaster.pid" ] && read -r postmaster <"$data/postmaster.pid"
if [ -n "$postmaster" ] && running "$postmaster"; then
  kill -INT "$postmaster"
  tenths=0
  while running "$postmaster"; do
    # After a minute without an end: at once, and crash recovery at the next start.
    [ "$tenths" -eq 600 ] && kill -QUIT "$postmaster"
    sleep 0.1
    tenths=$((tenths + 1))
  done
fi

# What a killed postmaster left behind.
for process in /proc/[0-9]*; do
  [ "$process/cwd" -ef "$data" ] && kill -KILL "\${process#/proc/}"
done
rm -f "$closing"
`;
